"""The first answer to a set counts, and a second screen of the same seat is told so.

Two tabs or two phones may show the same set. When one of them answers it, the other one goes on to
the next set at its next tap; without a word its assessor would think that this tap was recorded.
"""

import streamlit as st

from tasting.store.ballots import Ballot

Stage = tuple[int, bool]
"""A set, and for who tastes alone whether its place was chosen already."""


def stage(shown: Ballot) -> Stage:
    """What comes next on this seat; after the last set, a set that is not there."""
    if shown.codes:
        return shown.replicate, shown.position is not None
    return shown.replicate + 1, False


def answered_here(shown: Ballot) -> None:
    """Remember that this screen itself goes on from the stage that it shows.

    To be called before the answer is kept: a second tap may end the run right after that.
    """
    st.session_state.pop(_drawn(shown), None)


def answered_elsewhere(shown: Ballot) -> None:
    """Remember that it did not: another screen was faster."""
    st.session_state[_drawn(shown)] = stage(shown)


def tell_if_late(shown: Ballot) -> None:
    """One sentence, on the screen that comes next, when the stage before was answered elsewhere."""
    now, before = stage(shown), st.session_state.get(_drawn(shown))
    told = f"late-{shown.session_id}"
    if shown.withdrawn or shown.state != "open":
        return
    if before is not None and before < now:
        st.session_state[told] = (now, _sentence(before, now))
    st.session_state[_drawn(shown)] = now
    kept = st.session_state.get(told)
    if kept and kept[0] == now:
        st.warning(kept[1])


def _drawn(shown: Ballot) -> str:
    return f"drawn-{shown.session_id}"


def _sentence(before: Stage, now: Stage) -> str:
    if before[0] == now[0]:
        return "The place of your choice had been given already; the first one counts."
    return (
        f"Set {before[0]} had been answered already, on another screen or on paper; the first "
        "answer counts."
    )
