"""What brings the acid, the sugar, the alcohol and the energy: data in; chart, alt text, table."""

from collections.abc import Iterator

import altair as alt
import pandas as pd

from tasting.drink.composition import Composition
from tasting.drink.mixture import NAMES
from tasting.wording import UNKNOWN, percent

_BROUGHT = {
    "ta_g_per_l": "Acid",
    "sugar_g_per_l": "Sugar",
    "alcohol_g_per_l": "Alcohol",
    "energy_kcal_per_l": "Energy",
}
"""What is shared out, by its name in a contribution and in a composition."""

_COLOURS = (
    "#E69F00",
    "#56B4E9",
    "#009E73",
    "#F0E442",
    "#CC79A7",
    "#D55E00",
    "#BBBBBB",
    "#8DA0CB",
)
"""Told apart by the colour-blind (after Okabe and Ito, 2008) and light enough for black numbers."""

LEAST_SHARE, NUMBERED, WRITTEN = 1.0, 4.0, 16.0
_LEAST_TOTAL = 1e-3
_ROW_PX = 34
FROM, TO, SHARE = "from", "to", "share"
OF, INGREDIENT, NUMBER = "of", "ingredient", "number"
Piece = tuple[str, str, float, float, float, float, str]


def contributions(made: Composition) -> tuple[alt.LayerChart, str, pd.DataFrame]:
    """A bar each of acid, sugar, alcohol and energy, split by ingredient.

    Every piece bears the number of its ingredient, so that colour is not needed to read it. The
    table has the amounts per litre; it also holds what is too little to be drawn.
    """
    shares = _shares(made)
    pieces = _pieces(shares)
    shown = [name for name in shares.index if name in set(pieces[INGREDIENT])]
    base = alt.Chart(pieces).encode(
        y=alt.Y(f"{OF}:N", sort=list(_BROUGHT.values()), title=None, axis=alt.Axis(ticks=False))
    )
    bars = base.mark_bar(stroke="white", strokeWidth=1).encode(
        x=alt.X(f"{FROM}:Q", title="Share of the whole, %"),
        x2=alt.X2(f"{TO}:Q", title="Share of the whole, %"),
        color=_colours(shown),
        tooltip=[
            alt.Tooltip(f"{OF}:N", title="Of the"),
            alt.Tooltip(f"{INGREDIENT}:N", title="Ingredient"),
            alt.Tooltip(f"{SHARE}:Q", title="Share, %", format=".0f"),
        ],
    )
    numbers = base.mark_text(color="black", fontSize=12).encode(
        x=alt.X("middle:Q", title="Share of the whole, %"),
        text=alt.Text(f"{NUMBER}:N", title="Number of the ingredient"),
    )
    height = _ROW_PX * max(pieces[OF].nunique(), 1)
    # Without "fit-x" the legend would take its height from the bars.
    fit = alt.AutoSizeParams(type="fit-x", contains="padding")
    chart = alt.LayerChart(layer=[bars, numbers], height=height, autosize=fit)
    return chart, _alt(shares), _table(made, shares)


def _shares(made: Composition) -> pd.DataFrame:
    """Per cent by ingredient (rows, numbered in the order of the recipe) and what it brings."""
    rows = pd.DataFrame(
        [
            [part.name, *(getattr(part, brought) for brought in _BROUGHT)]
            for part in made.contributions
        ],
        columns=[INGREDIENT, *_BROUGHT.values()],
    )
    known = [of for brought, of in _BROUGHT.items() if getattr(made, brought) is not None]
    amounts = rows.groupby(INGREDIENT, sort=False)[known].sum().astype(float)
    amounts.index = [f"{number} {name}" for number, name in enumerate(amounts.index, 1)]
    totals = amounts.sum()
    kept = totals[totals.abs() > _LEAST_TOTAL].index
    return 100 * amounts[kept] / totals[kept]


def _pieces(shares: pd.DataFrame) -> pd.DataFrame:
    return pd.DataFrame(
        [piece for of in shares.columns for piece in _row(of, shares[of])],
        columns=[OF, INGREDIENT, FROM, TO, "middle", SHARE, NUMBER],
    )


def _row(of: str, shares: "pd.Series[float]") -> Iterator[Piece]:
    """Pieces one after another; what takes something away goes to the left of zero."""
    right = left = 0.0
    for ingredient, share in shares.items():
        start = right if share > 0 else left
        end = start + share
        right, left = (end, left) if share > 0 else (right, end)
        if abs(share) >= LEAST_SHARE:
            number = str(ingredient).split(" ", 1)[0]
            text = number if abs(share) < WRITTEN else f"{number}: {percent(share / 100)}"
            label = text if abs(share) >= NUMBERED else ""
            yield of, str(ingredient), start, end, (start + end) / 2, share, label


def _colours(shown: list[str]) -> alt.Color:
    """Colours by the number of the ingredient; the legend says which number is which."""
    colours = [_COLOURS[(int(name.split(" ", 1)[0]) - 1) % len(_COLOURS)] for name in shown]
    legend = alt.Legend(
        orient="bottom", columns=1, labelLimit=300, title=None, symbolType="square", symbolSize=160
    )
    scale = alt.Scale(domain=shown, range=colours)
    return alt.Color(f"{INGREDIENT}:N", scale=scale, legend=legend, title="Ingredient")


def _alt(shares: pd.DataFrame) -> str:
    """One sentence: the largest share of each."""
    result = [
        f"{of.lower()} mostly from {str(shares[of].idxmax()).split(' ', 1)[1]} "
        f"({percent(shares[of].max() / 100)})"
        for of in shares.columns
    ]
    return f"What contributes what: {'; '.join(result)}." if result else "Nothing is contributed."


def _table(made: Composition, shares: pd.DataFrame) -> pd.DataFrame:
    """What each ingredient brings to a litre, with its share."""
    rows = []
    for name in shares.index:
        cells = [
            _cell(shares.loc[name, of] if of in shares else 0.0, getattr(made, brought), brought)
            for brought, of in _BROUGHT.items()
        ]
        rows.append((name, *cells))
    titles = [f"{of}, {NAMES[brought].unit}" for brought, of in _BROUGHT.items()]
    return pd.DataFrame(rows, columns=["Ingredient", *titles])


def _cell(share: float, total: float | None, brought: str) -> str:
    if total is None:
        return UNKNOWN
    amount = share / 100 * total
    if not round(amount, NAMES[brought].decimals):
        return UNKNOWN
    return f"{NAMES[brought].bare(amount)} ({percent(share / 100)})"
