"""Several products compared two at a time: one worth for each.

    Bradley and Terry (1952, Biometrika 39:324)   P(i over j) = w_i / (w_i + w_j)
    Davidson (1970, JASA 65:317), ties            P(i over j) = w_i / (w_i + w_j + nu sqrt(w_i w_j))

Each is a choice among alternatives whose log-weights are linear in the log-worths (and ln nu), so
one concave likelihood serves all three; Newton's method finds its maximum. It exists if no group
of products was never beaten by the others (Ford 1957, Am Math Monthly 64:28).
"""

from dataclasses import dataclass, field
from itertools import combinations
from math import exp

import numpy as np
from numpy.typing import ArrayLike
from scipy import special
from scipy.linalg import null_space
from scipy.sparse.csgraph import connected_components

from tasting.errors import InputError
from tasting.stats.checks import Floats, check_confidence
from tasting.stats.likelihood import chi_square_tail, deviance_end, support_cut
from tasting.stats.results import Estimate, Interval

# Log-worths this far from the best fit give everyone's choice.
_FAR = 40.0
# Newton's method doubles the right digits at each step: five steps are usual, 20 rare, and a step
# below _STILL, in log-worths, is rounding. _LEAST_STEP is where halving a step in vain gives up.
_MOST_STEPS = 100
_STILL = 1e-11
_LEAST_STEP = 1e-12


@dataclass(frozen=True, slots=True)
class Worths:
    """Fitted worths, largest first in `ranking`.

    `worths` sum to 1. `log_worths` are relative to their mean. `tie_weight` is None without ties.
    `difference` is searched for on demand, as k products have k (k - 1) / 2. All have
    profile-likelihood intervals of the support cut. `covariance` is that of the log-worths and,
    last, of the log of the tie weight. `statistic` is the likelihood ratio against equal worths
    with `degrees` of freedom.
    """

    worths: tuple[float, ...]
    log_worths: tuple[Estimate, ...]
    covariance: tuple[tuple[float, ...], ...]
    tie_weight: Estimate | None
    log_likelihood: float
    statistic: float
    degrees: int
    p_value: float
    confidence: float
    _fitted: "_Fitted" = field(repr=False, compare=False)

    def difference(self, first: int, second: int) -> Estimate:
        """ln(worth of the first / worth of the second), by their places in the table."""
        unit = np.eye(self._fitted.best.size)
        return self._fitted.estimate(unit[first] - unit[second])

    @property
    def ranking(self) -> tuple[int, ...]:
        """Products from the largest worth to the smallest, by their place in the table."""
        return tuple(sorted(range(len(self.worths)), key=lambda i: -self.worths[i]))


@dataclass(frozen=True, slots=True)
class _Choices:
    """Choices among alternatives: `features` (choice, alternative, parameter), `counts` taken."""

    features: Floats
    counts: Floats

    def probabilities(self, parameters: Floats) -> Floats:
        return np.asarray(special.softmax(self.features @ parameters, axis=1))

    def log_likelihood(self, parameters: Floats) -> float:
        p = self.probabilities(parameters)
        return float(np.sum(special.xlogy(self.counts, p)))

    def score_and_information(self, parameters: Floats) -> tuple[Floats, Floats]:
        p = self.probabilities(parameters)
        size = self.counts.sum(axis=1)
        # Products of matrices, which are many times as fast as sums over four indices.
        flat = self.features.reshape(-1, self.features.shape[2])
        mean = (p[:, None, :] @ self.features)[:, 0]
        score = self.counts.ravel() @ flat - size @ mean
        square = (flat * (size[:, None] * p).reshape(-1, 1)).T @ flat
        return score, square - (mean * size[:, None]).T @ mean


def bradley_terry(wins: ArrayLike, confidence: float = 0.95) -> Worths:
    """Worths from `wins`, whose row i, column j counts how often i was chosen over j.

    Halves are allowed, for ties that the plan shares out. Raises `InputError` for a table that is
    not square, has counts below 0, or in which some product never loses or never wins.
    """
    table = _square("wins", wins)
    features, counts = _compared(table, np.zeros_like(table))
    return _fit(_Choices(features[:, :2, :-1], counts[:, :2]), len(table), confidence)


def davidson(wins: ArrayLike, ties: ArrayLike, confidence: float = 0.95) -> Worths:
    """Worths and tie weight, `ties` being symmetric with the ties of i and j in row i, column j.

    Raises `InputError` for tables of other shapes, counts below 0, no tie at all, or as
    `bradley_terry` does.
    """
    table, tied = _square("wins", wins), _square("ties", ties)
    if tied.shape != table.shape or not np.array_equal(tied, tied.T):
        raise InputError("ties must be a symmetric table of the size of wins.")
    if not tied.sum():
        raise InputError("there is no tie; use the model without ties.")
    return _fit(_Choices(*_compared(table, tied)), len(table), confidence)


def _compared(wins: Floats, ties: Floats) -> tuple[Floats, Floats]:
    """Features and counts of every pair that met: the first chosen, the second, or neither."""
    _check_connected(wins + ties)
    met = wins + wins.T + ties
    pairs, k = [(i, j) for i, j in combinations(range(len(wins)), 2) if met[i, j]], len(wins)
    features = np.zeros((len(pairs), 3, k + 1))
    for row, (i, j) in enumerate(pairs):
        features[row, 0, i] = features[row, 1, j] = 1
        features[row, 2, [i, j, k]] = 0.5, 0.5, 1
    return features, np.array([[wins[i, j], wins[j, i], ties[i, j]] for i, j in pairs])


def _square(name: str, table: ArrayLike) -> Floats:
    array = np.asarray(table, dtype=np.float64)
    if array.ndim != 2 or array.shape[0] != array.shape[1] or len(array) < 2:
        raise InputError(
            f"{name} must be a square table with a row for each of at least 2 products."
        )
    if not np.all(array >= 0) or np.diagonal(array).any():
        raise InputError(f"{name} must have counts of 0 or more and 0 on its diagonal.")
    return array


def unplaced(beaten: ArrayLike) -> tuple[int, ...]:
    """Products that have no place beside the others; empty where all worths can be estimated.

    `beaten` has in row i, column j how often i was chosen over j, or tied with it. They were never,
    or always, chosen over the others, or never met them (Ford 1957).
    """
    parts, label = connected_components(np.asarray(beaten) > 0, directed=True, connection="strong")
    return tuple(np.flatnonzero(label == label[0]).tolist()) if parts > 1 else ()


def _check_connected(beaten: Floats) -> None:
    group = list(unplaced(beaten))
    if group:
        raise InputError(
            f"products {group} were never, or always, chosen over the others (or never met them), "
            "so their worths cannot be placed; compare more."
        )


def _fit(choices: _Choices, products: int, confidence: float) -> Worths:
    check_confidence(confidence)
    parameters = choices.features.shape[2]
    best = _newton(choices, np.zeros(parameters), _centred(parameters, products))
    equal = _newton(choices, np.zeros(parameters), np.eye(parameters)[:, products:])
    _, information = choices.score_and_information(best)
    basis = _centred(parameters, products)
    covariance = basis @ np.linalg.inv(basis.T @ information @ basis) @ basis.T
    highest, level = choices.log_likelihood(best), choices.log_likelihood(equal)
    fitted = _Fitted(choices, products, best, covariance, highest, confidence)
    return _worths(fitted, 2 * (highest - level))


def _centred(parameters: int, products: int) -> Floats:
    """Basis of the parameters whose log-worths sum to 0; a tie weight is free."""
    basis = np.eye(parameters)[:, 1:]
    basis[0, : products - 1] = -1
    return basis


def _newton(choices: _Choices, start: Floats, basis: Floats) -> Floats:
    """Maximum within the basis; steps are halved until they climb."""
    at, value = start, choices.log_likelihood(start)
    for _ in range(_MOST_STEPS if basis.size else 0):
        score, information = choices.score_and_information(at)
        step = basis @ np.linalg.solve(basis.T @ information @ basis, basis.T @ score)
        while choices.log_likelihood(at + step) < value and np.max(np.abs(step)) > _LEAST_STEP:
            step = step / 2
        at, value = at + step, choices.log_likelihood(at + step)
        if np.max(np.abs(step)) < _STILL:
            break
    return at


@dataclass(frozen=True, slots=True)
class _Fitted:
    """The maximum, and the covariance of the parameters there."""

    choices: _Choices
    products: int
    best: Floats
    covariance: Floats
    highest: float
    confidence: float

    def estimate(self, contrast: Floats) -> Estimate:
        """A sum of the parameters, so weighted, with its profile-likelihood interval."""
        value, cut = float(contrast @ self.best), support_cut(self.confidence)
        # The profile leaves the maximum in this direction, so each search starts close to its end.
        ahead = self.covariance @ contrast / (contrast @ self.covariance @ contrast)
        rest = _centred(self.best.size, self.products)
        rest = rest @ null_space((contrast @ rest)[None, :])

        def deviance(at: float) -> float:
            there = _newton(self.choices, self.best + (at - value) * ahead, rest)
            return 2 * (self.highest - self.choices.log_likelihood(there))

        low, high = (deviance_end(deviance, value, value + far, cut) for far in (-_FAR, _FAR))
        return Estimate(value, Interval(low, high, self.confidence))


def _worths(fitted: _Fitted, statistic: float) -> Worths:
    products, parameters = fitted.products, fitted.best.size
    unit = np.eye(parameters)
    return Worths(
        worths=tuple(special.softmax(fitted.best[:products]).tolist()),
        log_worths=tuple(fitted.estimate(unit[i]) for i in range(products)),
        covariance=tuple(tuple(row) for row in fitted.covariance.tolist()),
        tie_weight=_exponential(fitted.estimate(unit[-1])) if parameters > products else None,
        log_likelihood=fitted.highest,
        statistic=max(0.0, statistic),
        degrees=products - 1,
        p_value=chi_square_tail(statistic, products - 1),
        confidence=fitted.confidence,
        _fitted=fitted,
    )


def _exponential(estimate: Estimate) -> Estimate:
    interval = Interval(exp(estimate.low), exp(estimate.high), estimate.interval.confidence)
    return Estimate(exp(estimate.value), interval)
