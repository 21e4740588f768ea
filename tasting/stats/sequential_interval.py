"""The interval of p_d after a sequential test, which stops when the score is far from the middle.

Results are put in order by stages (Siegmund 1978, Biometrika 65:341; Jennison and Turnbull 2000,
Group Sequential Methods, section 8.4): a difference shown early is more than one shown late, that
more than no decision, that more than similarity shown late, and least is similarity shown early; at
one look the higher score is more. The ends are the shares p_d under which a result at least, or at
most, as high as this one has half the risk. The order looks at no answer after the stop, so it
need not be known how many were planned. Everything is exact.
"""

from collections.abc import Callable
from functools import lru_cache

from scipy import optimize

from tasting.stats.checks import check_beta, check_between, check_confidence
from tasting.stats.results import Interval
from tasting.stats.sequential import Decision, Run, WaldTest, arriving, carried

# Where most similar panels have stopped; an earlier stop is a score below chance.
_TYPICAL = 0.5


def stopped_interval(test: WaldTest, run: Run, correct: int, confidence: float = 0.95) -> Interval:
    """Interval of p_d for a run with so many correct answers up to its decision, or its end.

    A score below chance is no evidence of likeness: similarity shown earlier than half of the
    panels in which nobody notices would show it counts as shown then.

    Raises `InputError` for no answer, an impossible count or confidence.

    >>> from tasting.stats.sequential import wald_test
    >>> plan = wald_test(1 / 3, 0.5, alpha=0.05, beta=0.10)
    >>> interval = stopped_interval(plan, Run(Decision.DIFFERENT, 5), 5)
    >>> round(interval.low, 3), interval.high
    (0.217, 1.0)
    """
    check_between("correct", correct, 0, run.n, closed=True)
    risk = (1 - check_confidence(confidence)) / 2
    low = _first(lambda p_d: _at_least(test, run, correct, p_d) - risk)
    high = 1 - _first(lambda gap: _at_most(test, run, correct, 1 - gap) - risk)
    return Interval(low, max(low, high), confidence)


def stopped_limit(test: WaldTest, run: Run, correct: int, beta: float) -> float:
    """One-sided 1 - beta upper limit of p_d after the stop; raises as `stopped_interval`."""
    check_between("correct", correct, 0, run.n, closed=True)
    risk = check_beta(beta)
    return 1 - _first(lambda gap: _at_most(test, run, correct, 1 - gap) - risk)


def stopped_middle(test: WaldTest, run: Run, correct: int) -> float:
    """The p_d under which higher and lower results are as likely; it lies in every interval.

    The share correct up to the stop leans away from the middle, this estimate does not (Jennison
    and Turnbull 2000, section 8.4). 0 for a score at or below guessing; unchecked.
    """
    return _first(lambda p_d: _at_least(test, run, correct, p_d) - 0.5)


def _first(excess: Callable[[float], float]) -> float:
    """From where on, between 0 and 1, a rising function is no longer below 0."""
    if excess(0.0) >= 0:
        return 0.0
    return float(optimize.brentq(excess, 0.0, 1.0)) if excess(1.0) > 0 else 1.0


def _at_least(test: WaldTest, run: Run, correct: int, p_d: float) -> float:
    """Probability of a result as high as this one or higher."""
    before = arriving(test, run.n, p_d)
    if run.decision is Decision.SIMILAR:
        return 1 - before.similar - float(before.undecided[:correct].sum())
    return before.different + float(before.undecided[correct:].sum())


def _at_most(test: WaldTest, run: Run, correct: int, p_d: float) -> float:
    """Probability of a result as low as this one or lower, counted as one at chance at least."""
    if run.decision is Decision.SIMILAR:
        return carried(test, max(run.n, _typical_stop(test)), p_d).similar
    before = arriving(test, run.n, p_d)
    if run.decision is Decision.DIFFERENT:
        return 1 - before.different - float(before.undecided[correct + 1 :].sum())
    middle = max(correct, round(run.n * test.chance))
    return before.similar + float(before.undecided[: middle + 1].sum())


@lru_cache(maxsize=256)
def _typical_stop(test: WaldTest) -> int:
    """Tastings after which half of the panels in which nobody notices have shown similarity."""
    _, n = test.least_tastings()
    while carried(test, n, 0.0).similar < _TYPICAL:
        n += 1
    return n
