"""One published value beside the one computed here."""

import csv
from dataclasses import dataclass
from fractions import Fraction
from importlib.resources import files
from typing import SupportsFloat

Row = dict[str, str]


@dataclass(frozen=True, slots=True)
class PublishedValue:
    """A published value and the computed one.

    table: file that holds it, without the ending; case: which of its values; status: seen, memory
    or computed; allowed: largest deviation that the print, or what it rests on, explains;
    known_to_differ: by how much it is known to be off, 0 for nearly all
    """

    table: str
    case: str
    source: str
    status: str
    printed: float
    computed: float
    allowed: float
    known_to_differ: float = 0.0

    @property
    def deviation(self) -> float:
        """Computed minus printed."""
        return self.computed - self.printed

    @property
    def agrees(self) -> bool:
        """Whether the deviation is what is allowed, or the one that is known."""
        return self._near(self.known_to_differ)

    @property
    def deviates(self) -> bool:
        """Whether the deviation is more than the print explains, known or not."""
        return not self._near(0.0)

    def _near(self, expected: float) -> bool:
        # A hair of room: 2.085 - 2.084 is not 0.001 to the last bit.
        return abs(self.deviation - expected) <= self.allowed * (1 + 1e-9)


def rows(table: str, folder: str = "tasting.published") -> list[Row]:
    """The rows of a published table, a dict each."""
    text = files(folder).joinpath(f"{table}.csv").read_text("utf-8")
    return list(csv.DictReader(text.splitlines()))


def check(
    table: str,
    row: Row,
    case: str,
    printed: str,
    computed: SupportsFloat,
    *,
    allowed: float = 0.0,
    known_to_differ: float = 0.0,
) -> PublishedValue:
    """A value of this row beside the computed one."""
    return PublishedValue(
        table,
        case,
        row["source"],
        row["status"],
        float(printed),
        float(computed),
        allowed,
        known_to_differ,
    )


def ratio(text: str) -> float:
    """A chance as the tables write it.

    >>> ratio("1/2")
    0.5
    """
    return float(Fraction(text))
