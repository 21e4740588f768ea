"""The share who notice as a table; the chart's marks say the same, column by column."""

from collections.abc import Sequence

import pandas as pd

from tasting.insight.noticing.drivers import Driver
from tasting.insight.noticing.marks import SessionShare
from tasting.stats.results import Estimate
from tasting.wording import decimals, percent_with_interval, signed

SESSION, METHOD, TASTINGS, TASTED_BY, DIFFERS = (
    "Session",
    "Method",
    "Tastings n",
    "Tasted by",
    "What else differs",
)
AS_TRIANGLE = "Share who notice, as a triangle test, %"
_OWN = "Share who notice, own method (p_d), %"
_LEAD = "Lead in preference, %"
_SHOWN = "Difference"
_SAMPLES = "B against A"
ALONE, PANEL = "one person", "a panel"
NOTHING_ELSE, MORE = "no other modelled figure", "something"
UNKNOWN, NONE = "unknown", "–"
UNBROKEN = (AS_TRIANGLE, _OWN, _SHOWN, TASTED_BY)


def table(shares: Sequence[SessionShare], driver: Driver) -> pd.DataFrame:
    """A line for each session, by size of the step; intervals are 95 % intervals."""
    ordered = sorted(shares, key=lambda one: abs(one.steps.get(driver.key, float("inf"))))
    return pd.DataFrame([line(one, driver) for one in ordered]).fillna(NONE)


def line(one: SessionShare, driver: Driver) -> dict[str, object]:
    """What is said of a session; what a phone shows without scrolling comes first."""
    return {
        SESSION: one.name if one.sessions == 1 else f"{one.sessions} sessions, last {one.name}",
        in_unit("Step B − A", driver): _step(one, driver),
        AS_TRIANGLE: _percent(one.as_triangle),
        _OWN: _percent(one.p_d),
        _SHOWN: _shown(one),
        DIFFERS: NOTHING_ELSE if one.nothing_else(driver) else MORE,
        METHOD: one.method.name,
        TASTINGS: one.n,
        TASTED_BY: ALONE if one.one_person else PANEL,
        "d′": decimals(one.distance.value, 2) if one.distance else NONE,
        _SAMPLES: one.samples,
        **({_LEAD: _percent(one.lead)} if one.lead else {}),
    }


def _shown(one: SessionShare) -> str:
    if one.sessions > 1:
        return f"shown in {one.shown} of {one.sessions}"
    return "shown" if one.shown else "not shown"


def in_unit(title: str, driver: Driver) -> str:
    """A title with the driver's unit, if it has one."""
    return f"{title}, {driver.unit}" if driver.unit else title


def _step(one: SessionShare, driver: Driver) -> str:
    """A difference with its sign; two decimals below 10."""
    step = one.steps.get(driver.key)
    return UNKNOWN if step is None else signed(step, 2 if abs(step) < 9.995 else 1)


def _percent(share: Estimate | None) -> str:
    """In whole per cent with the interval: 28 (5 to 57)."""
    if share is None:
        return NONE
    return percent_with_interval(share).replace(" %", "")
