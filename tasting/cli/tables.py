"""`tasting table`: how many answers show a difference."""

from typing import Annotated

import typer

from tasting.cli.show import Json, show_json, show_table, tell
from tasting.errors import InputError
from tasting.panel.methods import METHODS, Method, method_named
from tasting.stats.tables import CriticalNumber, critical

MOST_ROWS = 1000
MethodKey = Annotated[str, typer.Argument(metavar="METHOD", help=f"One of: {', '.join(METHODS)}.")]
OneSided = Annotated[
    bool, typer.Option("--one-sided", help="The direction was fixed before anyone tasted.")
]
Alphas = Annotated[list[float] | None, typer.Option(help="One column each; may be repeated.")]


def title(method: Method, sides: int) -> str:
    """The method, and whether its direction was fixed beforehand."""
    return f"{method.name}, {'one' if sides == 1 else 'two'}-sided"


def counted(method: Method, sides: int) -> str:
    """What is counted."""
    if method.question_kind == "difference" or method.directional_b:
        return "correct answers"
    return "choices of the expected sample" if sides == 1 else "choices of one of the two samples"


def table(
    method: MethodKey,
    from_: Annotated[int, typer.Option("--from", help="Smallest number of tastings.")] = 6,
    to: Annotated[int, typer.Option(help="Largest number of tastings.")] = 30,
    alpha: Alphas = None,
    one_sided: OneSided = False,
    as_json: Json = False,
) -> None:
    """Critical numbers: the fewest answers of a kind that show a difference."""
    if not from_ <= to < from_ + MOST_ROWS:
        raise InputError(f"give --from and --to in this order, at most {MOST_ROWS} rows apart")
    chosen = method_named(method)
    sides = chosen.sides(direction_fixed=one_sided)
    alphas = alpha or [0.05, 0.01, 0.001]
    rows = {n: [_cell(chosen, n, risk, sides) for risk in alphas] for n in range(from_, to + 1)}
    if as_json:
        return show_json({"method": chosen, "sides": sides, "cells": _cells(rows, alphas)})
    show_table(
        f"{title(chosen, sides)}: fewest {counted(chosen, sides)} that show a difference",
        ["n", *(f"α = {risk:g}" for risk in alphas)],
        [[str(n), *(_mark(n, cell) for cell in row)] for n, row in rows.items()],
        text_columns=0,
    )
    tell(*_footnotes(rows))


def _cell(method: Method, n: int, alpha: float, sides: int) -> CriticalNumber:
    return critical(n, method.chance, alpha, sides, method.table if sides == 1 else None)


def _cells(
    rows: dict[int, list[CriticalNumber]], alphas: list[float]
) -> list[dict[str, float | str | None]]:
    return [
        {
            "n": n,
            "alpha": risk,
            "critical": cell.value if cell.value <= n else None,
            "source": cell.row.source if cell.row else None,
        }
        for n, row in rows.items()
        for risk, cell in zip(alphas, row, strict=True)
    ]


def _mark(n: int, cell: CriticalNumber) -> str:
    number = str(cell.value) if cell.value <= n else "–"
    return f"{number} *" if cell.row else f"{number}  "


def _footnotes(rows: dict[int, list[CriticalNumber]]) -> list[str]:
    printed = {cell.row.source for row in rows.values() for cell in row if cell.row}
    notes = [f"* as printed in {source}" for source in sorted(printed)]
    return [*notes, "Without *: exact binomial. –: not even n answers would show a difference."]
