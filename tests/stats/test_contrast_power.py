"""Power of Fisher's test against sums over scipy's own test."""

import pytest
from scipy.stats import binom, fisher_exact

from tasting.errors import InputError
from tasting.stats.contrast_power import contrast_power, contrast_size


def by_scipy(some: int, none: int, share_some: float, share_none: float, alpha: float) -> float:
    """Every pair of counts that scipy.stats.fisher_exact calls a difference, one by one."""
    return sum(
        binom.pmf(x, some, share_some) * binom.pmf(y, none, share_none)
        for x in range(some + 1)
        for y in range(none + 1)
        if fisher_exact([[x, some - x], [y, none - y]], alternative="greater").pvalue
        <= alpha * (1 + 1e-9)
    )


@pytest.mark.parametrize(
    ("some", "none", "share_some", "share_none", "alpha"),
    [(8, 8, 0.7, 0.3, 0.05), (5, 9, 0.9, 0.2, 0.1), (9, 6, 0.5, 0.5, 0.05), (6, 6, 1.0, 0.2, 0.05)],
)
def test_power_is_the_sum_over_all_counts(
    some: int, none: int, share_some: float, share_none: float, alpha: float
) -> None:
    expected = by_scipy(some, none, share_some, share_none, alpha)

    assert contrast_power(some, none, share_some, share_none, alpha) == pytest.approx(expected)


def test_too_few_sets_can_show_nothing() -> None:
    """2 of 2 against 0 of 2 has p = 1/6."""
    assert contrast_power(2, 2, 1.0, 0.0) == 0
    assert contrast_power(2, 2, 1.0, 0.0, alpha=0.2) == pytest.approx(1)


@pytest.mark.parametrize("share_none", [0.05, 0.3, 0.5, 0.8])
def test_its_level_is_kept(share_none: float) -> None:
    assert contrast_power(15, 15, share_none, share_none) <= 0.05


def test_a_size_is_the_first_with_enough_power() -> None:
    found = contrast_size(0.9, 0.3)
    half = found.n // 2

    assert found.power == pytest.approx(by_scipy(half, half, 0.9, 0.3, 0.05))
    assert found.alpha == pytest.approx(by_scipy(half, half, 0.3, 0.3, 0.05))
    assert found.power >= 0.8 > max(contrast_power(n, n, 0.9, 0.3) for n in range(2, half))


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((0.3, 0.3), "reported more often for sets with one"),
        ((0.4, 0.38), "more than 400 sets would be needed"),
        ((0.7, 0.3, 0.7), "alpha is 0.7"),
        ((0.7, 0.3, 0.05, 1), "beta is 1"),
    ],
)
def test_what_cannot_be_planned_is_said(arguments: tuple[float, ...], message: str) -> None:
    with pytest.raises(InputError, match=message):
        contrast_size(*arguments)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [((0, 5, 0.5, 0.5), "some is 0"), ((5, 5, 1.2, 0.5), "share_some is 1.2")],
)
def test_bad_numbers_are_one_sentence(arguments: tuple[float, ...], message: str) -> None:
    with pytest.raises(InputError, match=message):
        contrast_power(*arguments)  # type: ignore[arg-type]
