"""What is in the glass, how that changed since it was poured, and how far the reference is."""

from collections.abc import Mapping
from html import escape
from typing import Final

from tasting.drink.change import LevelChange, changes
from tasting.drink.composition import Composition, compose
from tasting.drink.formula import Version
from tasting.drink.label import Reference, known
from tasting.drink.mixture import NAMES
from tasting.drink.words import likely
from tasting.wording import UNKNOWN

_ROWS: Final[Mapping[str, str]] = {
    "ta_g_per_l": "TA, g/L",
    "sugar_g_per_l": "Sugar, g/L",
    "ph": "pH",
    "alcohol_percent_vol": "Alcohol, % vol",
    "volume_ml": "Volume, mL",
}
_STYLE: Final = """<style>
.glass { width: 100%; border-collapse: collapse; margin: 0; }
.glass caption { caption-side: bottom; text-align: left; padding-top: 0.25rem; color: var(--soft);
  font-size: 0.875rem; }
.glass th, .glass td { padding: 0.2rem 0.3rem; border: 0; border-bottom: 1px solid var(--line);
  text-align: right; white-space: nowrap; }
.glass th:first-child { text-align: left; padding-left: 0; }
.glass thead th { font-weight: 600; font-size: 0.875rem; color: var(--soft); }
.glass tbody th { font-weight: 400; font-size: 0.9375rem; }
.glass td:nth-child(2) { font-weight: 600; }
</style>"""


def glass_table(now: Version, poured: Version, reference: Reference | None) -> str:
    """The table as HTML; whatever was typed is shown as it was typed."""
    made, before, known = compose(now), compose(poured), changes(now, poured)
    heads = ["Figure", "Glass", "Change", *(["Ref.", "Off by"] if reference else [])]
    head = "".join(f"<th scope='col'>{word}</th>" for word in heads)
    rows = "".join(
        _row(figure, made, _since(figure, made, before, known), reference) for figure in _ROWS
    )
    said = "Change: since it was poured."
    if reference:
        said += f" Ref.: {reference.name}. Off by: glass minus reference."
    ta = likely("ta_g_per_l", made.intervals["ta_g_per_l"])
    said += f" TA is likely {ta}." if ta != UNKNOWN else ""
    return (
        f"{_STYLE}<table class='glass'><caption>{escape(said)}</caption>"
        f"<thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"
    )


def _since(
    figure: str, made: Composition, before: Composition, known: Mapping[str, LevelChange]
) -> str:
    """What was added is known, even where what it was added to is not."""
    if figure in known:
        return _signed(figure, known[figure].value)
    return _change(figure, getattr(made, figure), getattr(before, figure))


def _row(figure: str, made: Composition, since: str, reference: Reference | None) -> str:
    value = getattr(made, figure)
    cells = [_bare(figure, value), since]
    if reference:
        meant = known(reference, figure)
        aim = meant[0] if meant else None
        cells += [_bare(figure, aim), _change(figure, value, aim)]
    said = "".join(f"<td>{cell}</td>" for cell in cells)
    return f"<tr><th scope='row'>{_ROWS[figure]}</th>{said}</tr>"


def _bare(figure: str, value: float | None) -> str:
    return UNKNOWN if value is None else NAMES[figure].bare(value)


def _change(figure: str, value: float | None, before: float | None) -> str:
    return _signed(figure, None if value is None or before is None else value - before)


def _signed(figure: str, change: float | None) -> str:
    return UNKNOWN if change is None else NAMES[figure].change(change)
