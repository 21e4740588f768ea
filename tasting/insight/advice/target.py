"""Where to go with acid and sugar: to the reference, or to what is liked best."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from tasting.drink.adjust import Allowed, Move, adjust
from tasting.drink.formula import Version
from tasting.drink.label import Reference
from tasting.errors import InputError
from tasting.insight.advice.forecast import forecast
from tasting.insight.noticing.comparisons import difference_components
from tasting.insight.noticing.drivers import (
    SUGAR,
    TA,
    Driver,
    Reading,
    acid_and_sugar,
    reading,
)
from tasting.insight.noticing.identifiability import UNVARIED
from tasting.insight.noticing.model import ThresholdModel
from tasting.insight.noticing.steps import NEXT_TO_NOTHING, DriverStep, StepBound
from tasting.stats.checks import Floats
from tasting.stats.results import Estimate, Interval
from tasting.wording import number

_NO_STEP: Final = (
    "No step in acid or sugar brings it closer: acid and sugar do not explain what is left."
)
_NO_STEP_COMPUTED: Final = (
    "At the computed values no step in acid or sugar brings it closer. Titrate both before you "
    "believe it."
)
_NO_CHANGE: Final = "No noticeable step in acid or sugar brings it closer to that."
# 95 % quantiles of chi-square with 1 and 2 degrees of freedom.
_ONE: Final = 3.841458820694124
_TWO: Final = 5.991464547107979
_AROUND: Final = np.linspace(0.0, 2 * np.pi, 73)


@dataclass(frozen=True, slots=True)
class Aim:
    """A goal for acid and sugar, and the tweak that gets there.

    target: level of each driver, by key; region: outline (acid, sugar; g/L) that holds the true
    goal with 95 % confidence, None where only one of the two is known
    room: outline within which acid and sugar together add less than one d-prime to what is noticed
    left: what is still expected to be noticed at the goal, compared with the reference
    move: the change of the present version; where it does not arrive, its `why` says so
    stay: why the present version had better stay as it is, empty where the move is worth making
    there: keys of the drivers in which it is there already, as far as anybody would notice
    """

    target: Mapping[str, Estimate]
    region: Floats | None
    room: Floats | None
    left: Estimate | None
    move: Move
    cautions: tuple[str, ...]
    stay: str = ""
    there: frozenset[str] = frozenset()

    def version(self, present: Version) -> Version:
        """The present version with the tweak's parts, to compose or to forecast with; save it as a
        child with `move.child`."""
        return present.model_copy(update={"parts": self.move.parts})


def aim_at_reference(noticing: ThresholdModel, present: Version, reference: Reference) -> Aim:
    """The acid and sugar at which the drink is least distinguishable from the reference.

    By the model that is where both are equal, whatever the weights; what is not known of either
    drink makes the region. Raises InputError where acidity or sugar of the reference is not known.
    """
    goal, here = reading(reference, (TA, SUGAR)), reading(present, (TA, SUGAR))
    for driver, level in zip((TA, SUGAR), goal.levels, strict=True):
        if not np.isfinite(level):
            raise InputError(
                f"the {driver.name} of {reference.name!r} is not known; measure and enter it"
            )
    spread = _covariance(here, goal)
    target = {
        driver.key: _target(float(level), float(np.sqrt(_ONE * variance)))
        for driver, level, variance in zip((TA, SUGAR), goal.levels, np.diag(spread), strict=True)
    }
    move = _move(present, target)
    after = present.model_copy(update={"parts": move.parts})
    known = bool(np.all(np.isfinite(noticing.read(reference).levels)))
    can = noticing.distance is not None and known
    ways, unsure = _ways(noticing, present, target), _unsure(noticing, spread)
    stays = _unnoticed(ways)
    titrate = "" if stays or not unsure else " Titrate both."
    left = forecast(noticing, after, reference).d_prime if can else None
    return Aim(
        target=target,
        region=goal.levels + _ellipse(_TWO * spread),
        room=_room(noticing, goal.levels),
        left=left,
        move=move,
        cautions=(*filter(None, [f"{unsure}{titrate}"]), *_not_shown(ways)),
        stay=(_NO_STEP_COMPUTED if unsure else _NO_STEP) if stays else "",
        there=_there(ways),
    )


def aim_at_liking(noticing: ThresholdModel, present: Version) -> Aim:
    """The acid and sugar that are liked best, as far as preference tests bracket them.

    Raises InputError, naming the session that would tell, where neither is bracketed.
    """
    ideals = [ideal for ideal in noticing.ideals if ideal.driver in (TA, SUGAR)]
    if not ideals:
        why = [str(one) for one in noticing.refusals if one.why == "not bracketed"]
        why += [str(one) for one in noticing.refusals if one.about == "preference"]
        raise InputError(f"no best-liked level is known yet. {' '.join(why)}".strip())
    target = {}
    for ideal in ideals:
        ends = np.array([ideal.level.value, ideal.level.low, ideal.level.high])
        value, low, high = (np.exp(ends) if noticing.scale == "log" else ends).tolist()
        target[ideal.driver.key] = Estimate(value, Interval(low, high, noticing.confidence))
    region = _box_ellipse(target) if acid_and_sugar(list(target)) else None
    ways = _ways(noticing, present, target)
    stay = _NO_CHANGE if _unnoticed(ways) else ""
    move = _move(present, target)
    return Aim(target, region, None, None, move, _not_shown(ways), stay, _there(ways))


def _covariance(here: Reading, goal: Reading) -> Floats:
    components = np.array([*difference_components(here, goal).values(), np.zeros(2)])
    return np.asarray(components.T @ components)


def _target(level: float, half: float) -> Estimate:
    return Estimate(level, Interval(max(level - half, 0.0), level + half, 0.95))


def _ellipse(form: Floats) -> Floats:
    """Outline of the points x with x' form^-1 x = 1."""
    sizes, axes = np.linalg.eigh(form)
    circle = np.column_stack([np.cos(_AROUND), np.sin(_AROUND)])
    return np.asarray(circle * np.sqrt(np.maximum(sizes, 0.0)) @ axes.T)


def _box_ellipse(target: Mapping[str, Estimate]) -> Floats:
    """Ellipse around two independent estimates, from their half-widths."""
    both = [target[driver.key] for driver in (TA, SUGAR)]
    half = np.array([(one.high - one.low) / 2 for one in both])
    centre = np.array([(one.high + one.low) / 2 for one in both])
    return np.asarray(centre + _ellipse(np.diag(half**2) * _TWO / _ONE))


def _room(noticing: ThresholdModel, centre: Floats) -> Floats | None:
    """Where acid and sugar alone add one d-prime; on the log scale, around the goal's levels."""
    if noticing.distance is None or not (noticing.step(TA.key) and noticing.step(SUGAR.key)):
        return None
    layout = noticing.distance.layout
    both = [layout.drivers.index(noticing.drivers.index(driver)) for driver in (TA, SUGAR)]
    form = layout.form(noticing.distance.fitted.theta)[np.ix_(both, both)]
    felt = _ellipse(np.asarray(np.linalg.inv(form), dtype=np.float64))
    outline = layout.scale[both] * np.sign(felt) * np.abs(felt) ** (1 / layout.power)
    return np.asarray(centre * np.exp(outline) if noticing.scale == "log" else centre + outline)


@dataclass(frozen=True, slots=True)
class _Way:
    """How far the goal is in one driver, on the model's scale; unvaried: what counts as no change
    of a driver that nobody is shown to notice."""

    driver: Driver
    change: float
    unvaried: float
    known: DriverStep | StepBound | None

    @property
    def most_noticed(self) -> float:
        """The largest distance that the answers allow for it."""
        if abs(self.change) <= self.unvaried and not isinstance(self.known, DriverStep):
            return 0.0
        return self.known.weight.felt(self.change).high if self.known else np.inf

    @property
    def not_shown(self) -> bool:
        """Whether it may be noticed, and may as well not be."""
        return isinstance(self.known, StepBound) and self.most_noticed >= NEXT_TO_NOTHING


def _ways(noticing: ThresholdModel, present: Version, target: Mapping[str, Estimate]) -> list[_Way]:
    drivers = [driver for driver in (TA, SUGAR) if driver.key in target]
    levels = reading(present, drivers).scaled(noticing.scale).levels.tolist()
    log = noticing.scale == "log"
    return [
        _Way(
            driver,
            (float(np.log(goal)) if log else goal) - level,
            UNVARIED * (1.0 if log else abs(level)),
            noticing.step(driver.key) or noticing.bound(driver.key),
        )
        for driver, level in zip(drivers, levels, strict=True)
        for goal in (target[driver.key].value,)
    ]


def _unnoticed(ways: Sequence[_Way]) -> bool:
    """Whether the whole way is far below a noticeable step, whatever the weights may be: distances
    of several drivers add up to no more than their sum."""
    return sum(way.most_noticed for way in ways) < NEXT_TO_NOTHING


def _there(ways: Sequence[_Way]) -> frozenset[str]:
    return frozenset(way.driver.key for way in ways if way.most_noticed < NEXT_TO_NOTHING)


def _not_shown(ways: Sequence[_Way]) -> tuple[str, ...]:
    return tuple(
        f"It is not shown yet that {way.driver.name} is noticed at all; this step may do nothing."
        for way in ways
        if way.not_shown
    )


def _move(present: Version, target: Mapping[str, Estimate]) -> Move:
    """The best combination of what the drivers are usually moved with and of what is in already."""
    drivers: list[Driver] = [driver for driver in (TA, SUGAR) if driver.key in target]
    goals = {driver.figure: target[driver.key].value for driver in drivers}
    in_already = {part.ingredient.key: part.ingredient for part in present.parts}
    allowed = [Allowed(ingredient=item) for item in in_already.values()]
    usual = [driver.practice[0] for driver in drivers if driver.practice[0] not in in_already]
    allowed += [Allowed.model_validate({"ingredient": key}) for key in usual]
    return adjust(present, goals, allowed).combined


def _unsure(noticing: ThresholdModel, spread: Floats) -> str:
    """That the difference in acidity is known less well than it is noticed; empty where not."""
    step = noticing.step(TA.key)
    unsure = float(np.sqrt(_ONE * spread[0, 0]))
    noticed = step.step_at_d_prime_1.amount.value if step else np.inf
    if unsure <= noticed:
        return ""
    return (
        f"The difference in acidity is known only to ±{number(unsure)} g/L, more than a step of "
        f"d′ = 1 ({number(noticed)} g/L; about 1 in 8 notice)."
    )
