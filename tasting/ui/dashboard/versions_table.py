"""The versions of a formula, the newest first: what was changed, what is in it, what was found."""

import pandas as pd
import streamlit as st

from tasting.drink.composition import compose
from tasting.drink.formula import Version
from tasting.insight.advice.answers import shortened
from tasting.insight.advice.pair_words import findings_so_far
from tasting.insight.advice.question import Question
from tasting.ui.tables import show_table
from tasting.wording import day, decimals

_SHOWN = 6


def show(question: Question) -> None:
    """The last few, and all of them on demand."""
    rest = len(question.formula.versions) - _SHOWN
    everything = rest > 0 and st.toggle(f"Also show the other {rest}", key="all_versions")
    shown = _table(question, None if everything else _SHOWN)
    show_table(shown, "Versions, the newest first", ("Made",))


def _table(question: Question, most: int | None = None) -> pd.DataFrame:
    """A row for each version; `most`: only so many."""
    newest = list(reversed(question.formula.versions))[:most]
    return pd.DataFrame([_row(question, version) for version in newest])


def _row(question: Question, version: Version) -> dict[str, str]:
    made = compose(version)
    return {
        "Version": question.names[version.id],
        "Made": day(version.created_at),
        "Change": shortened(version.reason) or "first version",
        "TA, g/L": decimals(made.ta_g_per_l, 1),
        "Sugar, g/L": decimals(made.sugar_g_per_l, 0),
        "pH": decimals(made.ph, 1),
        "Findings so far": findings_so_far(question, version),
    }
