"""One line of a table of promises: what an interval covers, how often a test errs."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri
from scipy.stats import binom

from tasting.errors import InputError
from tasting.stats.results import Interval

Array = NDArray[Any]
HEADING = "| what | nominal | worst | mean | error |\n|---|---|---|---|---|"
ROUNDING = 1e-6
PROMISE = ">= 0.95"


@dataclass(frozen=True, slots=True)
class Row:
    """The least (or greatest) value found and the mean over the grid; no error where exact."""

    what: str
    nominal: str
    worst: float
    mean: float
    error: float | None = None

    def __str__(self) -> str:
        error = "exact" if self.error is None else f"± {self.error:.3f}"
        return f"| {self.what} | {self.nominal} | {self.worst:.3f} | {self.mean:.3f} | {error} |"


def inside(interval: Interval, truth: float) -> bool:
    """Whether an interval covers the truth."""
    return interval.low <= truth + ROUNDING and truth - ROUNDING <= interval.high


def simulated(what: str, nominal: str, hits: Sequence[bool]) -> Row:
    """One case, drawn many times; the error is two standard errors."""
    share = float(np.mean(hits))
    return Row(what, nominal, share, share, 2 * float(np.sqrt(share * (1 - share) / len(hits))))


def worst_of(what: str, nominal: str, cases: Iterable[Sequence[bool]], draws: int) -> Row:
    """A grid of cases, each drawn so many times; the error is that of the worst one.

    The least of m shares lies farther below the truth than one share would: its error is the bound
    of Bonferroni, 97.5 % for all cases together. A draw may give several hits that hang together,
    so it counts once.
    """
    shares = [float(np.mean(hits)) for hits in cases]
    least = min(shares)
    reach = -float(ndtri(0.025 / len(shares)))
    error = reach * float(np.sqrt(max(least * (1 - least), 1 / draws) / draws))
    return Row(what, nominal, least, float(np.mean(shares)), error)


def show(rows: Iterable[Row]) -> None:
    """Print the table, each row as soon as it is there."""
    print(HEADING)
    for row in rows:
        print(row, flush=True)


@dataclass(frozen=True, slots=True)
class Outcomes:
    """Every result that can come out, with the interval that it leads to; NaN where refused."""

    low: Array
    high: Array

    @classmethod
    def of(cls, intervals: Iterable[Interval | None]) -> "Outcomes":
        """From the intervals, None where nothing can be estimated."""
        ends = [(i.low, i.high) if i else (np.nan, np.nan) for i in intervals]
        low, high = np.array(ends, dtype=np.float64).T
        return cls(low, high)

    def coverage(self, weights: Array, truth: float) -> float:
        """Share of the results with an interval whose interval covers; NaN if half have none."""
        covers = (self.low <= truth + ROUNDING) & (truth - ROUNDING <= self.high)
        told = float(weights[~np.isnan(self.low)].sum())
        return float(weights[covers].sum()) / told if told > 0.5 else np.nan


def exactly(what: str, nominal: str, values: Iterable[float]) -> Row:
    """A grid of exact values."""
    found = np.array(list(values), dtype=np.float64)
    return Row(what, nominal, float(np.nanmin(found)), float(np.nanmean(found)))


def counted(*sizes: int) -> list[tuple[int, ...]]:
    """Every result of several counts, each from 0 to its size."""
    return list(product(*(range(size + 1) for size in sizes)))


def chances(results: Sequence[tuple[int, ...]], sizes: Sequence[int], p: Sequence[float]) -> Array:
    """Probability of each result of independent binomial counts."""
    return np.asarray(binom.pmf(np.array(results), np.array(sizes), np.array(p)).prod(axis=1))


def tried(estimate: Callable[[], Interval]) -> Interval | None:
    """The interval, or None where nothing can be estimated."""
    try:
        return estimate()
    except InputError:
        return None
