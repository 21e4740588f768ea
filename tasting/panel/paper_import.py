"""A paper panel as a CSV file: who got which serving order, and which cup they chose.

Columns: assessor, replicate, serving_order (letters of the cups, left to right), chosen (the place
of the chosen cup, from 1; where pairs of cups or words are chosen, the place of that choice among
those on the ballot). Or, where only counts were written down: assessor, tastings, correct.
Lines that start with # are remarks.
"""

from typing import Annotated

from pydantic import Field

from tasting.errors import InputError
from tasting.panel.csv_reader import read_records, remarks
from tasting.panel.methods import Method
from tasting.records import Name, Record

COLUMNS = ("assessor", "replicate", "serving_order", "chosen")
COUNT_COLUMNS = ("assessor", "tastings", "correct")
_MOST_TASTINGS = 100
"""Of one assessor in one file of counts; a larger number is taken for a slip of the pen."""


class PaperAnswer(Record):
    """One answer on paper: the serving order of the set, and the place of the choice from 1."""

    assessor: Name
    replicate: Annotated[int, Field(ge=1)]
    order: Annotated[str, Field(alias="serving_order")]
    chosen: Annotated[int, Field(ge=1)]


class PaperCount(Record):
    """How many sets an assessor answered, and how many of the answers count.

    correct: for a method without a right answer, choices of the expected sample, or else of B
    """

    assessor: Name
    tastings: Annotated[int, Field(ge=1, le=_MOST_TASTINGS)]
    correct: Annotated[int, Field(ge=0)]


def paper_answers(text: str, method: Method) -> tuple[PaperAnswer, ...]:
    """The answers in the text of such a file. Raises InputError naming the line."""
    seen: set[tuple[str, int]] = set()
    lines = read_records(text, COLUMNS, PaperAnswer)
    for number, given in lines:
        key = (given.assessor, given.replicate)
        _check_answer(number, given, method)
        if key in seen:
            raise InputError(f"line {number}: assessor {key[0]!r} already answered set {key[1]}")
        seen.add(key)
    return tuple(given for _, given in lines)


def paper_counts(text: str) -> tuple[PaperCount, ...]:
    """The counts in the text of such a file. Raises InputError naming the line."""
    seen: set[str] = set()
    lines = read_records(text, COUNT_COLUMNS, PaperCount)
    for number, given in lines:
        if given.correct > given.tastings:
            raise InputError(
                f"line {number}: {given.correct} correct of {given.tastings} tastings cannot be"
            )
        if given.assessor in seen:
            raise InputError(f"line {number}: assessor {given.assessor!r} appears twice")
        seen.add(given.assessor)
    return tuple(given for _, given in lines)


def paper_remarks(text: str) -> tuple[str, ...]:
    """The remarks in such a file, without their #."""
    return remarks(text)


def _check_answer(number: int, given: PaperAnswer, method: Method) -> None:
    if given.order not in method.orders:
        orders = ", ".join(method.orders)
        raise InputError(
            f"line {number}: {given.order!r} is not a serving order of {method.key}; use {orders}"
        )
    if given.chosen > len(method.options):
        raise InputError(
            f"line {number}: chosen is {given.chosen}, but a set has {len(method.options)} choices"
        )
