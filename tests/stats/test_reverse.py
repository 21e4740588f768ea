"""From a number of tastings to what it can show, and how often contrasts are reported."""

import pytest
from scipy.stats import binom, norm

from tasting.errors import InputError
from tasting.stats.psychometric import different_said, not_a_said
from tasting.stats.similarity import demonstrable, largest_similar


@pytest.mark.parametrize(("n", "chance"), [(24, 1 / 3), (60, 1 / 3), (40, 0.5), (7, 0.5)])
def test_what_n_tastings_can_show_similar(n: int, chance: float) -> None:
    """Just above that p_d samples nobody tells apart pass often enough, just below they do not."""
    p_d = demonstrable(n, chance, 0.2, 0.05)

    assert binom.cdf(largest_similar(n, chance, p_d + 1e-9, 0.05), n, chance) >= 0.8
    assert binom.cdf(largest_similar(n, chance, p_d - 1e-9, 0.05), n, chance) < 0.8


def test_different_is_said_where_two_perceptions_lie_far_apart() -> None:
    """The difference of two perceptions is normal with spread sqrt 2 (scipy)."""
    pair = norm(1.5, 2**0.5)
    tau = norm(0, 2**0.5).isf(0.15)

    assert different_said(1.5, 0.3) == pytest.approx(pair.sf(tau) + pair.cdf(-tau))
    assert different_said(1e-9, 0.3) == pytest.approx(0.3)


def test_not_a_is_said_beyond_the_criterion() -> None:
    """The normal shift of signal detection (scipy)."""
    assert not_a_said(1.5, 0.3) == pytest.approx(norm.sf(norm.isf(0.3) - 1.5))


@pytest.mark.parametrize("reported", [different_said, not_a_said])
def test_nobody_reports_always_or_never(reported) -> None:
    with pytest.raises(InputError, match="false_alarms is 1 but must lie between 0 and 1"):
        reported(1.0, 1)
