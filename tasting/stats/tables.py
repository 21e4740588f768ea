"""Published tables of critical numbers, looked up before anything is computed.

`critical_numbers.csv` beside this file holds, row by row, what was read in print and where. A
printed dash (not even n correct answers are enough) is an empty cell there and None here.
"""

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources

from tasting.stats.binomial import critical_number


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


def critical(
    n: int, chance: float, alpha: float = 0.05, sides: int = 1, table: str | None = None
) -> CriticalNumber:
    """Critical number from the method's own table, and exact where that does not reach.

    table: key of the table that a test with this chance and these sides may cite; without, the
    number is computed. Raises `InputError` for arguments out of range.

    >>> critical(30, 1 / 3, 0.05, table="fao-triangle").row.critical
    15
    """
    row = _rows().get((table, n, alpha))
    if row is None:
        return CriticalNumber(critical_number(n, chance, alpha, sides), None)
    return CriticalNumber(n + 1 if row.critical is None else row.critical, row)


@cache
def _rows() -> dict[tuple[str | None, int, float], TableRow]:
    text = resources.files("tasting.stats").joinpath("critical_numbers.csv").read_text("utf-8")
    rows = [_row(line) for line in csv.DictReader(text.splitlines())]
    return {(row.table, row.n, row.alpha): row for row in rows}


def _row(line: dict[str, str]) -> TableRow:
    critical = int(line["critical"]) if line["critical"] else None
    return TableRow(line["table"], line["source"], int(line["n"]), float(line["alpha"]), critical)
