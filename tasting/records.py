"""Frozen records (pydantic) and the one sentence that says what is wrong with one."""

import unicodedata
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Annotated, Any, TypeVar

from pydantic import (
    AfterValidator,
    AwareDatetime,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    StringConstraints,
    ValidationError,
)

from tasting.errors import InputError

_UNSEEN = frozenset({"Cc", "Cs", "Zl", "Zp"})
"""General categories (Unicode Standard, chapter 4) of control characters, lone surrogates, and
separators of lines and paragraphs. PostgreSQL keeps no NUL, no database a lone surrogate. Marks of
right-to-left writing and joiners of emoji are of category Cf, and welcome.
"""


def tidy(text: Any) -> Any:
    """A free text without control characters but for tabs and ends of lines.

    They come by pasting and are never meant; for them nobody's answer is to be lost.
    """
    if not isinstance(text, str):
        return text
    return "".join(sign for sign in text if sign in "\n\t" or not _unseen(sign))


def one_line(text: str) -> str:
    """The text itself. Raises InputError if a control character or a line's end is in it."""
    for number, sign in enumerate(text, start=1):
        if _unseen(sign):
            raise InputError(
                f"character {number} is a control character (U+{ord(sign):04X}); type it again "
                "without that"
            )
    return text


def _unseen(sign: str) -> bool:
    return unicodedata.category(sign) in _UNSEEN


OneLine = AfterValidator(one_line)
Tidy = BeforeValidator(tidy)
Id = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9_.-]{0,63}$")]
Name = Annotated[
    str, StringConstraints(strip_whitespace=True, min_length=1, max_length=120), OneLine
]
Note = Annotated[str, StringConstraints(strip_whitespace=True, max_length=2000), Tidy]
Moment = AwareDatetime


def now() -> datetime:
    """The present moment, in UTC."""
    return datetime.now(UTC)


class Record(BaseModel):
    """Base of all records: never changed after it is made, unknown fields refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


_R = TypeVar("_R", bound=BaseModel)


def checked(model: type[_R], values: Mapping[str, Any]) -> _R:
    """The record made of these values. Raises InputError with one sentence for the first fault."""
    try:
        return model.model_validate(values)
    except ValidationError as error:
        raise InputError(sentence(error)) from None


def sentence(error: ValidationError) -> str:
    """The first fault of a validation, with the path to the field: one sentence."""
    first = error.errors(include_url=False)[0]
    path = ".".join(str(step) for step in first["loc"])
    message = first["msg"].removeprefix("Value error, ").removeprefix("Assertion failed, ")
    if first["type"] == "extra_forbidden":
        message = "this field is not known here; remove it or correct its spelling"
    if first["type"] == "string_unicode":
        message = "half a character stands in this text (a lone surrogate); type it again"
    more = error.error_count() - 1
    tail = f" (and {more} more)" if more else ""
    return f"{path}: {message}{tail}" if path else f"{message}{tail}"
