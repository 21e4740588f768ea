"""How likely a sequential test has decided by then, against every possible sequence."""

from itertools import product

import pytest

from tasting.errors import InputError
from tasting.stats.sequential import Decision, chance_of_decision, run, wald_test


def by_every_sequence(test, tastings: int, p_c: float) -> dict[Decision, float]:
    found = dict.fromkeys(Decision, 0.0)
    for answers in product((True, False), repeat=tastings):
        weight = p_c ** sum(answers) * (1 - p_c) ** (tastings - sum(answers))
        found[run(test, answers).decision] += weight
    return found


@pytest.mark.parametrize("p_d", [0.0, 0.3, 0.8])
def test_it_is_the_weight_of_the_sequences_that_decide(p_d: float) -> None:
    test = wald_test(1 / 3, 0.5, 0.05, 0.1)
    expected = by_every_sequence(test, 11, 1 / 3 + 2 / 3 * p_d)

    assert chance_of_decision(test, 11, p_d) == pytest.approx(
        (expected[Decision.DIFFERENT], expected[Decision.SIMILAR])
    )


def test_in_the_long_run_it_decides_and_keeps_its_risks() -> None:
    """Wald 1947, section 3.2: the two actual risks together are at most alpha + beta."""
    test = wald_test(1 / 3, 0.3, 0.05, 0.2)
    wrongly_different, similar = chance_of_decision(test, 400, 0.0)
    different, wrongly_similar = chance_of_decision(test, 400, 0.3)

    assert wrongly_different + similar == pytest.approx(1, abs=1e-4)
    assert different + wrongly_similar == pytest.approx(1, abs=1e-4)
    assert wrongly_different + wrongly_similar <= 0.25


@pytest.mark.parametrize(("n", "p_d"), [(0, 0.5), (5, 1.1)])
def test_bad_numbers_are_one_sentence(n: int, p_d: float) -> None:
    with pytest.raises(InputError):
        chance_of_decision(wald_test(1 / 3, 0.5), n, p_d)
