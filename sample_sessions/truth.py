"""The invented truth behind the panel's answers: how strongly acid and sugar are noticed.

Perceptions are normal with spread 1 and every answer is independent of every other, also those of
one assessor (Thurstone 1927, Psychol Rev 34:273). The numbers stand in truth.json.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, inf, pi, sqrt
from typing import Annotated

from pydantic import Field
from scipy.integrate import quad
from scipy.special import ndtr

from sample_sessions import FOLDER
from tasting.drink.composition import compose
from tasting.drink.formula import Version
from tasting.drink.label import Reference
from tasting.errors import InputError
from tasting.panel.plan import Plan
from tasting.records import Note, Record, checked

Drink = Version | Reference


@dataclass(frozen=True, slots=True)
class Contrast:
    """Two samples as the model sees them.

    ta_g_per_l, sugar_g_per_l: B minus A
    a_ta_g_per_l, b_ta_g_per_l: titratable acidity of each
    with_reference: whether one of them is the reference
    """

    ta_g_per_l: float
    sugar_g_per_l: float
    a_ta_g_per_l: float
    b_ta_g_per_l: float
    with_reference: bool


class Difference(Record):
    """Sensory distance: d-prime per g/L of acid and of sugar, how the two go together, and what
    they cannot explain (`character_gap`, in comparisons with the reference only)."""

    ta_per_g_per_l: Annotated[float, Field(gt=0)]
    sugar_per_g_per_l: Annotated[float, Field(gt=0)]
    rho: Annotated[float, Field(gt=-1, lt=1)]
    character_gap: Annotated[float, Field(ge=0)]

    def distance(self, between: Contrast) -> float:
        """delta = sqrt((w_a dTA)^2 + (w_s dS)^2 + 2 rho w_a w_s dTA dS + c^2)."""
        acid = self.ta_per_g_per_l * between.ta_g_per_l
        sugar = self.sugar_per_g_per_l * between.sugar_g_per_l
        gap = self.character_gap if between.with_reference else 0.0
        return sqrt(acid**2 + sugar**2 + 2 * self.rho * acid * sugar + gap**2)


class Direction(Record):
    """How an attribute goes up with each g/L of acid and of sugar, in units of d-prime."""

    ta_per_g_per_l: float
    sugar_per_g_per_l: float

    def lead(self, between: Contrast) -> float:
        """How much more of the attribute sample B has; negative when A has more."""
        acid = self.ta_per_g_per_l * between.ta_g_per_l
        return acid + self.sugar_per_g_per_l * between.sugar_g_per_l


class PreferenceTruth(Record):
    """Liking falls off with the squared distance from an ideal acidity."""

    ideal_ta_g_per_l: Annotated[float, Field(gt=0)]
    curvature: Annotated[float, Field(gt=0)]

    def lead(self, between: Contrast) -> float:
        """How much better sample B is liked; utility -curvature (TA - ideal)^2, a d-prime."""
        away = [ta - self.ideal_ta_g_per_l for ta in (between.a_ta_g_per_l, between.b_ta_g_per_l)]
        return self.curvature * (away[0] ** 2 - away[1] ** 2)


class Truth(Record):
    """All that the answers are drawn from. `directions` is by the attribute that is asked."""

    invented: Note
    seed: int
    difference: Difference
    directions: Mapping[str, Direction]
    preference: PreferenceTruth

    def probability(self, plan: Plan, between: Contrast) -> float:
        """That an answer is correct in a difference test, that B is chosen in the others."""
        asks = plan.procedure.question_kind
        if asks == "difference":
            return triangle(self.difference.distance(between))
        if asks == "preference":
            return pair(self.preference.lead(between))
        return pair(self.directions[plan.attribute].lead(between))


def truth() -> Truth:
    """The truth in truth.json."""
    return checked(Truth, json.loads((FOLDER / "truth.json").read_text("utf-8")))


def contrast(a: Drink, b: Drink) -> Contrast:
    """Two drinks as the model sees them. Raises InputError if acid or sugar of one is unknown."""
    first, second = (compose(one) if isinstance(one, Version) else one for one in (a, b))
    if first.ta_g_per_l is None or second.ta_g_per_l is None:
        raise InputError("the model needs the acidity of both drinks; add it")
    if first.sugar_g_per_l is None or second.sugar_g_per_l is None:
        raise InputError("the model needs the sugar of both drinks; add it")
    return Contrast(
        ta_g_per_l=second.ta_g_per_l - first.ta_g_per_l,
        sugar_g_per_l=second.sugar_g_per_l - first.sugar_g_per_l,
        a_ta_g_per_l=first.ta_g_per_l,
        b_ta_g_per_l=second.ta_g_per_l,
        with_reference=isinstance(a, Reference) or isinstance(b, Reference),
    )


def pair(lead: float) -> float:
    """Probability that the sample that leads by `lead` is chosen: Phi(lead / sqrt 2)."""
    return float(ndtr(lead / sqrt(2)))


def triangle(delta: float) -> float:
    """Probability of a correct answer in a triangle test at a sensory distance.

    2 * integral from 0 to infinity of
    [Phi(-z sqrt 3 + delta sqrt(2/3)) + Phi(-z sqrt 3 - delta sqrt(2/3))] phi(z) dz
    (Frijters, Kooistra and Vereijken 1980, Percept Psychophys 27:176).
    """
    shift = delta * sqrt(2 / 3)

    def integrand(z: float) -> float:
        inside = ndtr(-z * sqrt(3) + shift) + ndtr(-z * sqrt(3) - shift)
        return float(inside) * exp(-z * z / 2) / sqrt(2 * pi)

    return 2 * float(quad(integrand, 0, inf)[0])
