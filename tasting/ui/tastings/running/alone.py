"""A section of the run page: how one person tastes blind without a helper."""

import streamlit as st

from tasting.panel.plan import Plan

_STEPS = (
    "Print the cup labels and stick each one **under** its cup, so that it cannot be seen from "
    "above.",
    "Open the pour sheet and fill the cups, one sample after the other. Look at both samples: if "
    "they differ by eye, use dark cups, lids or dim light.",
    "Put the sheet away. Do something else for ten minutes, so that you forget which code got "
    "which sample.",
    "For each set: put its cups together and shuffle them with your eyes closed until you have "
    "lost track, then line them up.",
    "Taste from left to right. On your ballot tap the **place** of your choice first: it is "
    "recorded before you know the code.",
    "Only then lift that cup and type the code that stands under it.",
)
_REFERENCE = "Leave the cup that is marked as the reference out of the shuffling."


def steps_alone(plan: Plan) -> None:
    """The steps, and what stays hidden until the end."""
    st.subheader("Tasting alone")
    extra = (_REFERENCE,) if plan.procedure.poured > plan.procedure.cups else ()
    steps = (*_STEPS[:4], *extra, *_STEPS[4:])
    st.markdown("\n".join(f"{place}. {step}" for place, step in enumerate(steps, start=1)))
    st.write(
        f"Nothing tells you whether you were right before all {plan.tastings} sets are done and "
        "the session is closed. If you stop before, closing asks for the reason, and the finding "
        "says so. With a helper it is better: let them fill and set the cups, and taste as a "
        "panel of one."
    )
