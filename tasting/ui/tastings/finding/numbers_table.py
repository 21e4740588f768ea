"""The numbers of a finding as tables: a finding in, data frames out."""

import pandas as pd

from tasting.insight.findings.finding import Finding

_COLUMNS = ("Quantity", "Value", "95 % interval", "How")
NONE = "–"


def numbers_table(found: Finding) -> pd.DataFrame:
    """Every number of a finding with its interval and how it was reached."""
    rows = [
        (one.quantity, one.value, one.interval, one.how)
        for one in found.evidence.numbers(found.tally)
    ]
    return pd.DataFrame(rows, columns=list(_COLUMNS))


def narrow(table: pd.DataFrame) -> pd.DataFrame:
    """The same with the interval behind its value, which a phone shows without scrolling."""
    value, interval = _COLUMNS[1:3]
    both = [
        one if two == NONE else f"{one} ({two})"
        for one, two in zip(table[value], table[interval], strict=True)
    ]
    return pd.DataFrame(
        {
            _COLUMNS[0]: table[_COLUMNS[0]],
            f"{value} ({interval})": both,
            _COLUMNS[3]: table[_COLUMNS[3]],
        }
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
