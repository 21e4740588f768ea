"""What was answered, and how likely the model makes it; a second way, apart from the script's.

The triangle's psychometric function is 1 - 4 T(delta/sqrt 6, sqrt 3) with Owen's T (Owen 1956, Ann
Math Stat 27:1075): another form of the integral that the script uses, worked out by scipy.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import optimize, special

from sample_sessions.draw import between
from sample_sessions.truth import Contrast, truth
from tasting.panel.session import Session
from tasting.store.documents import Document

Numbers = NDArray[np.float64]


@dataclass(frozen=True)
class Answered:
    """A session's contrast, its answers, and how many of them were correct or chose B."""

    session: Session
    between: Contrast
    n: int
    count: int

    @property
    def question(self) -> str:
        """Which part of the model answers it."""
        return self.session.plan.attribute or self.session.plan.method


def answered(session: Session) -> Answered:
    """Counted by hand: letters and codes only."""
    sets = {(served.assessor, served.replicate): served for served in session.sets}
    count = 0
    for given in session.answers:
        served = sets[given.assessor, given.replicate]
        letter = served.order[served.codes.index(given.choice)]
        alone = served.order.count(letter) == 1
        count += alone if session.plan.method == "triangle" else letter == "B"
    a, b = session.plan.a.id, session.plan.b.id
    return Answered(session, between(a, b), len(session.answers), count)


def owen_triangle(delta: Numbers) -> Numbers:
    return np.asarray(1 - 4 * special.owens_t(delta / np.sqrt(6), np.sqrt(3)))


def _triangles(numbers: Numbers, rows: list[Contrast]) -> Numbers:
    acid = numbers[0] * np.array([row.ta_g_per_l for row in rows])
    sugar = numbers[1] * np.array([row.sugar_g_per_l for row in rows])
    gap = numbers[3] * np.array([row.with_reference for row in rows])
    squared = acid**2 + sugar**2 + 2 * numbers[2] * acid * sugar + gap**2
    return owen_triangle(np.sqrt(np.maximum(squared, 0)))


def _directions(numbers: Numbers, rows: list[Contrast]) -> Numbers:
    steps = np.array([(row.ta_g_per_l, row.sugar_g_per_l) for row in rows])
    return np.asarray(special.ndtr(steps @ numbers / np.sqrt(2)))


def _preferences(numbers: Numbers, rows: list[Contrast]) -> Numbers:
    acids = np.array([(row.a_ta_g_per_l, row.b_ta_g_per_l) for row in rows])
    liking = -numbers[1] * (acids - numbers[0]) ** 2
    return np.asarray(special.ndtr((liking[:, 1] - liking[:, 0]) / np.sqrt(2)))


CURVES: dict[str, Callable[[Numbers, list[Contrast]], Numbers]] = {
    "triangle": _triangles,
    "more sour": _directions,
    "sweeter": _directions,
    "preference": _preferences,
}


def true_numbers(question: str) -> Numbers:
    """The truth of one question, in the order of its curve."""
    model = truth()
    if question == "triangle":
        return np.array(list(dict(model.difference).values()))
    if question == "preference":
        return np.array(list(dict(model.preference).values()))
    return np.array(list(dict(model.directions[question]).values()))


def deviance(question: str, rows: list[Answered], numbers: Numbers) -> float:
    """-2 log-likelihood of the answers to one question, less that of a perfect fit."""
    k, n = np.array([row.count for row in rows]), np.array([row.n for row in rows])
    p = CURVES[question](numbers, [row.between for row in rows]).clip(1e-12, 1 - 1e-12)
    fitted = special.xlogy(k, p) + special.xlogy(n - k, 1 - p)
    perfect = special.xlogy(k, k / n) + special.xlogy(n - k, 1 - k / n)
    return float(2 * (perfect - fitted).sum())


def least(question: str, rows: list[Answered], held: int | None = None) -> float:
    """Least deviance over all numbers, or with one of them held at the truth."""
    start = true_numbers(question)
    free = [place for place in range(start.size) if place != held]

    def at(values: Numbers) -> float:
        numbers = start.copy()
        numbers[free] = values
        return deviance(question, rows, numbers)

    found = optimize.minimize(at, start[free], method="Nelder-Mead", options={"fatol": 1e-6})
    return float(found.fun)


def about(question: str, workshop: Document) -> list[Answered]:
    """The closed sessions that ask it."""
    closed = [answered(each) for each in workshop.sessions if each.state == "closed"]
    return [row for row in closed if row.question == question]
