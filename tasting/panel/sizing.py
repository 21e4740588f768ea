"""How many tastings a method needs, and what a number of tastings can detect."""

from dataclasses import dataclass

from scipy.optimize import brentq

from tasting.errors import InputError
from tasting.panel.methods import METHODS, Method, method_named
from tasting.stats import contrast_power, power, similarity
from tasting.stats.checks import check_beta, check_n
from tasting.stats.contrast_power import ContrastSize
from tasting.stats.similarity import SimilaritySize

FALSE_ALARMS = 0.3
"""How often a difference is reported where there is none, unless planned otherwise. Common
practice has no figure for it; nobody dares to answer without a few."""

FAR = 20.0
"""A sensory distance at which everybody reports the difference."""


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

    p_d: the proportion of distinguishers that belongs to this distance
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
) -> power.PanelSize:
    """Tastings that a method needs to show, at alpha, a difference that the share p_d notices.

    one_sided: whether the direction was fixed beforehand; a difference test is always one-sided.
    Raises InputError for an unknown method, a preference with a fixed direction, a method without
    a chance of guessing, or numbers out of range.
    """
    chosen = method_named(method) if isinstance(method, str) else method
    return power.panel_size(chosen.chance, p_d, alpha, beta, chosen.sides(one_sided))


def panel_size_for_d_prime(
    method: Method, d_prime: float, alpha: float = 0.05, beta: float = 0.2, one_sided: bool = False
) -> power.PanelSize:
    """Tastings that a method needs to show, at alpha, a sensory distance. Raises InputError."""
    sides = method.sides(one_sided)
    return power.panel_size_for_d_prime(method.model, d_prime, alpha, beta, sides)


def contrast_size(
    method: Method,
    d_prime: float,
    alpha: float = 0.05,
    beta: float = 0.2,
    false_alarms: float = FALSE_ALARMS,
) -> ContrastSize:
    """Sets that a method without a chance of guessing needs, half of them with a difference.

    false_alarms: how often a difference is expected to be reported where there is none
    Raises InputError for numbers out of range, or another method.
    """
    some = _reported(method, d_prime, false_alarms)
    return contrast_power.contrast_size(some, false_alarms, alpha, beta)


def contrast_power_of(
    method: Method,
    tastings: int,
    alpha: float,
    d_prime: float,
    false_alarms: float = FALSE_ALARMS,
) -> float:
    """Exact probability that so many sets, half of each kind, show this sensory distance."""
    some = _reported(method, d_prime, false_alarms)
    with_one, without = tastings // 2, tastings - tastings // 2
    if not with_one:
        return 0.0
    return contrast_power.contrast_power(with_one, without, some, false_alarms, alpha)


def _reported(method: Method, d_prime: float, false_alarms: float) -> float:
    if method.report_rate is None:
        raise InputError(f"the method {method.key!r} counts against a chance of guessing")
    if not 0 < d_prime <= FAR:
        raise InputError(f"d_prime is {d_prime:g} but must lie between 0 and 20")
    return method.report_rate(d_prime, false_alarms)


def similarity_size(method: Method, alpha: float, beta: float, p_d: float) -> SimilaritySize:
    """Tastings that show that fewer than p_d notice, with risk beta, if nobody does.

    alpha: risk of not showing it although nobody notices. Raises InputError for a test whose
    direction is open, one without a chance of guessing, or numbers out of range.
    """
    if method.question_kind == "preference":
        raise InputError("similarity is shown by a one-sided test with a chance of guessing")
    return similarity.similarity_size(method.chance, p_d, alpha, beta)


def power_of(method: Method, tastings: int, alpha: float, p_d: float, sides: int) -> float:
    """Exact probability that so many tastings show, at alpha, a difference that p_d notices."""
    return power.power(tastings, method.chance, p_d, alpha, sides)


def reach(
    method: Method,
    tastings: int,
    alpha: float = 0.05,
    beta: float = 0.2,
    *,
    one_sided: bool = False,
    false_alarms: float = FALSE_ALARMS,
) -> Reach:
    """What so many tastings can show: "with my 8 assessors x 3, what can it detect?"

    false_alarms: for a method without a chance of guessing, as in `contrast_size`
    Raises InputError for numbers out of range.
    """
    if method.psychometric is None:
        return Reach(None, _contrast_reach(method, tastings, alpha, beta, false_alarms))
    sides = method.sides(one_sided)
    p_d = power.detectable(tastings, method.chance, alpha, beta, sides)
    d_prime = power.detectable_d_prime(tastings, method.model, alpha, beta, sides)
    return Reach(p_d, None if method.question_kind == "preference" else d_prime)


def _contrast_reach(
    method: Method, tastings: int, alpha: float, beta: float, false_alarms: float
) -> float | None:
    wanted = 1 - check_beta(beta)

    def short(d_prime: float) -> float:
        return contrast_power_of(method, tastings, alpha, d_prime, false_alarms) - wanted

    check_n(tastings)
    return None if short(FAR) < 0 else float(brentq(short, 1e-6, FAR))


def similarity_reach(method: Method, tastings: int, alpha: float, beta: float) -> Reach:
    """The difference against which so many tastings are expected to show similarity.

    Raises InputError for numbers out of range, or a method without a chance of guessing.
    """
    model = method.model
    p_d = similarity.demonstrable(tastings, model.chance, alpha, beta)
    return Reach(p_d, float(model.d_prime(model.chance + (1 - model.chance) * p_d)))


def side_by_side(
    d_prime: float, alpha: float = 0.05, beta: float = 0.2, serving_ml: float = 30.0
) -> tuple[Need, ...]:
    """What every method needs for one sensory distance, fewest millilitres first.

    A preference is left out: how far apart two drinks are says nothing of which one is liked.
    A direction is taken as fixed beforehand.
    Raises InputError for numbers out of range.
    """
    methods = [method for method in METHODS.values() if method.question_kind != "preference"]
    needs = [_need(method, d_prime, alpha, beta, serving_ml) for method in methods]
    return tuple(sorted(needs, key=lambda need: (need.ml is None, need.ml or 0.0)))


def _need(method: Method, d_prime: float, alpha: float, beta: float, serving_ml: float) -> Need:
    if method.psychometric is not None:
        found = panel_size_for_d_prime(
            method, d_prime, alpha, beta, method.question_kind == "direction"
        )
        return _poured(method, found.n, serving_ml, found.p_d)
    try:
        return _poured(method, contrast_size(method, d_prime, alpha, beta).n, serving_ml, None)
    except InputError as error:
        return Need(method, None, None, None, None, str(error))


def _poured(method: Method, tastings: int, serving_ml: float, p_d: float | None) -> Need:
    cups = tastings * method.poured
    return Need(method, tastings, cups, cups * serving_ml, p_d)
