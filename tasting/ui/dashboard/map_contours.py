"""Contours around a reference: where so many tastings would notice a version as different."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from tasting.insight.noticing.steps import beyond
from tasting.stats.checks import Floats
from tasting.stats.psychometric import TRIANGLE
from tasting.ui.dashboard.map_labels import Frame, Place
from tasting.wording import percent

LEVELS = (0.25, 0.5, 0.75)
"""Shares of tastings at which a contour is drawn."""


@dataclass(frozen=True, slots=True)
class Goal:
    """What is drawn around the reference.

    centre: its acid and sugar, g/L; room: outline where acid and sugar alone add d-prime 1
    region: outline in which the version is truly like it, the two compositions being uncertain
    gap: character gap, d-prime, which is noticed even where acid and sugar are alike
    largest: the largest steps in acid and in sugar that were tasted, g/L
    power: of a step that distance grows with
    """

    centre: tuple[float, float]
    room: Floats | None
    region: Floats | None
    gap: float
    largest: tuple[float, float]
    power: float = 1.0

    def beyond(self, share: float) -> bool:
        """Whether the contour of this share goes beyond every step that was tasted."""
        outline = contour(self, share)
        if outline is None:
            return False
        reach = np.abs(outline - np.array(self.centre)).max(axis=0)
        return any(map(beyond, reach.tolist(), self.largest))


def contour(goal: Goal, share: float) -> Floats | None:
    """Outline of the versions that this share of tastings, by a triangle test, tells from the
    reference; None where even the reference's acid and sugar are told apart as often."""
    if goal.room is None:
        return None
    distance = float(TRIANGLE.d_prime(TRIANGLE.chance + (1 - TRIANGLE.chance) * share))
    further = distance**2 - goal.gap**2
    if further <= 0:
        return None
    centre = np.array(goal.centre)
    return np.asarray(centre + further ** (0.5 / goal.power) * (goal.room - centre))


@dataclass(frozen=True, slots=True)
class Outline:
    """A contour. points: acid and sugar; beyond: whether it goes beyond what was tasted."""

    share: float
    points: Floats
    beyond: bool

    @property
    def name(self) -> str:
        """What is written on it."""
        return f"{percent(self.share)}{', extrapolated' if self.beyond else ''}"


def outlines(goal: Goal | None) -> list[Outline]:
    """The contours at LEVELS that there are."""
    found = [(share, contour(goal, share)) for share in LEVELS] if goal else []
    return [
        Outline(share, points, goal.beyond(share))
        for share, points in found
        if goal and points is not None
    ]


def beside(one: Outline, frame: Frame) -> Iterator[Place]:
    """Beside a contour, all around it, below and above first."""
    middle = one.points.mean(axis=0)
    size = np.ptp(one.points, axis=0)
    for x, y in one.points[:: max(1, len(one.points) // 48)]:
        across, up = (np.array([x, y]) - middle) / size
        if frame.x[0] <= x <= frame.x[1] and frame.y[0] <= y <= frame.y[1]:
            if abs(across) < 0.25:
                yield Place(x, y, 0, -9 if up > 0 else 10, "center")
            else:
                yield Place(x, y, 6 if across > 0 else -6, 0, "left" if across > 0 else "right")
