"""What is in the glass, how that changed since it was poured, and the label beside it."""

from collections.abc import Mapping
from html import escape
from typing import Final

from tasting.drink.composition import Composition
from tasting.drink.label import Reference
from tasting.drink.mixture import NAMES
from tasting.ui.drinks.composition_beside import label_cells
from tasting.wording import UNKNOWN

ROWS: Final[Mapping[str, str]] = {
    "ta_g_per_l": "TA, g/L",
    "sugar_g_per_l": "Sugar, g/L",
    "ph": "pH",
    "alcohol_percent_vol": "Alcohol, % vol",
    "volume_ml": "Volume, mL",
}
_STYLE: Final = """<style>
.glass { width: 100%; border-collapse: collapse; }
.glass caption { position: absolute; width: 1px; height: 1px; overflow: hidden; }
.glass th, .glass td { padding: 0.2rem 0.35rem; border: 0; border-bottom: 1px solid var(--line);
  text-align: right; vertical-align: top; }
.glass th:first-child, .glass .label { text-align: left; }
.glass thead th { font-weight: 600; font-size: 0.875rem; color: var(--soft); }
.glass tbody th { font-weight: 400; white-space: nowrap; }
.glass td:nth-child(2) { font-weight: 600; }
.glass small { color: var(--soft); display: block; }
.glass .inside small { color: var(--bay); } .glass .outside small { color: var(--rhubarb); }
</style>"""


def glass_table(
    now: Composition, poured: Composition, reference: Reference | None, name: str
) -> str:
    """The table as HTML; `name` says of what it is, for those who listen."""
    cells = dict(label_cells(now, reference)) if reference else None
    heads = ["", "Glass", "Change"]
    head = "".join(f"<th scope='col'>{escape(word)}</th>" for word in heads)
    if reference:
        head += f"<th scope='col' class='label'>{escape(reference.name)}</th>"
    rows = "".join(_row(figure, now, poured, cells) for figure in ROWS)
    return (
        f"{_STYLE}<table class='glass'><caption>{escape(name)}</caption>"
        f"<thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"
    )


def _row(
    figure: str, now: Composition, poured: Composition, cells: Mapping[str, str] | None
) -> str:
    value, before = getattr(now, figure), getattr(poured, figure)
    known = value is not None and before is not None
    text = UNKNOWN if value is None else NAMES[figure].bare(value)
    change = NAMES[figure].change(value - before) if known else UNKNOWN
    row = f"<th scope='row'>{ROWS[figure]}</th><td>{text}</td><td>{change}</td>"
    if cells is not None:
        row += cells.get(figure, f"<td class='label'>{UNKNOWN}</td>")
    return f"<tr>{row}</tr>"
