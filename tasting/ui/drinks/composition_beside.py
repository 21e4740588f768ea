"""What is in a litre of a version, beside its parent and the label of a reference, as HTML."""

from collections.abc import Iterator, Mapping
from html import escape
from typing import Final

from tasting.drink import words
from tasting.drink.composition import Composition
from tasting.drink.declared import LabelInterval
from tasting.drink.label import Match, Reference, bands, matches
from tasting.drink.mixture import NAMES
from tasting.wording import interval

_FIGURES: Final = {
    "ta_g_per_l": "TA, g",
    "sugar_g_per_l": "Sugar, g",
    "alcohol_percent_vol": "Alcohol, % vol",
    "energy_kcal_per_l": "Energy, kcal",
    "ph": "pH",
}
_MEASURED: Final = words.MEASURED
_UNCERTAIN: Final = words.TOO_UNCERTAIN
_STYLE: Final = """<style>
.beside { width: 100%; border-collapse: collapse; }
.beside caption { position: absolute; width: 1px; height: 1px; overflow: hidden; }
.beside th, .beside td { padding: 0.35rem 0.4rem; border: 0; border-bottom: 1px solid var(--line);
  text-align: right; vertical-align: top; }
.beside th:first-child, .beside .label { text-align: left; }
.beside thead th { font-weight: 600; font-size: 0.875rem; }
.beside tbody th { font-weight: 400; }
.beside small { display: block; color: var(--soft); white-space: nowrap; }
.beside .label small { white-space: normal; }
.beside .inside small { color: var(--bay); } .beside .outside small { color: var(--rhubarb); }
</style>"""


def beside(columns: Mapping[str, Composition], reference: Reference | None, name: str) -> str:
    """The table, the first column being what it is about; `name` says of what it is."""
    first = next(iter(columns.values()))
    printed = dict(_label(first, reference)) if reference else None
    heads = [f"<th scope='col'>{escape(head)}</th>" for head in ("Per litre", *columns)]
    if reference:
        heads.append(f"<th scope='col' class='label'>{escape(f'Label of {reference.name}')}</th>")
    rows = "".join(_row(figure, columns, printed) for figure in _FIGURES)
    return (
        f"{_STYLE}<table class='beside'><caption>{escape(name)}</caption><thead><tr>"
        + "".join(heads)
        + f"</tr></thead><tbody>{rows}</tbody></table>"
    )


def _row(figure: str, columns: Mapping[str, Composition], printed: Mapping[str, str] | None) -> str:
    cells = [_cell(figure, made, index == 0) for index, made in enumerate(columns.values())]
    cells += (
        [printed.get(figure, "<td class='label'><small>not known</small></td>")]
        if printed is not None
        else []
    )
    return f"<tr><th scope='row'>{_FIGURES[figure]}</th>{''.join(cells)}</tr>"


def _cell(figure: str, made: Composition, with_range: bool) -> str:
    value = getattr(made, figure)
    text = NAMES[figure].bare(value)
    likely = words.likely(figure, made.intervals[figure]) if with_range else ""
    return f"<td>{escape(text)}{f'<small>{escape(likely)}</small>' if likely else ''}</td>"


def _label(made: Composition, reference: Reference) -> Iterator[tuple[str, str]]:
    """A cell for each value that is printed or was measured, by the figure of a composition."""
    meant = bands(reference)
    for match in matches(made, reference):
        figure = _FIGURE_OF[match.figure]
        if figure not in meant:
            continue
        verdict = {"inside": "inside", "outside": "outside"}.get(match.verdict, "")
        known, says = _said(figure, match, meant[figure][0])
        small = f"<small>{escape(says)}</small>"
        yield figure, f"<td class='label {verdict}'>{escape(known)}{small}</td>"


_FIGURE_OF: Final = {
    "alcohol_percent_vol": "alcohol_percent_vol",
    "energy_kcal_per_100ml": "energy_kcal_per_l",
    "sugar_g_per_100ml": "sugar_g_per_l",
    "ta_g_per_l": "ta_g_per_l",
    "ph": "ph",
    "brix": "refractometer_brix",
    "density_kg_per_l": "density_kg_per_l",
    "co2_g_per_l": "co2_g_per_l",
}


def _said(figure: str, match: Match, meant: LabelInterval) -> tuple[str, str]:
    """What a label or a measurement says, and how the version lies to it: "55–64" and "inside",
    "540–560" and "at least 6 above", "measured 6.2" and "too uncertain to say"."""
    write = NAMES[figure].bare
    between = interval(meant.low, meant.high, write)
    known = f"measured {write(match.declared)}" if figure in _MEASURED else between
    if match.verdict == "inside":
        return known, "inside"
    if match.verdict == "outside":
        times = 10 if match.figure.endswith("_per_100ml") else 1
        side = "above" if match.by > 0 else "below"
        return known, f"at least {write(abs(match.by) * times)} {side}"
    return known, _UNCERTAIN
