"""How many tastings a test design needs, and what a number of tastings can detect."""

from dataclasses import dataclass
from math import nextafter

from scipy.optimize import brentq

from tasting.errors import InputError
from tasting.panel.design import FARTHEST_D_PRIME, TestDesign
from tasting.panel.methods import METHODS, Method, method_named
from tasting.stats import contrast_power, power, sequential, similarity
from tasting.stats.checks import check_n
from tasting.stats.contrast_power import ContrastSize
from tasting.stats.power import PanelSize
from tasting.stats.similarity import SimilaritySize

_MOST_CONTRASTED = 10_000
"""Tastings; the exact test compares every count of one kind with every count of the other."""


@dataclass(frozen=True, slots=True)
class Reach:
    """The smallest difference that a number of tastings shows with probability 1 - beta.

    None where no score could show anything.
    """

    p_d: float | None
    d_prime: float | None


@dataclass(frozen=True, slots=True)
class Need:
    """What one method needs for a sensory distance; `refusal` says why there is no number.

    p_d: the share who notice that belongs to this distance
    """

    method: Method
    tastings: int | None
    cups: int | None
    ml: float | None
    p_d: float | None
    refusal: str = ""


def panel_size(
    method: Method | str,
    *,
    alpha: float = 0.05,
    beta: float = 0.2,
    p_d: float = 0.3,
    one_sided: bool = False,
) -> PanelSize:
    """Tastings that a method needs to show, at alpha, a difference that the share p_d notices.

    one_sided: whether the direction was fixed beforehand; a difference test is always one-sided.
    Raises InputError for an unknown method, a preference with a fixed direction, a method without
    a chance of guessing, or numbers out of range.
    """
    chosen = method_named(method) if isinstance(method, str) else method
    return difference_size(
        TestDesign(chosen, "B" if one_sided else None, alpha=alpha, beta=beta, p_d=p_d)
    )


def difference_size(design: TestDesign) -> PanelSize:
    """Tastings that show, at alpha, the difference that is not to be missed: by d-prime if that is
    given, else by p_d. Raises InputError without a chance of guessing."""
    p_d = design.p_d
    if design.d_prime is not None:  # not the design's share, which is rounded
        p_d = float(design.method.model.p_d(design.d_prime))
    return power.panel_size(design.chance, p_d, design.alpha, design.beta, design.sides)


def similarity_size(design: TestDesign) -> SimilaritySize:
    """Tastings that show that fewer than p_d notice, with risk beta, if nobody does.

    alpha: risk of not showing it although nobody notices. Raises InputError as `stats` does.
    """
    return similarity.similarity_size(design.chance, design.p_d, design.alpha, design.beta)


def contrast_size(design: TestDesign, *, knowing: bool = False) -> ContrastSize:
    """Sets that a method without a chance of guessing needs, half of them with a difference.

    knowing: for a method by which assessors may judge by two rules, whether they know what differs;
    else it is planned by the rule that reports fewer differences
    Raises InputError without a d-prime, or for a method with a chance of guessing.
    """
    if design.d_prime is None:
        raise InputError(
            f"the method {design.method.key!r} has no fixed chance of guessing, so there is no "
            "size by p_d; give --d-prime"
        )
    # A distance that is too small for computers to tell from none still is one.
    least = nextafter(design.false_alarms, 1)
    some = max(_reported(design, design.d_prime, knowing=knowing), least)
    return contrast_power.contrast_size(some, design.false_alarms, design.alpha, design.beta)


def power_of(design: TestDesign, tastings: int, *, knowing: bool = False) -> float:
    """Exact probability that so many tastings show the difference that is not to be missed.

    knowing: for a method with two rules, whether assessors know what differs
    """
    if not design.has_chance:
        return _contrast_power(design, tastings, design.d_prime or 1.0, knowing=knowing)
    return power.power(tastings, design.chance, design.p_d, design.alpha, design.sides)


def decided_by(design: TestDesign, tastings: int, p_d: float) -> float:
    """Probability that the sequential test has decided after so many tastings, if p_d notice."""
    return sum(sequential.chance_of_decision(design.wald_test, tastings, p_d))


def _contrast_power(
    design: TestDesign, tastings: int, d_prime: float, *, knowing: bool = False
) -> float:
    some = _reported(design, d_prime, knowing=knowing)
    with_one, without = tastings // 2, tastings - tastings // 2
    if not with_one:
        return 0.0
    return contrast_power.contrast_power(with_one, without, some, design.false_alarms, design.alpha)


def _reported(design: TestDesign, d_prime: float, *, knowing: bool = False) -> float:
    """How often a difference is reported, by the rule that reports fewer where there are two."""
    method = design.method
    if method.report_rate is None:
        raise InputError(f"the method {method.key!r} has a fixed chance of guessing")
    rate = method.report_rate if knowing else method.by_reference_rate or method.report_rate
    return rate(d_prime, design.false_alarms)


def reach(design: TestDesign, tastings: int) -> Reach:
    """What so many tastings can show: "with my 8 assessors x 3, what can it detect?"

    Raises InputError for no tasting at all.
    """
    if not design.has_chance:
        return Reach(None, _contrast_reach(design, tastings))
    asked = (design.alpha, design.beta, design.sides)
    p_d = power.detectable(tastings, design.chance, *asked)
    return _reach(design, p_d)


def _reach(design: TestDesign, p_d: float | None) -> Reach:
    if p_d is None or not design.method.measures_distance:
        return Reach(p_d, None)
    model = design.method.model
    return Reach(p_d, float(model.d_prime(model.chance + (1 - model.chance) * p_d)))


def _contrast_reach(design: TestDesign, tastings: int) -> float | None:
    def short(d_prime: float) -> float:
        return _contrast_power(design, tastings, d_prime) - design.power

    check_n(tastings)
    if tastings > _MOST_CONTRASTED:
        raise InputError(
            f"give at most {_MOST_CONTRASTED} tastings for a method without a fixed chance of "
            "guessing"
        )
    farthest = FARTHEST_D_PRIME
    return None if short(farthest) < 0 else float(brentq(short, 1e-6, farthest))


def similarity_reach(design: TestDesign, tastings: int) -> Reach:
    """The difference against which so many tastings are expected to show similarity.

    Raises InputError for no tasting at all.
    """
    p_d = similarity.demonstrable(tastings, design.chance, design.alpha, design.beta)
    return _reach(design, p_d)


def side_by_side(design: TestDesign, serving_ml: float = 30.0) -> tuple[Need, ...]:
    """What every method needs for the design's d-prime and risks, fewest millilitres first.

    A preference is left out: how far apart two drinks are says nothing of which one is liked.
    A direction is taken as fixed beforehand. Raises InputError for a size that cannot be computed.
    """
    methods = [method for method in METHODS.values() if method.measures_distance]
    needs = [_need(_for_method(design, method), serving_ml) for method in methods]
    return tuple(sorted(needs, key=lambda need: (need.ml is None, need.ml or 0.0)))


def _for_method(design: TestDesign, method: Method) -> TestDesign:
    return TestDesign(
        method,
        expected="B" if method.names_attribute else None,
        alpha=design.alpha,
        beta=design.beta,
        d_prime=design.d_prime,
    )


def _need(design: TestDesign, serving_ml: float) -> Need:
    if design.has_chance:
        size = difference_size(design)
        return _poured(design.method, size.n, serving_ml, size.p_d)
    try:
        return _poured(design.method, contrast_size(design).n, serving_ml, None)
    except InputError as error:
        return Need(design.method, None, None, None, None, str(error))


def _poured(method: Method, tastings: int, serving_ml: float, p_d: float | None) -> Need:
    cups = tastings * method.poured
    return Need(method, tastings, cups, cups * serving_ml, p_d)
