"""The numbers of a finding as tables: a finding in, data frames out."""

import pandas as pd

from tasting.insight.findings.finding import Finding

NONE = "–"


def numbers_table(found: Finding) -> pd.DataFrame:
    """Every number of a finding and how it was reached; the interval stands behind its value, where
    a phone shows it without scrolling."""
    return pd.DataFrame(
        {
            "Quantity": one.quantity,
            "Value (95 % interval)": one.value
            if one.interval == NONE
            else f"{one.value} ({one.interval})",
            "How": one.how,
        }
        for one in found.evidence.numbers(found.tally)
    )


def contrast_table(found: Finding) -> pd.DataFrame | None:
    """How often each answer was given for sets with and without a difference."""
    tally = found.tally
    if tally.by_option is None:
        return None
    none, some = tally.by_option
    return pd.DataFrame(
        {
            "Answer": [str(option) for option in tally.method.options],
            "Sets without a difference": [str(times) for times in none],
            "Sets with a difference": [str(times) for times in some],
        }
    )
