"""Panel sizes by method, against scipy's binomial distribution and the standards' tables."""

import pytest
from scipy.stats import binom

from tasting.errors import InputError
from tasting.panel.design import TestDesign
from tasting.panel.methods import (
    DUO_TRIO,
    METHODS,
    PAIRED,
    PREFERENCE,
    TETRAD,
    TETRAD_SPECIFIED,
    THREE_AFC,
    TRIANGLE,
)
from tasting.panel.sizing import difference_size, panel_size, power_of, reach
from tasting.published.check import rows


@pytest.mark.parametrize(
    ("method", "one_sided", "n"),
    [
        ("triangle", False, 66),  # ISO 4120:2004 Table A.3, p_d 30 % (from memory)
        ("paired", True, 119),  # ISO 5495:2005 Table A.4, p_d 30 % (from memory)
        ("preference", False, 145),  # ISO 5495:2005 Table A.5, p_d 30 % (from memory)
    ],
)
def test_sizes_of_the_standards_at_five_per_cent_each(method: str, one_sided: bool, n: int) -> None:
    found = panel_size(method, alpha=0.05, beta=0.05, p_d=0.3, one_sided=one_sided)

    assert found.n == n


@pytest.mark.parametrize("method", [TRIANGLE, PAIRED, PREFERENCE], ids=lambda method: method.key)
def test_actual_alpha_and_power_are_those_of_scipys_binomial(method) -> None:
    found = panel_size(method, alpha=0.05, beta=0.2, p_d=0.4)
    p_c = 0.4 + method.chance * 0.6
    beyond = found.critical_number - 1

    assert found.alpha == pytest.approx(
        found.sides * binom.sf(beyond, found.n, method.chance), rel=1e-9
    )
    assert found.power == pytest.approx(binom.sf(beyond, found.n, p_c), rel=1e-9)
    assert found.power >= 0.8 > power_of(TestDesign(method, p_d=0.4), found.n - 1)


DIRECTED = {"2-AFC": PAIRED, "3-AFC": THREE_AFC, "specified tetrad": TETRAD_SPECIFIED}
UNDIRECTED = {"triangle": TRIANGLE, "duo-trio": DUO_TRIO, "tetrad": TETRAD}


@pytest.mark.parametrize("row", rows("stat_d_prime_size"))
def test_tastings_needed_for_a_published_distance(row) -> None:
    name, risks = row["method"], {"alpha": 0.05, "beta": 1 - float(row["power"])}
    method, expected = UNDIRECTED.get(name) or DIRECTED[name], "B" if name in DIRECTED else None
    design = TestDesign(method, expected, d_prime=float(row["d_prime"]), **risks)

    assert difference_size(design).n == int(row["n"])


def test_a_detectable_distance_has_the_power_asked_for() -> None:
    found = reach(TestDesign(TRIANGLE, beta=0.1), 24)

    assert power_of(TestDesign(TRIANGLE, d_prime=found.d_prime), 24) == pytest.approx(0.9, abs=1e-5)
    assert reach(TestDesign(PAIRED), 2).d_prime is None


def test_a_fixed_direction_needs_fewer_tastings() -> None:
    assert panel_size("paired", one_sided=True).n < panel_size("paired").n


@pytest.mark.parametrize(
    ("given", "match"),
    [
        ({"method": "guess"}, "unknown method 'guess'"),
        ({"method": "preference", "one_sided": True}, "without a fixed direction"),
        ({"method": "triangle", "alpha": 0.5}, "alpha is 0.5 but must lie between 0 and 0.5"),
        ({"method": "triangle", "alpha": 0}, "alpha is 0 but must lie between"),
        ({"method": "triangle", "alpha": float("nan")}, "alpha is nan; give a number"),
        ({"method": "triangle", "beta": -0.1}, "beta is −0.1 but must lie between"),
        ({"method": "triangle", "p_d": 0}, "p_d is 0 but must lie between 0 and 1"),
        ({"method": "triangle", "p_d": 0.0001}, "more than two million tastings"),
    ],
)
def test_numbers_out_of_range_are_refused(given: dict[str, object], match: str) -> None:
    with pytest.raises(InputError, match=match):
        panel_size(**given)


@pytest.mark.parametrize("method", [one for one in METHODS.values() if one.psychometric])
def test_every_method_with_a_chance_of_guessing_can_be_sized(method) -> None:
    found = panel_size(method, p_d=0.5)
    p_c = method.chance + (1 - method.chance) * 0.5

    assert found.power == pytest.approx(binom.sf(found.critical_number - 1, found.n, p_c))


@pytest.mark.parametrize("key", ["same-different", "a-not-a"])
def test_a_method_without_a_chance_of_guessing_has_no_size_by_p_d(key: str) -> None:
    with pytest.raises(InputError, match="has no fixed chance of guessing"):
        panel_size(key, p_d=0.5)
