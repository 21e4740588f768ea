"""`tasting rank`: three or more products that each assessor ranked or rated."""

import csv
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from tasting.cli.numbers import Alpha
from tasting.cli.show import Json, show_json, show_table, tell
from tasting.errors import InputError
from tasting.reading import read_number
from tasting.stats.ranking import (
    Friedman,
    RankDifference,
    friedman,
    least_difference,
    rank_differences,
)
from tasting.store.documents import read_text
from tasting.wording import decimals, p_cell, p_value, short

RankFile = Annotated[
    Path,
    typer.Argument(
        metavar="FILE.csv",
        help="A row for each assessor; the first column names them, the others are the products.",
    ),
]


def rank(file: RankFile, alpha: Alpha = 0.05, as_json: Json = False) -> None:
    """Do three or more products differ in their ranks? Friedman's test, and which pairs do."""
    remarks, products, ratings = _ratings_in(read_text(file))
    found, pairs = friedman(ratings), rank_differences(ratings)
    least = least_difference(len(ratings), len(products), alpha)
    if as_json:
        return show_json(
            {
                "products": products,
                "friedman": found,
                "least_difference": least,
                "pairs": pairs,
                "remarks": remarks,
            }
        )
    tell(*remarks, _verdict(found, alpha))
    order = sorted(range(len(products)), key=lambda place: found.rank_sums[place])
    show_table(
        "Rank sums, smallest value first",
        ["Product", "Rank sum", "Mean rank"],
        [
            [products[p], short(found.rank_sums[p]), decimals(found.rank_sums[p] / len(ratings), 2)]
            for p in order
        ],
    )
    show_table(
        "Pairs, p corrected for all of them",
        ["Pair", "Rank sum difference", "p", "Differ"],
        [_line(pair, products, alpha) for pair in pairs],
    )
    tell(_least(least, alpha, found.exact))


def _verdict(test: Friedman, alpha: float) -> str:
    shown = "were" if test.p_value <= alpha else "were not"
    how = "exact, over all permutations" if test.exact else "chi-square approximation"
    return (
        f"The products {shown} shown to differ: Friedman's χ² = {test.statistic:.2f}, "
        f"{test.degrees} degrees of freedom, p {p_value(test.p_value)} ({how}; α = {alpha:g}); "
        f"{test.assessors} assessors, Kendall's W = {test.concordance:.2f}."
    )


def _least(least: float | None, alpha: float, exact: bool) -> str:
    if least is None:
        return f"With so few assessors, no two rank sums could be shown to differ at α = {alpha:g}."
    how = "exact" if exact else "large-sample approximation"
    return f"Without ties, rank sums {least:.3g} or more apart differ at α = {alpha:g} ({how})."


def _line(pair: RankDifference, products: Sequence[str], alpha: float) -> list[str]:
    return [
        f"{products[pair.first]} – {products[pair.second]}",
        short(abs(pair.difference)),
        p_cell(pair.p_value),
        "shown" if pair.p_value <= alpha else "not shown",
    ]


def _ratings_in(text: str) -> tuple[list[str], list[str], list[list[float]]]:
    """Remarks, names of the products, and a row of ratings for each assessor.

    Raises InputError for rows of unequal length, a rating that is no number, or a name that
    occurs twice.
    """
    lines = text.removeprefix("\ufeff").splitlines()
    remarks = [line.lstrip("# ") for line in lines if line.startswith("#")]
    try:
        rows = list(csv.reader(line for line in lines if line.strip() and not line.startswith("#")))
    except csv.Error as error:
        raise InputError(f"this is not CSV: {error}; save the table as CSV again") from None
    header = [name.strip() for name in rows[0]] if rows else []
    if len(header) < 4:
        raise InputError("the first line has to name the assessor's column and 3 products or more")
    _check_once("product", header[1:])
    _check_once("assessor", [row[0].strip() for row in rows[1:]])
    return remarks, header[1:], [_ratings(row, header) for row in rows[1:]]


def _check_once(kind: str, names: Sequence[str]) -> None:
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise InputError(f"the {kind} {twice!r} occurs twice; name each once")


def _ratings(row: Sequence[str], header: Sequence[str]) -> list[float]:
    if len(row) != len(header):
        raise InputError(
            f"assessor {row[0]!r} has {len(row) - 1} values for {len(header) - 1} products; "
            "every assessor must have judged every product"
        )
    return [
        _number(cell, row[0], product) for cell, product in zip(row[1:], header[1:], strict=True)
    ]


def _number(cell: str, assessor: str, product: str) -> float:
    try:
        return read_number(cell)
    except InputError as error:
        raise InputError(f"assessor {assessor!r}, {product}: {error}") from None
