"""The sensory distance from a score, by the name of the method."""

from tasting.panel.methods import Method, method_named
from tasting.stats import dprime
from tasting.stats.results import Estimate


def d_prime(
    correct: int, n: int, method: Method | str = "triangle", confidence: float = 0.95
) -> Estimate:
    """d-prime with its exact interval, from `correct` of `n` answers by a method.

    The interval carries that of the share correct over (Clopper and Pearson 1934), so it never
    covers less often than stated. Raises InputError for impossible counts, an unknown method, or
    one without a chance of guessing.

    >>> round(d_prime(20, 30, "triangle").value, 2)
    2.32
    """
    chosen = method_named(method) if isinstance(method, str) else method
    distance = dprime.d_prime(correct, n, chosen.model, confidence)
    return Estimate(distance.value, distance.exact)
