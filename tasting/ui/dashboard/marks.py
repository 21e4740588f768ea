"""Difference tests as they are drawn and tabled beside the curve of what people notice."""

from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from tasting.insight.noticing.drivers import Driver
from tasting.insight.noticing.marks import Mark
from tasting.insight.noticing.words import number
from tasting.panel.methods import METHODS
from tasting.stats.psychometric import TRIANGLE

# A step below this share of the largest one counts as none where something else differs, too.
LEAST_SHARE = 0.08
MORE = "something else, too"
ALONE, PANEL = "one person", "a panel"
INTERVAL = "95 % interval, %"
UNBROKEN = (INTERVAL, "What differs", "Method", "Tasted by")


@dataclass(frozen=True, slots=True)
class PlottedTest:
    """A mark with the share that a triangle test would notice at the same distance, in per cent."""

    mark: Mark
    share: float
    low: float
    high: float

    @property
    def only(self) -> bool:
        """Whether nothing but this quantity is known to differ."""
        return not (self.mark.others or self.mark.with_reference)


def plotted(marks: Sequence[Mark]) -> list[PlottedTest]:
    """The marks that say something about their driver, on the scale of the curve.

    Left out are sessions that changed something else and next to nothing of this driver.
    """
    largest = max((mark.step for mark in marks), default=0.0)
    return [_seen(mark) for mark in marks if _about(mark, largest)]


def _about(mark: Mark, largest: float) -> bool:
    return not mark.others or mark.step > LEAST_SHARE * largest


def _seen(mark: Mark) -> PlottedTest:
    """Shares by the method's own guessing become distances, and these shares of triangle tests."""
    method = METHODS[mark.method]
    own = [mark.noticed.value, mark.noticed.low, mark.noticed.high]
    right = [method.chance + (1 - method.chance) * share for share in own]
    shares = [max(0.0, 100 * float(TRIANGLE.p_d(method.model.d_prime(p)))) for p in right]
    return PlottedTest(mark, *shares)


def differs(one: PlottedTest, driver: Driver) -> str:
    """What differed between the two samples: the legend's words."""
    return only_words(driver) if one.only else MORE


def only_words(driver: Driver) -> str:
    """What is said where nothing else differs."""
    return f"{driver.name} only"


def interval(one: PlottedTest) -> str:
    """Interval in whole per cent."""
    return f"{one.low:.0f} to {one.high:.0f}"


def tasters(one: PlottedTest) -> str:
    """Who tasted."""
    return ALONE if one.mark.alone else PANEL


def said(one: PlottedTest, driver: Driver) -> str:
    """One mark in words."""
    mark = one.mark
    return (
        f"{mark.name}: {number(mark.step)} {driver.unit} of {driver.name}; "
        f"{METHODS[mark.method].name} by {tasters(one)}, n = {mark.n}; noticed in "
        f"{one.share:.0f} % of tastings (95 % interval {interval(one)} %)"
    )


def apart(sizes: Sequence[float], closest: float, widest: float) -> list[float]:
    """The sizes as they are drawn: those nearer to each other than `closest` move apart.

    Without it the intervals of sessions on one pair of drinks would lie on each other. A group
    spreads over no more than `widest`, so that no mark stands far from its place.
    """
    groups: list[list[int]] = []
    for at in sorted(range(len(sizes)), key=sizes.__getitem__):
        if groups and sizes[at] - sizes[groups[-1][0]] < closest:
            groups[-1].append(at)
        else:
            groups.append([at])
    moved: dict[int, float] = {}
    for group in groups:
        width = min(closest * (len(group) - 1), widest)
        moved |= zip(group, _spread([sizes[at] for at in group], width), strict=True)
    return [moved[at] for at in range(len(sizes))]


def _spread(group: Sequence[float], width: float) -> list[float]:
    """Equal distances around the middle of a group; nothing below zero."""
    first = max(0.0, sum(group) / len(group) - width / 2)
    return [first + width * place / max(1, len(group) - 1) for place in range(len(group))]


def table(found: Sequence[PlottedTest], driver: Driver) -> pd.DataFrame:
    """The same numbers, by size of the step; what a phone shows without scrolling comes first."""
    lines = [
        {
            "Session": one.mark.name,
            f"Difference, {driver.unit}": number(one.mark.step),
            "Noticed, %": f"{one.share:.0f}",
            INTERVAL: interval(one),
            "What differs": differs(one, driver),
            "Method": METHODS[one.mark.method].name,
            "n": one.mark.n,
            "Tasted by": tasters(one),
        }
        for one in sorted(found, key=lambda one: one.mark.step)
    ]
    return pd.DataFrame(lines)
