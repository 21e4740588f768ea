"""Who tastes, and how often: proposed is what reaches the planned power."""

from collections.abc import Sequence
from contextlib import suppress
from datetime import date, time
from math import ceil, isnan
from typing import Any

import streamlit as st

from tasting.errors import InputError
from tasting.panel import sizing
from tasting.panel.design import TestDesign
from tasting.records import now
from tasting.ui import fields
from tasting.ui.tastings.planning import care
from tasting.wording import appointment

_COUNT, _PROPOSED = "people-shown", "proposed-"
_USUAL_PEOPLE, _MOST_PEOPLE, _MOST_SETS, _SETS_ALONE = 8, 60, 20, 6


def forget_proposals() -> None:
    """What stands in the fields now was put there by somebody, and no proposal replaces it."""
    for key in [key for key in st.session_state if str(key).startswith(_PROPOSED)]:
        del st.session_state[key]


def propose(key: str, value: str) -> None:
    """Puts a proposal into a field, unless somebody typed another value there."""
    last = f"{_PROPOSED}{key}"
    before = st.session_state.get(last)
    if st.session_state.get(key, before) == before:
        st.session_state[key] = value
    st.session_state[last] = value


def _tastings_needed(design: TestDesign) -> int:
    """How many tastings reach the planned power. Raises InputError where none can be planned."""
    if not design.has_chance:
        return sizing.contrast_size(design).n
    if design.aim == "similarity":
        return sizing.similarity_size(design).n
    return sizing.difference_size(design).n


def ask(design: TestDesign | None) -> dict[str, Any]:
    """Who tastes, how often, and when, as fields of the plan."""
    assessors, replicates, alone = _people(design)
    on, at = _when()
    return {
        "assessors": assessors,
        "replicates": replicates,
        "alone": alone,
        "taste_on": on,
        "taste_at": at,
    }


def _people(design: TestDesign | None) -> tuple[Sequence[str], float, bool]:
    """Pseudonyms, sets for each, and whether one person tastes without a helper."""
    needed = _USUAL_PEOPLE
    if design:
        with suppress(InputError):  # said where the risks are typed
            needed = _tastings_needed(design)
    alone = care.alone()
    if alone:
        propose("alone_sets", str(min(needed, _SETS_ALONE)))
        name, sets = st.columns(2)
        return *care.one_person(name, sets), True
    return *_panel(needed, once=design is not None and _once(design)), False


def _when() -> tuple[date | None, time | None]:
    """The day, today at first, and the time if there is one."""
    st.session_state.setdefault("taste_on", now().astimezone().date())
    on, at = st.columns(2)
    day = on.date_input("Day", None, format="YYYY-MM-DD", key="taste_on")
    time_ = at.time_input("Time (optional)", None, key="taste_at")
    if day and day < now().astimezone().date():
        st.warning(f"{appointment(day, None)} has passed. Choose the day of the tasting.")
    return day, time_


def _once(design: TestDesign) -> bool:
    """Whether repeated answers of the same assessors would not count for this question."""
    return design.aim == "similarity" or not design.method.has_right_answer


def _panel(needed: int, *, once: bool) -> tuple[Sequence[str], float]:
    """So many assessors with so many sets each, or a list of them."""
    propose("people", str(min(needed, _MOST_PEOPLE) if once else _USUAL_PEOPLE))
    people, times = st.columns(2)
    count = fields.number(
        "Assessors", "people", 1, _MOST_PEOPLE, _USUAL_PEOPLE, whole=True, place=people
    )
    # While the count cannot be read, the names that were typed stay.
    shown = st.session_state.get(_COUNT, _USUAL_PEOPLE) if isnan(count) else int(count)
    st.session_state[_COUNT] = shown
    propose("replicates", "1" if once else str(min(ceil(needed / shown), _MOST_SETS)))
    sets = fields.number("Sets for each", "replicates", 1, _MOST_SETS, 1, whole=True, place=times)
    with st.expander("Pseudonyms"):
        names = st.text_area(
            "Assessor pseudonyms, one per line (no real names)",
            value="\n".join(f"P{number:02d}" for number in range(1, shown + 1)),
            key=f"names-{shown}",
        )
    listed = [name.strip() for name in names.splitlines() if name.strip()]
    return listed, fields.NOT_READ if isnan(count) else sets
