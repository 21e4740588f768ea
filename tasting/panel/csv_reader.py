"""A CSV file that somebody typed, read line by line into records; each fault names its line."""

import csv
from collections.abc import Iterator
from typing import TypeVar

from tasting.errors import InputError
from tasting.records import Record, checked

_MOST_CHARACTERS = 500_000
"""Far more than the largest panel fills; a longer text is refused before it is read."""

_R = TypeVar("_R", bound=Record)


def columns_of(text: str) -> tuple[str, ...]:
    """The column names in the first line that is no remark; empty when there is none."""
    return tuple(next((cells for _, cells in _lines(text)), ()))


def read_records(text: str, columns: tuple[str, ...], record: type[_R]) -> list[tuple[int, _R]]:
    """Each line's number, from 1, and the record that its cells make.

    Lines that start with # are remarks. Raises InputError, naming the line.
    """
    if len(text) > _MOST_CHARACTERS:
        raise InputError(f"the file is too large: at most {_MOST_CHARACTERS} characters; split it")
    lines = list(_lines(text))
    if not lines or tuple(lines[0][1]) != columns:
        raise InputError(f"the first line has to name the columns: {','.join(columns)}")
    return [(number, _record(number, cells, columns, record)) for number, cells in lines[1:]]


def remarks(text: str) -> tuple[str, ...]:
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


def _record(number: int, cells: list[str], columns: tuple[str, ...], record: type[_R]) -> _R:
    if len(cells) != len(columns):
        raise InputError(f"line {number}: {len(cells)} cells where {len(columns)} are needed")
    try:
        return checked(record, dict(zip(columns, cells, strict=True)))
    except InputError as error:
        raise InputError(f"line {number}: {error}") from None
