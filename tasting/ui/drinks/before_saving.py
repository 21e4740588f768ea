"""What is asked before a version is saved, and the step of the scale that it is asked about."""

from collections.abc import Iterable, Sequence
from math import isnan

import streamlit as st
from sqlalchemy import Engine
from streamlit.delta_generator import DeltaGenerator

from tasting.store.scale import keep_scale_step, scale_step_g
from tasting.ui import fields, page


def scale_step(engine: Engine, key: str, place: DeltaGenerator | None = None) -> float:
    """The step of the host's scale in g, kept for the next time; NOT_READ as it is."""
    kept = scale_step_g(engine)
    step = fields.number("Scale step, g", key, 1e-3, 100, kept, place=place)
    if not isnan(step) and step != kept:
        keep_scale_step(engine, step)
    return step


def hint(said: Iterable[str]) -> None:
    """What is good to know, and nothing to decide."""
    for one in said:
        st.caption(page.escape_markdown(one))


def confirmed(place: str, asked: Sequence[str], pressed: bool) -> bool:
    """Whether to save: at once where nothing is asked, else when the box for just that is ticked.

    The questions appear when the button is pressed, and stay until they no longer apply.
    """
    key, now = f"asked-{place}", tuple(asked)
    if not now:
        return pressed
    if pressed:
        st.session_state[key] = now
    if st.session_state.get(key) != now:
        return False
    st.warning("\n".join(f"- {page.escape_markdown(one)}" for one in now))
    ticked = st.checkbox("Save it like this", key=f"sure-{place}-{hash(now)}")
    if pressed and not ticked:
        st.write("Not saved yet: correct it, or tick the box and press the button again.")
    return pressed and ticked
