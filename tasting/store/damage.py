"""Rows that are not as the program wrote them: which session they belong to, and what is wrong.

A key that does not fit its seal, a plan that is cut short, a seat that is gone: the sentence names
the session, so that it can be set aside and all others used.
"""

from collections.abc import Iterator
from contextlib import contextmanager

from pydantic import ValidationError
from sqlalchemy import RowMapping

from tasting.errors import DamagedError, InputError
from tasting.records import sentence

_SEALED = "its plan, its key or what was given do not fit each other (no more is said before it is"
FAULTS = (ValueError, LookupError, TypeError, AttributeError)
"""What reading a row raises that does not hold what it should. A ValidationError, an InputError and
a JSONDecodeError are ValueErrors."""


@contextmanager
def named(row: RowMapping) -> Iterator[None]:
    """Says whose rows are damaged: those of the session of this row. Raises DamagedError."""
    try:
        yield
    except FAULTS as error:
        why = _why(error) if row["closed_at"] else f"{_SEALED} closed)"
        raise DamagedError(f"the session {row['name']!r} ({row['id']}) is damaged: {why}") from None


def _why(error: Exception) -> str:
    """What is wrong, in a clause; the program's own words where it has some."""
    if isinstance(error, ValidationError):
        return sentence(error)
    if isinstance(error, InputError):
        return str(error)
    if isinstance(error, LookupError):
        return "a row of it points to one that is gone"
    return "a row of it cannot be read any more"


@contextmanager
def set_aside(sentences: list[str] | None) -> Iterator[None]:
    """Goes on after a damaged session and adds what is wrong to these sentences; without them,
    raises DamagedError."""
    try:
        yield
    except DamagedError as error:
        if sentences is None:
            raise
        sentences.append(str(error))


@contextmanager
def of_drink(kind: str, name: str) -> Iterator[None]:
    """Says which drink's row is damaged. Raises DamagedError."""
    try:
        yield
    except FAULTS:
        raise DamagedError(
            f"the {kind} {name!r} is damaged: its row cannot be read any more; put a backup in its "
            "place with `tasting restore`"
        ) from None
