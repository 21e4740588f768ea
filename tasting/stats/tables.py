"""Published tables of critical numbers, looked up before anything is computed.

`critical_numbers.csv` beside this file holds, row by row, what was read in print and where. A
printed dash (not even n correct answers are enough) is an empty cell there and None here.
"""

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources

from tasting.errors import InputError
from tasting.stats.binomial import critical_number
from tasting.stats.checks import check_alpha, check_chance, check_n, check_sides


@dataclass(frozen=True, slots=True)
class TableRow:
    """One cell of a published table; `critical` is None where the table prints a dash."""

    table: str
    source: str
    n: int
    alpha: float
    critical: int | None


@dataclass(frozen=True, slots=True)
class CriticalNumber:
    """Fewest correct answers that show a difference, and the printed row that says so.

    `value` is n + 1 where no score is enough; `row` is None where the number was computed.
    """

    value: int
    row: TableRow | None


@dataclass(frozen=True, slots=True)
class _Key:
    table: str
    chance: float
    sides: int


def table_keys() -> tuple[str, ...]:
    """Keys of the tables, in the order of the file."""
    return tuple(key.table for key in _tables())


def published(
    n: int, chance: float, alpha: float, sides: int = 1, table: str | None = None
) -> TableRow | None:
    """The printed row for n and alpha, or None beyond the tables.

    With `table` only that table is consulted; without, the first one with this chance and sides.
    Raises `InputError` for an unknown table, one of another chance, or arguments out of range.
    """
    _check(n, chance, alpha, sides)
    keys = [key for key in _tables() if table in (None, key.table)]
    if not keys:
        raise InputError(f"there is no table {table!r}; choose from {', '.join(table_keys())}.")
    fitting = [key for key in keys if abs(key.chance - chance) < 1e-6 and key.sides == sides]
    if table and not fitting:
        raise InputError(f"table {table} is not for a chance of {chance:g} with sides={sides}.")
    rows = (_tables()[key].get((n, alpha)) for key in fitting)
    return next((row for row in rows if row), None)


def critical(
    n: int, chance: float, alpha: float = 0.05, sides: int = 1, table: str | None = None
) -> CriticalNumber:
    """Critical number from the method's own table, and exact where that does not reach.

    Which table a test may cite is the method's affair: without `table` the number is computed.
    Raises `InputError` as `published` does.

    >>> critical(30, 1 / 3, 0.05, table="fao-triangle").row.critical
    15
    """
    _check(n, chance, alpha, sides)
    row = published(n, chance, alpha, sides, table) if table else None
    if row is None:
        return CriticalNumber(critical_number(n, chance, alpha, sides), None)
    return CriticalNumber(n + 1 if row.critical is None else row.critical, row)


def _check(n: int, chance: float, alpha: float, sides: int) -> None:
    check_n(n)
    check_alpha(alpha)
    check_sides(sides, check_chance(chance))


@cache
def _tables() -> dict[_Key, dict[tuple[int, float], TableRow]]:
    tables: dict[_Key, dict[tuple[int, float], TableRow]] = {}
    text = resources.files("tasting.stats").joinpath("critical_numbers.csv").read_text("utf-8")
    for line in csv.DictReader(text.splitlines()):
        top, bottom = line["chance"].split("/")
        key = _Key(line["table"], int(top) / int(bottom), int(line["sides"]))
        row = _row(line)
        tables.setdefault(key, {})[row.n, row.alpha] = row
    return tables


def _row(line: dict[str, str]) -> TableRow:
    critical = int(line["critical"]) if line["critical"] else None
    return TableRow(line["table"], line["source"], int(line["n"]), float(line["alpha"]), critical)
