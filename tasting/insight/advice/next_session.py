"""Which comparison to run next: the one that is expected to tell most about what the host asks.

The information that n tastings of a comparison would bring about the predictor is known beforehand
from the model (Fisher information at the present estimates: a local design; Chaloner and Verdinelli
1995, Stat Sci 10:273). It lowers the posterior variance of the quantity asked for by Sherman and
Morrison's formula; half the logarithm of the ratio is the gain, in nats. What is not known of a
composition cannot be tasted away: its variance is added to that of the answers.

Where nothing is known yet, a step of 10 % of the level is taken for noticeable (d-prime 1), which
lies among published noticed cuts of sugar (4 to 9 %) and Weber fractions (17 to 33 %); where the
answers only say that a step is larger than a bound, the bound is, if it is more. Each is said.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, starmap
from math import sqrt
from typing import Final

import numpy as np

from tasting.drink.composition import compose
from tasting.drink.formula import Amount, Part, Version
from tasting.drink.label import Reference
from tasting.drink.pantry import by_hand, ingredient
from tasting.drink.response import grams_to_reach
from tasting.errors import InputError
from tasting.insight.advice.prior import Posterior, about_distance, about_liking
from tasting.insight.advice.target import aim_at_reference
from tasting.insight.noticing.drivers import SUGAR, TA, Drink, Driver, Reading, reading
from tasting.insight.noticing.identifiability import UNVARIED
from tasting.insight.noticing.model import ThresholdModel
from tasting.panel.methods import METHODS, Method
from tasting.stats.checks import Floats, check_n
from tasting.stats.fitting.likelihood import NEAR
from tasting.wording import number, percent, signed

GAP: Final = "character gap"
# Less, in nats, is not worth a tasting: it narrows the interval by a ten-thousandth of its width.
_LEAST_GAIN: Final = 1e-4
# Steps tried from the base, in noticeable steps. Smaller ones look like guessing, of larger ones
# nearly every answer is right; in between the gain changes slowly, so a coarse grid does.
_STEPS: Final = (0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0)
# Normal quantile of a 95 % interval, which is what the reasons state.
_LIKELY: Final = 1.96
# Information, or a variance of an answer, below this is none; it keeps the division finite.
_NOTHING: Final = 1e-12
# A driver that moves by less than a tenth of a noticeable step is not named as changed.
_WORTH_SAYING: Final = 0.1


@dataclass(frozen=True, slots=True)
class Candidate:
    """Two drinks that could be compared. `made` says in words how B is made, if it is new."""

    a: Drink
    b: Drink
    made: str = ""


@dataclass(frozen=True, slots=True)
class NextSession:
    """A comparison worth running.

    made: how B is made from A if it is not there yet (it then is a Version with A's id; save it as
    a child); gain: expected gain of n tastings about what was asked, in nats, also per tasting and
    per millilitre poured; before, after: expected 95 % half-width of the quantity, relative to it
    limited: whether the compositions are the bottleneck, not the answers
    """

    about: str
    method: str
    a: Drink
    b: Drink
    made: str
    n: int
    d_prime: float
    p_c: float
    gain: float
    per_tasting: float
    per_ml: float
    before: float
    after: float
    limited: bool
    reasons: tuple[str, ...]


Read = Callable[[Drink], Reading]


def reader(noticing: ThresholdModel) -> Read:
    """Reads the levels of drinks, of each object once."""
    known: dict[int, tuple[Drink, Reading]] = {}

    def read(drink: Drink) -> Reading:
        if id(drink) not in known:
            known[id(drink)] = drink, noticing.read(drink)
        return known[id(drink)][1]

    return read


def questions(drivers: Sequence[Driver]) -> dict[str, str]:
    """What may be asked of these drivers, in words, by the key that `next_sessions` knows."""
    return {
        **{driver.key: f"the noticeable step of {driver.short}" for driver in drivers},
        GAP: "the distance from the reference when all else matches",
        **{f"ideal {driver.key}": f"the best-liked level of {driver.name}" for driver in drivers},
    }


def next_sessions(
    noticing: ThresholdModel,
    about: str,
    shelf: Sequence[Drink],
    *,
    base: Version | None = None,
    n: int = 24,
    serving_ml: float = 30.0,
    per_ml: bool = False,
    count: int = 3,
    read: Read | None = None,
) -> tuple[NextSession, ...]:
    """The best comparisons among these drinks, and new versions of `base`, to run next.

    about: key of a driver (its noticeable step), "character gap", or "ideal ta" and the like
    base: the version that new ones are made from, by default the last on the shelf
    n: tastings to plan with; per_ml: rank by gain for each millilitre, not for each tasting
    read: a `reader` of the model, which several questions may share
    Raises InputError for an unknown question, an empty shelf, or where no candidate tells anything.
    """
    check_n(n)
    read = read or reader(noticing)
    belief, methods, driver = _asked(noticing, about, [read(drink) for drink in shelf])
    root = base or next((drink for drink in reversed(shelf) if isinstance(drink, Version)), None)
    candidates = [
        *starmap(Candidate, combinations(shelf, 2)),
        *_new(noticing, belief, about, driver, root, shelf),
    ]
    if not candidates:
        raise InputError("there is nothing to compare; give two drinks, or a version to change")
    asked = _Question(noticing, read, belief, about, n, serving_ml)
    ranked = sorted(
        _judged(asked, methods, candidates),
        key=lambda test: -(test.per_ml if per_ml else test.per_tasting),
    )
    best = list(_distinct(ranked))[:count]
    if not best:
        raise InputError(f"none of these comparisons would tell anything about {about!r}")
    return tuple(replace(test, reasons=_reasons(asked, test)) for test in best)


def _asked(
    noticing: ThresholdModel, about: str, shelf: Sequence[Reading]
) -> tuple[Posterior, list[Method], Driver | None]:
    keys = {driver.key: driver for driver in noticing.drivers}
    name = about.removeprefix("ideal ")
    if about != GAP and name not in keys:
        known = [*keys, GAP, *(f"ideal {key}" for key in keys)]
        raise InputError(
            f"there is nothing to ask about {about!r}; choose from: {', '.join(known)}"
        )
    if not shelf:
        raise InputError("there are no versions or references to choose from; give some")
    levels = _levels(shelf, noticing.drivers)
    if about == GAP:
        return about_distance(noticing, None, levels), _asking("difference"), None
    if about == name:
        return about_distance(noticing, name, levels), _asking("difference"), keys[name]
    return about_liking(noticing, name, levels), _asking("preference"), keys[name]


def _asking(kind: str) -> list[Method]:
    return [
        method
        for method in METHODS.values()
        if method.question_kind == kind and method.psychometric
    ]


def _levels(shelf: Sequence[Reading], drivers: Sequence[Driver]) -> Floats:
    """Usual levels, on the model's scale."""
    table = np.array([drink.levels for drink in shelf])
    unknown = [
        one.name for one, lost in zip(drivers, np.isnan(table).all(axis=0), strict=True) if lost
    ]
    if unknown:
        raise InputError(
            f"{' and '.join(unknown)} of none of these drinks is known: complete the figures of "
            f"the ingredients, or leave {' and '.join(unknown)} out under Change"
        )
    return np.asarray(np.nanmedian(table, axis=0))


def _new(
    noticing: ThresholdModel,
    belief: Posterior,
    about: str,
    driver: Driver | None,
    root: Version | None,
    shelf: Sequence[Drink],
) -> Iterator[Candidate]:
    """Versions that are not there yet: the base with a pinch, or matched to a reference."""
    if root is None:
        return
    if driver is None:
        yield from _matched(noticing, root, shelf)
    elif driver.practice:
        yield from _pinched(root, driver, belief.steps[noticing.drivers.index(driver)], noticing)


def _matched(
    noticing: ThresholdModel, root: Version, shelf: Sequence[Drink]
) -> Iterator[Candidate]:
    if not {TA, SUGAR} <= set(noticing.drivers):
        return
    for drink in shelf:
        if isinstance(drink, Reference) and _off(root, drink):
            aim = aim_at_reference(noticing, root, drink)
            if aim.stay:
                continue
            changes = ", ".join(
                f"{signed(change.per_serving, number)} {change.unit} {change.name}"
                for change in aim.move.changes
            )
            if aim.move.reached and changes:
                yield Candidate(drink, aim.version(root), f"{root.label} with {changes}")


def _off(root: Version, reference: Reference) -> bool:
    """Whether the version differs in acid or sugar by more than one part in fifty."""
    if reference.ta_g_per_l is None or reference.sugar_g_per_l is None:
        return False
    both = np.array([reading(drink, (TA, SUGAR)).levels for drink in (root, reference)])
    return bool(np.any(np.abs(both[0] - both[1]) > UNVARIED * both[1]))


def _pinched(
    root: Version, driver: Driver, step: float, noticing: ThresholdModel
) -> Iterator[Candidate]:
    item, level = ingredient(driver.practice[0]), getattr(compose(root), driver.figure)
    sizes = np.array(_STEPS) * step
    targets = level * np.exp(sizes) if noticing.scale == "log" else level + sizes
    for grams in grams_to_reach(root, item, driver.figure, targets).tolist():
        if np.isfinite(grams) and grams > 0:
            unit, quantity = by_hand(item, grams)
            amount = Amount(quantity=float(f"{quantity:.3g}"), unit=unit)
            parts = (*root.parts, Part(ingredient=item, amount=amount))
            made = f"{root.label} with {number(amount.quantity / root.servings)} {unit} {item.name}"
            yield Candidate(root, root.model_copy(update={"parts": parts}), f"{made} per serving")


@dataclass(frozen=True, slots=True)
class _Question:
    """What is asked, and with how many tastings of which size."""

    noticing: ThresholdModel
    read: Read
    belief: Posterior
    about: str
    n: int
    serving_ml: float


def _judged(
    asked: _Question, methods: Sequence[Method], candidates: Sequence[Candidate]
) -> list[NextSession]:
    """Every comparison by every method that tells something, without its reasons."""
    told = [(one, asked.read(one.a), asked.read(one.b)) for one in candidates]
    known = [(one, a, b) for one, a, b in told if np.all(np.isfinite(b.levels - a.levels))]
    if not known:
        return []
    expected = _Expected(
        [one for one, _, _ in known],
        *asked.belief.predict(
            [(a, b) for _, a, b in known],
            [isinstance(one.a, Reference) or isinstance(one.b, Reference) for one, _, _ in known],
        ),
    )
    return [test for method in methods for test in _by_method(asked, method, expected)]


@dataclass(frozen=True, slots=True)
class _Expected:
    """What is expected of comparisons: factors and predictor, and its variance by composition."""

    candidates: list[Candidate]
    factors: Floats
    predictors: Floats
    by_composition: Floats


def _by_method(asked: _Question, method: Method, expected: _Expected) -> Iterator[NextSession]:
    belief, n = asked.belief, asked.n
    p_c, information = _information(method, expected.predictors, n, squared=belief.squared)
    useful = 1 / (1 / np.maximum(information, _NOTHING) + expected.by_composition)
    ratio = belief.variance_ratio(expected.factors, useful)
    gains, before = -np.log(ratio) / 2, _LIKELY * belief.relative_sd
    for at in np.flatnonzero(gains > _LEAST_GAIN).tolist():
        one, gain = expected.candidates[at], float(gains[at])
        yield NextSession(
            about=asked.about,
            method=method.key,
            a=one.a,
            b=one.b,
            made=one.made,
            n=n,
            d_prime=belief.d_prime(float(expected.predictors[at])),
            p_c=float(p_c[at]),
            gain=gain,
            per_tasting=gain / n,
            per_ml=gain / (n * method.poured * asked.serving_ml),
            before=before,
            after=before * sqrt(ratio[at]),
            limited=bool(useful[at] < information[at] / 2),
            reasons=(),
        )


def _information(
    method: Method, predictors: Floats, n: int, *, squared: bool
) -> tuple[Floats, Floats]:
    """Share of counted answers, and information of n tastings on each predictor."""
    model = method.model
    at = np.maximum(np.sqrt(np.maximum(predictors, 0.0)), NEAR) if squared else predictors
    share, slope = model.function(at), model.derivative(at)
    slope = slope / (2 * at) if squared else slope
    return share, n * slope**2 / np.maximum(share * (1 - share), _NOTHING)


def _distinct(ranked: Sequence[NextSession]) -> Iterator[NextSession]:
    """The best of each kind: one method and size for a pair, one size of a new version."""
    seen = set()
    for test in ranked:
        pair = (id(test.a), "new" if test.made else id(test.b))
        if pair not in seen:
            seen.add(pair)
            yield test


def _reasons(asked: _Question, test: NextSession) -> tuple[str, ...]:
    noticing, belief = asked.noticing, asked.belief
    deltas = asked.read(test.b).levels - asked.read(test.a).levels
    moves = [
        f"{driver.name} by {_size(driver, delta, noticing)}"
        for driver, delta, step in zip(noticing.drivers, deltas, belief.steps, strict=True)
        if abs(delta) > _WORTH_SAYING * step
    ]
    changes = f"It changes {' and '.join(moves)}" if moves else "It changes almost nothing"
    share = "should be correct" if belief.squared else "should choose B"
    reasons = [
        f"{changes}; about {percent(test.p_c)} of answers {share}.",
        f"With {test.n} tastings, {questions(noticing.drivers)[asked.about]} would be known to "
        f"about ±{percent(test.after)} instead of ±{percent(test.before)}.",
    ]
    reasons += _assumed(asked, deltas)
    if test.limited:
        reasons.append(
            "The uncertainty of the two compositions is the bottleneck: titrate both first."
        )
    return (*reasons, *(one.sentence for one in noticing.refusals if one.about == asked.about))


def _assumed(asked: _Question, deltas: Floats) -> list[str]:
    """That the distance rests on a step that no answer shows, for each driver that moves."""
    noticing, steps = asked.noticing, asked.belief.steps
    return [
        f"No answers show how much {driver.name} is noticed yet; {_size(driver, step, noticing)} "
        "is assumed as the step of d′ = 1."
        for driver, delta, step in zip(noticing.drivers, deltas, steps, strict=True)
        if abs(delta) > _WORTH_SAYING * step and not noticing.step(driver.key)
    ]


def _size(driver: Driver, delta: float, noticing: ThresholdModel) -> str:
    if noticing.scale == "log":
        return percent(np.expm1(abs(delta)))
    return f"{number(abs(delta))} {driver.unit}".strip()
