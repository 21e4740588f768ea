"""Reads the published values in tests/published, one dict a row."""

import csv
from fractions import Fraction
from pathlib import Path

FOLDER = Path(__file__).parent.parent / "published"
SHIPPED = Path(__file__).parents[2] / "tasting" / "stats" / "critical_numbers.csv"


def rows(name: str) -> list[dict[str, str]]:
    return read(FOLDER / name)


def read(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def ratio(text: str) -> float:
    """ "1/3" as the float that the code uses."""
    return float(Fraction(text))
