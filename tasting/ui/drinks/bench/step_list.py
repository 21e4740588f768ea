"""The steps of a glass, the newest first, each with what was in the glass after it, as HTML."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Final
from urllib.parse import urlencode

import streamlit as st
from markupsafe import Markup

from tasting.drink.bench import Glass, SavedAs, Tasted, Undone, glasses, standing
from tasting.drink.composition import compose
from tasting.drink.mixture import NAMES
from tasting.store.bench import BenchGlass
from tasting.ui import pages
from tasting.wording import UNKNOWN, clock, millilitres

_SHOWN: Final = 4
_STYLE: Final = Markup("""<style>
.steps { list-style: none; margin: 0 !important; padding: 0 !important; }
.steps li { margin: 0 !important; padding: 0.3rem 0; border-bottom: 1px solid var(--line); }
.steps .soft { display: block; }
.steps time { float: right; color: var(--soft); font-size: 0.875rem; }
.steps a { display: inline-flex; align-items: center; min-height: 44px; color: var(--bay); }
</style>""")


def show(glass: BenchGlass) -> None:
    """The last steps, and the earlier ones folded."""
    lines = list(_lines(glass))
    st.html('<h2 class="asks">Steps</h2>')
    st.html(_list(lines[:_SHOWN]))
    if len(lines) > _SHOWN:
        with st.expander(f"{len(lines) - _SHOWN} earlier"):
            st.html(_list(lines[_SHOWN:]))


def _list(lines: Sequence[Markup]) -> str:
    return _STYLE + Markup('<ol class="steps">{}</ol>').format(Markup("").join(lines))


def _lines(glass: BenchGlass) -> Iterator[Markup]:
    """A line for each step, the newest first, and one for the glass as it was poured."""
    log, after = glass.log, glasses(glass.log)
    stand = standing(log.steps)
    undone = _undone(glass)
    for place in reversed(range(len(log.steps))):
        step = log.steps[place]
        if isinstance(step, Tasted):
            said, more = Markup("“<i>{}</i>”").format(step.note), ""
        elif isinstance(step, SavedAs):
            said, more = _link(glass, step), ""
        elif isinstance(step, Undone):
            said, more = Markup("Undone: {}").format(log.steps[undone[place]]), ""
        elif place in stand:
            said, more = Markup("<b>{}</b>").format(step), _levels(after[place + 1])
        else:
            said, more = Markup("<s>{}</s> undone").format(step), ""
        yield _line(said, more, glass.made_at[place])
    poured = Markup("<b>{} poured</b>").format(millilitres(log.poured_ml))
    yield _line(poured, _levels(after[0]), glass.poured_at)


def _undone(glass: BenchGlass) -> dict[int, int]:
    """The place of the step that each undoing took back, by the place of the undoing."""
    steps = glass.log.steps
    return {
        place: standing(steps[:place])[-1]
        for place, step in enumerate(steps)
        if isinstance(step, Undone)
    }


def _line(said: Markup, more: str, moment: datetime) -> Markup:
    levels = Markup('<span class="soft">{}</span>').format(more) if more else ""
    return Markup("<li><time>{}</time>{}{}</li>").format(clock(moment), said, levels)


def _link(glass: BenchGlass, step: SavedAs) -> Markup:
    address = urlencode({"id": glass.formula_id, "version": step.version_id})
    return Markup('<a href="{}?{}">Saved as {}</a>').format(
        pages.DRINK.address, address, step.label
    )


def _levels(glass: Glass) -> str:
    """What was in it, on one line."""
    made = compose(glass.version)
    parts = {
        "TA {}": "ta_g_per_l",
        "sugar {} g/L": "sugar_g_per_l",
        "pH {}": "ph",
        "{} % vol": "alcohol_percent_vol",
        "{} mL": "volume_ml",
    }
    values = {figure: getattr(made, figure) for figure in parts.values()}
    return " · ".join(
        said.format(UNKNOWN if values[figure] is None else NAMES[figure].bare(values[figure]))
        for said, figure in parts.items()
    )
