"""Frozen records (pydantic) and the one sentence that says what is wrong with one."""

from collections.abc import Mapping
from typing import Annotated, Any, TypeVar

from pydantic import AwareDatetime, BaseModel, ConfigDict, StringConstraints, ValidationError

from tasting.errors import InputError

Id = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9_.-]{0,63}$")]
Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=120)]
Note = Annotated[str, StringConstraints(strip_whitespace=True, max_length=2000)]
Moment = AwareDatetime


class Record(BaseModel):
    """Base of all records: never changed after it is made, unknown fields refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


R = TypeVar("R", bound=BaseModel)


def checked(model: type[R], values: Mapping[str, Any]) -> R:
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
    more = error.error_count() - 1
    tail = f" (and {more} more)" if more else ""
    return f"{path}: {message}{tail}" if path else f"{message}{tail}"
