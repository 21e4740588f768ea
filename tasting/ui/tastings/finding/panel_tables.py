"""Looks at the panel as tables and sentences."""

from collections.abc import Sequence

import pandas as pd

from tasting.insight.findings.panel_checks import PanelCheck, false_alarm
from tasting.stats.panel_check import AssessorCheck, Check
from tasting.wording import p_cell, percent

MEANING = (
    "A small p is a reason to look at how the cups were served, not a finding about the drinks. "
    "Holm's p corrects for the number of checks in this table."
)


def looks_table(found: Sequence[PanelCheck]) -> pd.DataFrame:
    """One row for each look at a session."""
    return pd.DataFrame(
        {
            "Check": look.question,
            "Observed": look.seen,
            "p": p_cell(look.check.p_value),
            "Holm's p": p_cell(look.holm_p_value),
            "How": _how(look.check),
        }
        for look in found
    )


def assessors_table(found: Sequence[AssessorCheck]) -> pd.DataFrame:
    """One row for each assessor, the most remarkable first."""
    ordered = sorted(found, key=lambda check: check.p_value)
    return pd.DataFrame(
        {
            "Assessor": str(check.assessor),
            "Correct": f"{check.correct} of {check.n}",
            "Expected": f"{check.expected:.1f}",
            "p": p_cell(check.p_value),
            "Holm's p": p_cell(check.holm_p_value),
        }
        for check in ordered
    )


def alarm_sentence(checks: int) -> str:
    """How soon many looks give a false alarm."""
    if checks == 1:
        return "1 check. Even if nothing is wrong, there is a 5 % chance that it shows p < 0.05."
    return (
        f"{checks} checks. Even if nothing is wrong, there is a "
        f"{percent(false_alarm(checks))} chance that at least one shows p < 0.05."
    )


def _how(check: Check) -> str:
    return f"{check.draws} random draws" if check.draws else "exact"
