"""Reads published values and data, one dict a row."""

import csv
from fractions import Fraction
from pathlib import Path

DATA = Path(__file__).parent.parent / "data"
PUBLISHED = Path(__file__).parents[2] / "tasting" / "published"
SHIPPED = Path(__file__).parents[2] / "tasting" / "stats" / "critical_numbers.csv"


def rows(name: str) -> list[dict[str, str]]:
    """A table of the program's own checks, or of the tests alone."""
    return read((PUBLISHED if (PUBLISHED / name).exists() else DATA) / name)


def read(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def ratio(text: str) -> float:
    """ "1/3" as the float that the code uses."""
    return float(Fraction(text))
