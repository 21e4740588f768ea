"""A section of an open session: how one person tastes blind in a kitchen, without a helper."""

import streamlit as st
from sqlalchemy import Engine

from tasting.store.sessions import Summary

_STEPS = (
    "Go to **Pour** and print the labels on both sides of the paper. Cut them with the side up "
    "that shows a letter and a set; leave the codes face down.",
    "Lay out a place on the worktop for each set. Make both samples. If they differ by eye, use "
    "dark cups or lids, or turn the lamp down.",
    "Stack A: put glue or double-sided tape on the letter, fill a cup with sample A and press it "
    "on the label. Put it on the place of the set that the label names. Then stack B, the same "
    "way. The codes now stand under the cups, and you have read none.",
    "One set at a time: close your eyes and shuffle its cups until you have lost track, then line "
    "them up.",
    "Taste from left to right. On your ballot tap the **place** of your choice first: it is "
    "recorded before you know the code.",
    "Only then lift that cup and type the code under it.",
)
_REFERENCE = "Leave the cup that is marked as the reference out of the shuffling."


def steps_alone(_: Engine, known: Summary) -> None:
    """The steps, and what stays hidden until the end."""
    plan = known.plan
    extra = (_REFERENCE,) if plan.procedure.poured > plan.procedure.cups else ()
    steps = (*_STEPS[:4], *extra, *_STEPS[4:])
    st.markdown("\n".join(f"{place}. {step}" for place, step in enumerate(steps, start=1)))
    done = "the set is" if plan.tastings == 1 else f"all {plan.tastings} sets are"
    st.caption(
        f"You learn whether you were correct only when {done} done and the "
        "session is closed. A helper who fills and sets the cups is better still: then plan a "
        "panel of one."
    )
