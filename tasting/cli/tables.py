"""`tasting table`: how many answers show a difference."""

from typing import Annotated

import typer

from tasting.cli.numbers import number, whole
from tasting.cli.show import Json, show_json, show_table, tell
from tasting.errors import InputError
from tasting.panel.design import TestDesign
from tasting.panel.methods import METHODS, method_named
from tasting.panel.sizing_words import counted, title
from tasting.stats.tables import CriticalNumber, critical

_MOST_ROWS = 1000
MethodKey = Annotated[str, typer.Argument(metavar="METHOD", help=f"One of: {', '.join(METHODS)}.")]
OneSided = Annotated[
    bool, typer.Option("--one-sided", help="The direction was fixed before anyone tasted.")
]
Alphas = Annotated[
    list[float] | None,
    typer.Option(parser=number, metavar="N", help="One column each; may be repeated."),
]


def table(
    method: MethodKey,
    from_: Annotated[
        int, typer.Option("--from", parser=whole, metavar="N", help="Smallest number of tastings.")
    ] = 6,
    to: Annotated[
        int, typer.Option(parser=whole, metavar="N", help="Largest number of tastings.")
    ] = 30,
    alpha: Alphas = None,
    one_sided: OneSided = False,
    as_json: Json = False,
) -> None:
    """Critical numbers: the fewest answers of a kind that show a difference."""
    if not from_ <= to < from_ + _MOST_ROWS:
        raise InputError(f"give --from and --to in this order, at most {_MOST_ROWS} rows apart")
    design = TestDesign(method_named(method), expected="B" if one_sided else None)
    alphas = alpha or [0.05, 0.01, 0.001]
    rows = {n: [_cell(design, n, risk) for risk in alphas] for n in range(from_, to + 1)}
    if as_json:
        return show_json(
            {"method": design.method, "sides": design.sides, "cells": _cells(rows, alphas)}
        )
    show_table(
        f"{title(design)}: fewest {counted(design)} that show a difference",
        ["n", *(f"α = {risk:g}" for risk in alphas)],
        [[str(n), *(_mark(n, cell) for cell in row)] for n, row in rows.items()],
        text_columns=0,
    )
    tell(*_footnotes(rows))


def _cell(design: TestDesign, n: int, alpha: float) -> CriticalNumber:
    return critical(n, design.chance, alpha, design.sides, design.table)


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
