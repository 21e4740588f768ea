"""What is added to a session while it is open: answers, corrections, exclusions and events."""

from typing import Annotated

from pydantic import Field, StringConstraints

from tasting.records import Moment, Name, Note, Record, Tidy

Choice = Annotated[str, Field(min_length=1, max_length=40)]
Reason = Annotated[Note, Field(min_length=1)]
Detail = Annotated[str, StringConstraints(strip_whitespace=True, max_length=2500), Tidy]
# Longer than a reason, because it says whose and of which set as well.
Replicate = Annotated[int, Field(ge=1)]


class Answer(Record):
    """What an assessor chose in one set: a code, codes joined by "+", or words; added once."""

    assessor: Name
    replicate: Replicate
    choice: Choice
    sure: bool | None = None
    remark: Note = ""
    given_at: Moment


class Amendment(Record):
    """A correction of a wrongly entered answer, made before unblinding; both stay on record."""

    assessor: Name
    replicate: Replicate
    choice: Choice
    reason: Reason
    made_at: Moment


class Exclusion(Record):
    """An assessor whose answers do not count, decided before unblinding."""

    assessor: Name
    reason: Reason
    made_at: Moment


class Event(Record):
    """Something that happened to a session."""

    at: Moment
    what: Name
    detail: Detail = ""


ANSWER_COLUMNS = (
    "session_id",
    "session",
    "closed_at",
    "method",
    "assessor",
    "replicate",
    "serving_order",
    "codes",
    "chosen",
    "sample",
    "counted",
    "remark",
    "invented",
)
"""Columns of the tidy table of answers, however it is read."""
