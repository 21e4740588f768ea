"""What people notice: findings of many sessions tied to differences in acid, sugar and more.

`fit_thresholds` reads closed sessions and fits three things from whatever was asked: how far apart
two drinks are for the senses (difference tests), what makes a drink more sour or sweeter
(directional tests), and what is liked best (preference tests). What the answers cannot tell is
refused, with the session that would tell.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tasting.drink.formula import Version
from tasting.insight.findings.closed_session import Closed, ClosedSession, closed_sessions
from tasting.insight.noticing import identifiability
from tasting.insight.noticing.attribute_models import Attribute, fit_attribute
from tasting.insight.noticing.comparisons import (
    Compared,
    Drinks,
    TastedPair,
    comparisons,
    find,
    in_sums,
)
from tasting.insight.noticing.distance_model import AgainstZero, Distance, fit_distance
from tasting.insight.noticing.drivers import (
    DEFAULT_DRIVERS,
    Drink,
    Driver,
    Reading,
    Scale,
    acid_and_sugar,
    drivers_named,
    reading,
)
from tasting.insight.noticing.identifiability import Named, NotIdentified
from tasting.insight.noticing.liking_model import Ideal, Liking, fit_liking
from tasting.insight.noticing.steps import DriverStep, Noticed, StepBound, StepsIn, noticed_steps
from tasting.panel.methods import Method
from tasting.stats.checks import Floats, check_confidence
from tasting.stats.psychometric import TRIANGLE, Psychometric
from tasting.stats.results import Estimate


@dataclass(frozen=True, slots=True)
class Fit:
    """How well the model of difference tests fits: deviance from a share of correct answers of each
    session's own, and Akaike's criterion. `fit_check` says whether the deviance is too large."""

    log_likelihood: float
    deviance: float
    sessions: int
    parameters: int
    tastings: int
    aic: float


@dataclass(frozen=True, slots=True)
class ThresholdModel:
    """All that the sessions say about what people notice.

    session_ids: the sessions that it rests on
    at, levels: the version in which steps are expressed (None without one), and its levels
    noticed: for each driver its step, or the bound where it may not be noticed at all; half_by:
    the test in which half of assessors notice the half step
    rho: how acid and sugar add up (-1 to 1);
    character_gap: distance to the reference that no driver explains, in d-prime;
    spread: between assessors within a session; attributes, ideals: from the other kinds of test
    distance, liking: the fitted models, for forecasts; refusals: what is not told, and the cure
    """

    drivers: tuple[Driver, ...]
    scale: Scale
    confidence: float
    at: Version | None
    levels: Floats
    session_ids: tuple[str, ...]
    noticed: tuple[Noticed, ...]
    half_by: str
    rho: Estimate | None
    character_gap: AgainstZero | None
    spread: Estimate | None
    attributes: tuple[Attribute, ...]
    ideals: tuple[Ideal, ...]
    fit: Fit | None
    distance: Distance | None
    liking: Liking | None
    refusals: tuple[NotIdentified, ...]

    @property
    def steps(self) -> tuple[DriverStep, ...]:
        """The drivers that are shown to be noticed."""
        return tuple(one for one in self.noticed if isinstance(one, DriverStep))

    @property
    def bounds(self) -> tuple[StepBound, ...]:
        """The drivers that may not be noticed at all, with the bound that is known."""
        return tuple(one for one in self.noticed if isinstance(one, StepBound))

    def bound(self, key: str) -> StepBound | None:
        """What is known of the driver of this key, if it may not be noticed at all."""
        return next((bound for bound in self.bounds if bound.driver.key == key), None)

    def step(self, key: str) -> DriverStep | None:
        """How strongly the driver of this key is noticed, if that is known."""
        return next((step for step in self.steps if step.driver.key == key), None)

    def read(self, drink: Drink) -> Reading:
        """Levels of a version or reference with their uncertainty, on the scale of the model."""
        return reading(drink, self.drivers).scaled(self.scale)


def fit_thresholds(
    sessions: Sequence[Closed],
    drinks: Drinks,
    *,
    drivers: Sequence[str] = DEFAULT_DRIVERS,
    scale: Scale = "linear",
    at: Version | None = None,
    half_by: Psychometric = TRIANGLE,
    confidence: float = 0.95,
) -> ThresholdModel:
    """What these closed sessions say about what people notice.

    drinks: finds the version or reference of a sample (a function, or a mapping by id)
    drivers: keys of `drivers.DRIVERS`; scale: differences as they are, or of logarithms (Weber)
    at: the version in which steps are expressed; by default, and where its levels are not known,
        the latest that was tasted
    half_by: the test in which half of assessors detect the half step
    Raises SealedError for a session that is not closed, InputError for an unknown drink or driver.
    """
    closed = closed_sessions(sessions)
    asked = _Asked(drivers_named(drivers), scale, at, half_by, check_confidence(confidence))
    known = comparisons(closed, drinks, asked.drivers, scale)
    left = [(one.tally.method, ((one.id, one.name),)) for one in closed if one.answers]
    return _fitted(asked, known, left, _latest(closed, drinks))


def fit_sums(
    tasted: Sequence[TastedPair],
    drinks: Drinks,
    *,
    drivers: Sequence[str] = DEFAULT_DRIVERS,
    scale: Scale = "linear",
    at: Version | None = None,
    confidence: float = 0.95,
) -> ThresholdModel:
    """The same of closed sessions that are added up already. Raises InputError as
    `fit_thresholds`."""
    asked = _Asked(drivers_named(drivers), scale, at, TRIANGLE, check_confidence(confidence))
    known = in_sums(tasted, drinks, asked.drivers, scale)
    left = [(one.asked.method, one.sessions) for one in tasted]
    return _fitted(asked, known, left, _latest(tasted, drinks))


@dataclass(frozen=True, slots=True)
class _Asked:
    """How it is to be fitted and said; as the arguments of `fit_thresholds`."""

    drivers: tuple[Driver, ...]
    scale: Scale
    at: Version | None
    half_by: Psychometric
    confidence: float


def _fitted(
    asked: _Asked,
    every: Sequence[Compared],
    closed: Sequence[tuple[Method, Named]],
    latest: Version | None,
) -> ThresholdModel:
    chosen, scale, half_by, confidence = asked.drivers, asked.scale, asked.half_by, asked.confidence
    known = tuple(one for one in every if one.known)
    models = _models(known, chosen, scale, confidence)
    distance, liking = models.distance, models.liking
    at_known = asked.at is not None and bool(np.isfinite(reading(asked.at, chosen).levels).all())
    shown = asked.at if at_known else latest
    levels = reading(shown, chosen).levels if shown else _middle(known, chosen, scale)
    noticed = noticed_steps(distance, chosen, StepsIn(levels, scale, shown, half_by))
    left_out = [*identifiability.not_modelled(closed), *_left_out(every, chosen, noticed)]
    return ThresholdModel(
        drivers=chosen,
        scale=scale,
        confidence=confidence,
        at=shown,
        levels=levels,
        session_ids=tuple(id_ for one in known for id_, _ in one.named),
        noticed=noticed,
        half_by=half_by.name,
        rho=distance.rho if distance else None,
        character_gap=distance.gap if distance else None,
        spread=distance.spread if distance else None,
        attributes=models.attributes,
        ideals=liking.ideals if liking else (),
        fit=_fit(distance) if distance else None,
        distance=distance,
        liking=liking,
        refusals=(*left_out, *models.refused),
    )


def _left_out(
    every: Sequence[Compared], drivers: Sequence[Driver], noticed: Sequence[Noticed]
) -> list[NotIdentified]:
    """Sessions whose levels are not known, and drivers that are not shown to be noticed."""
    bounds = [one for one in noticed if isinstance(one, StepBound)]
    not_shown = [identifiability.not_shown(one.driver, one.largest_tasted) for one in bounds]
    return [*identifiability.level_unknown(every, drivers), *not_shown]


@dataclass(frozen=True, slots=True)
class _Models:
    distance: Distance | None
    attributes: tuple[Attribute, ...]
    liking: Liking | None
    refused: tuple[NotIdentified, ...]


def _models(
    known: Sequence[Compared], drivers: tuple[Driver, ...], scale: Scale, confidence: float
) -> _Models:
    """The three models, each from the sessions that asked for it."""
    pair = acid_and_sugar([driver.key for driver in drivers])
    distance, first = fit_distance(_of(known, "difference"), drivers, scale, pair, confidence)
    attributes, second = _attributes(_of(known, "direction"), drivers, scale, confidence)
    liking, third = fit_liking(_of(known, "preference"), drivers, scale, confidence)
    return _Models(distance, attributes, liking, (*first, *second, *third))


def _of(compared: Sequence[Compared], kind: str) -> list[Compared]:
    return [one for one in compared if one.kind == kind]


def _attributes(
    compared: Sequence[Compared], drivers: Sequence[Driver], scale: Scale, confidence: float
) -> tuple[tuple[Attribute, ...], list[NotIdentified]]:
    if not compared:
        return (), [identifiability.nothing_tasted("direction")]
    attributes, refused = [], []
    for name in sorted({one.attribute for one in compared}):
        asked = [one for one in compared if one.attribute == name]
        attribute, more = fit_attribute(name, asked, drivers, scale, confidence)
        refused += more
        attributes += [attribute] if attribute else []
    return tuple(attributes), refused


def _latest(sessions: Sequence[ClosedSession | TastedPair], drinks: Drinks) -> Version | None:
    samples = dict.fromkeys(sample for one in sessions for sample in (one.a, one.b))
    tasted = [find(drinks, sample) for sample in samples]
    versions = [drink for drink in tasted if isinstance(drink, Version)]
    return max(versions, key=lambda version: version.created_at, default=None)


def _middle(compared: Sequence[Compared], drivers: Sequence[Driver], scale: Scale) -> Floats:
    levels = np.array([reading.levels for one in compared for reading in (one.a, one.b)])
    if not len(levels):
        return np.full(len(drivers), np.nan)
    return np.asarray(levels.mean(axis=0) if scale == "linear" else np.exp(levels.mean(axis=0)))


def _fit(distance: Distance) -> Fit:
    fitted = distance.fitted
    parameters = fitted.likelihood.parameters
    return Fit(
        log_likelihood=fitted.value,
        deviance=distance.deviance(fitted.theta),
        sessions=sum(one.sessions for one in distance.compared),
        parameters=parameters,
        tastings=sum(one.n for one in distance.compared),
        aic=2 * parameters - 2 * fitted.value,
    )
