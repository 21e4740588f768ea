"""From a glass to a version: any of its steps, scaled back to a serving, the steps its reason."""

from collections.abc import Sequence
from typing import Final

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.bench import (
    Added,
    BenchLog,
    SavedAs,
    TastedAway,
    glasses,
    reason,
    saved,
    standing,
)
from tasting.drink.composition import compose
from tasting.drink.formula import Formula, Version
from tasting.drink.mixture import NAMES
from tasting.drink.questions import questions, unweighable
from tasting.insight.advice.question import version_name
from tasting.records import now
from tasting.store import bench, formulas
from tasting.store.bench import BenchGlass
from tasting.store.scale import scale_step_g
from tasting.ui import page, pages
from tasting.ui.drinks import before_saving, drink_actions
from tasting.ui.drinks import draft as drafting
from tasting.wording import short

_NOW: Final = "as it is now"


def show(engine: Engine, formula: Formula, glass: BenchGlass) -> None:
    """The form, folded."""
    if not glasses(glass.log)[-1].additions:
        return
    with st.expander("Save as a version"):
        after = _choose_step(glass)
        log, start = glass.log.up_to(after), glass.log.start
        step_g = scale_step_g(engine)
        serving_ml = compose(start).serving().volume_ml
        same_volume = st.checkbox(
            f"Scale all amounts to a serving of {short(serving_ml, 3)} mL",
            key=f"bench-scaled-{glass.id}",
            help="Otherwise the amounts stay as they were, and the serving grows by what went in.",
        )
        rounded = st.checkbox(
            f"Round what went in to {short(step_g)} g, as your scale shows it",
            key=f"bench-rounded-{glass.id}",
        )
        label, why = _choose_words(formula, glass)
        with page.show_errors():
            child = saved(
                log,
                id=formulas.new_id(),
                label=label,
                reason=reason(log, why),
                created_at=now(),
                same_volume=same_volume,
                scale_step_g=step_g if rounded else None,
            )
            _save(engine, glass, after, child)


def _choose_words(formula: Formula, glass: BenchGlass) -> tuple[str, str]:
    """The version name, and why it is saved."""
    why = st.text_input(
        "Why? (the steps are noted with it)",
        max_chars=500,
        key=f"bench-why-{glass.id}",
        placeholder="sharper, towards R",
    )
    suggested = drafting.next_label([known.label for known in formula.versions])
    key = f"bench-label-{glass.id}-{suggested}"
    return st.text_input("Version name", suggested, max_chars=120, key=key), why


def _choose_step(glass: BenchGlass) -> int:
    """After how many steps; only where something went in that still stands."""
    steps = glass.log.steps
    places = [
        place for place in standing(steps) if glasses(glass.log.up_to(place + 1))[-1].additions
    ]
    ends = [len(steps), *reversed([place + 1 for place in places[:-1]])]
    names = {end: f"after {steps[end - 1]}" for end in ends[1:]}
    if len(ends) == 1:
        return ends[0]
    return st.selectbox(
        "Which glass?",
        ends,
        format_func=lambda end: names.get(end, _NOW),
        key=f"bench-after-{glass.id}-{len(steps)}",
    )


def _save(engine: Engine, glass: BenchGlass, after: int, child: Version) -> None:
    """What will be saved, what may be a slip, and the button."""
    st.caption(page.escape_markdown(_said(child, glass.log.up_to(after))))
    place = f"bench-save-{glass.id}-{after}"
    pressed = st.button(
        f"Save as {page.escape_markdown(child.label)}", type="primary", key="bench-save"
    )
    start = glass.log.start
    asked = (*questions(child, start), *unweighable(child, start, scale_step_g(engine)))
    if before_saving.confirmed(place, asked, pressed):
        with page.show_errors():
            bench.save_version(engine, glass.id, after, child)
            page.say_later(f"{child.label} is saved.")


def _said(child: Version, log: BenchLog) -> str:
    """What differs from the start, the serving, and how far it is from what was in the glass."""
    start, made = log.start.parts, compose(child)
    changed = [f"{one.amount} {one.ingredient.name}" for one in child.parts if one not in start]
    tasted = compose(glasses(log)[-1].version)
    ta = NAMES["ta_g_per_l"]
    said = f"{'; '.join(changed)}. One serving is {short(made.serving().volume_ml, 3)} mL."
    if ta.write(made.ta_g_per_l) == ta.write(tasted.ta_g_per_l):
        return said
    return f"{said} TA {ta.write(made.ta_g_per_l)}; in the glass {ta.bare(tasted.ta_g_per_l)}."


def offer_comparison(engine: Engine, formula: Formula, glass: BenchGlass) -> bool:
    """The version that this glass became, to compare blind with what it began with; whether there
    is one."""
    last = _last_saved(glass.log.steps)
    child = next((one for one in formula.versions if last and one.id == last.version_id), None)
    if child is None:
        return False
    start = version_name(glass.log.start.label)
    name = page.escape_markdown(f"Compare {start} and {version_name(child.label)} blind …")
    if st.button(name, type="primary", key="bench-compare", width="stretch"):
        asked = drink_actions.two_samples(engine, formula, child)
        st.switch_page(pages.NEW.script, query_params=asked)
    return True


def _last_saved(steps: Sequence[object]) -> SavedAs | None:
    """The version that was saved last, where nothing was done to the glass since."""
    for step in reversed(steps):
        if isinstance(step, SavedAs):
            return step
        if isinstance(step, Added | TastedAway):
            return None
    return None
