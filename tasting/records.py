"""Frozen records (pydantic) and the one sentence that says all that is wrong with one."""

import unicodedata
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Annotated, Any, Final, Self, TypeVar

from pydantic import (
    AfterValidator,
    AwareDatetime,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    StringConstraints,
    ValidationError,
)
from pydantic_core import ErrorDetails

from tasting.errors import InputError
from tasting.wording import short

_UNSEEN = frozenset({"Cc", "Cs", "Zl", "Zp"})
"""General categories (Unicode Standard, chapter 4) of control characters, lone surrogates, and
separators of lines and paragraphs. PostgreSQL keeps no NUL, no database a lone surrogate. Marks of
right-to-left writing and joiners of emoji are of category Cf, and welcome.
"""


def tidy(text: Any) -> Any:
    """A free text without control characters but for tabs and ends of lines.

    They come by pasting and are never meant; for them nobody's answer is to be lost.
    """
    if not isinstance(text, str) or text.isprintable():
        return text
    return "".join(sign for sign in text if sign in "\n\t" or not _unseen(sign))


def one_line(text: str) -> str:
    """The text itself. Raises InputError if a control character or a line's end is in it."""
    if text.isprintable():  # which leaves out all that is unseen, and more
        return text
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

    def __deepcopy__(self, memo: dict[int, Any] | None = None) -> Self:
        """Itself, as it never changes; Streamlit copies whatever is chosen on a page."""
        return self


_R = TypeVar("_R", bound=BaseModel)


def checked(model: type[_R], values: Mapping[str, Any]) -> _R:
    """The record made of these values. Raises InputError with one sentence for its faults."""
    try:
        return model.model_validate(values)
    except ValidationError as error:
        raise InputError(sentence(error)) from None


def all_faults(faults: Sequence[str]) -> str:
    """Faults as sentences, one each.

    >>> all_faults(["the name is empty", "line 1: how much?"])
    'The name is empty. Line 1: how much?'
    """
    said = [f"{fault[:1].upper()}{fault[1:]}" for fault in faults]
    return " ".join(one if one[-1:] in ".?!" else f"{one}." for one in said)


_MOST_TOLD: Final = 3
_NUMBER, _WHOLE, _MOMENT = "a number", "a whole number", "a moment such as 2026-02-05T18:00:00Z"
_SAID: Final = {
    "missing": "missing; add it",
    "extra_forbidden": "this field is not known here; remove it or correct its spelling",
    "string_unicode": "this text contains half a character (a lone surrogate); type it again",
    "string_too_short": "too short; write {min_length} or more characters",
    "string_too_long": "too long; write at most {max_length} characters",
    "string_pattern_mismatch": "write letters, digits, . _ or - without spaces, 64 at most",
    "literal_error": "must be {expected}",
    "greater_than": "must be above {gt}",
    "greater_than_equal": "must be {ge} or more",
    "less_than": "must be below {lt}",
    "less_than_equal": "must be {le} or less",
    "finite_number": "must be a finite number",
    "int_from_float": f"must be {_WHOLE}",
    "too_short": "too few; give {min_length} or more",
    "too_long": "too many; give at most {max_length}",
    "timezone_aware": f"must be {_MOMENT}, with its offset",
}
"""What pydantic finds, in our words, by its kind."""
_KINDS: Final = {
    "int": _WHOLE,
    "float": _NUMBER,
    "decimal": _NUMBER,
    "string": "a text",
    "bool": "true or false",
    "list": "a list",
    "tuple": "a list",
    "dict": "an object",
    "mapping": "an object",
    "model": "an object",
    "datetime": _MOMENT,
}


def sentence(error: ValidationError) -> str:
    """The faults of a validation, each with the path to its field, in one sentence."""
    faults = error.errors(include_url=False)
    told = "; also ".join(_fault(one) for one in faults[:_MOST_TOLD])
    more = len(faults) - _MOST_TOLD
    return f"{told} (and {more} more)" if more > 0 else told


def _fault(one: ErrorDetails) -> str:
    path = ".".join(str(step) for step in one["loc"])
    if one["type"] == "string_too_short" and one["ctx"]["min_length"] == 1:
        return f"{path or 'it'} is empty"
    return f"{path}: {_message(one)}" if path else _message(one)


def _written(limit: object) -> str:
    return short(limit) if isinstance(limit, int | float) else str(limit)


def _message(one: ErrorDetails) -> str:
    """What is wrong with one field, in our words."""
    kind, limits = one["type"], one.get("ctx", {})
    if kind in _SAID:
        return _SAID[kind].format(**{name: _written(value) for name, value in limits.items()})
    wanted = _KINDS.get(kind.partition("_")[0])
    if wanted and kind.endswith(("_type", "_parsing")):
        return f"must be {wanted}"
    return one["msg"].removeprefix("Value error, ").removeprefix("Assertion failed, ")
