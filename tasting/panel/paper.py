"""A paper panel as a CSV file: who got which serving order, and which cup they chose.

Columns: assessor, replicate, serving_order (letters of the cups, left to right), chosen (the place
of the chosen cup, from 1). Lines that start with # are remarks.
"""

import csv
from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from tasting.errors import InputError
from tasting.panel.methods import Method
from tasting.records import Name, Record, checked

COLUMNS = ("assessor", "replicate", "serving_order", "chosen")


class PaperAnswer(Record):
    """One answer on paper: the serving order of the set, and the place of the chosen cup from 1."""

    assessor: Name
    replicate: Annotated[int, Field(ge=1)]
    order: Annotated[str, Field(alias="serving_order")]
    chosen: Annotated[int, Field(ge=1)]


def paper_answers(text: str, method: Method) -> tuple[PaperAnswer, ...]:
    """The answers in the text of such a file. Raises InputError naming the line."""
    lines = list(_lines(text))
    if not lines or tuple(lines[0][1]) != COLUMNS:
        raise InputError(f"the first line has to name the columns: {','.join(COLUMNS)}")
    answers = tuple(_answer(number, cells, method) for number, cells in lines[1:])
    seen: set[tuple[str, int]] = set()
    for (number, _), given in zip(lines[1:], answers, strict=True):
        place = (given.assessor, given.replicate)
        if place in seen:
            raise InputError(
                f"line {number}: assessor {place[0]!r} already answered set {place[1]}"
            )
        seen.add(place)
    return answers


def paper_remarks(text: str) -> tuple[str, ...]:
    """The remarks in such a file, without their #."""
    lines = (line.strip() for line in text.removeprefix("\ufeff").splitlines())
    return tuple(line.lstrip("# ") for line in lines if line.startswith("#"))


def _lines(text: str) -> Iterator[tuple[int, list[str]]]:
    for number, line in enumerate(text.removeprefix("\ufeff").splitlines(), start=1):
        if line.strip() and not line.lstrip().startswith("#"):
            yield number, _cells(number, line)


def _cells(number: int, line: str) -> list[str]:
    try:
        return [cell.strip() for cell in next(csv.reader([line]))]
    except csv.Error as error:
        raise InputError(f"line {number}: this is not CSV: {error}") from None


def _answer(number: int, cells: list[str], method: Method) -> PaperAnswer:
    if len(cells) != len(COLUMNS):
        raise InputError(f"line {number}: {len(cells)} cells where {len(COLUMNS)} are needed")
    try:
        given = checked(PaperAnswer, dict(zip(COLUMNS, cells, strict=True)))
    except InputError as error:
        raise InputError(f"line {number}: {error}") from None
    if given.order not in method.orders:
        orders = ", ".join(method.orders)
        raise InputError(
            f"line {number}: {given.order!r} is not a serving order of {method.key}; use {orders}"
        )
    if given.chosen > method.cups:
        raise InputError(
            f"line {number}: chosen is {given.chosen}, but a set has {method.cups} cups"
        )
    return given
