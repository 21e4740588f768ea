"""Acids against primary pH standards, worked titrations and a solver of another kind."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from tasting.drink import acidity
from tasting.drink.composition import compose
from tasting.drink.pantry import ingredient
from tasting.errors import InputError

from .glass import few, recipes, rows, version

BUFFERS = rows("drink_buffers.csv")
ALL = (*acidity.ACIDS, "carbonic")


def moles(**given):
    return np.array([given.get(acid, 0.0) for acid in ALL])


def ph_of(row):
    acid = moles(**{row["acid"]: float(row["acid_mol_per_l"])})
    return float(acidity.solve_ph(acid, float(row["cations_mol_per_l"])))


def test_without_activities_the_standards_are_missed(monkeypatch):
    monkeypatch.setattr(acidity, "log_activity", np.zeros_like)

    misses = [ph_of(row) - float(row["ph"]) for row in BUFFERS]

    assert min(misses) > 0.14
    assert max(misses) > 0.3


@pytest.mark.parametrize(
    ("acid", "g_per_l", "expected"),
    [
        ("citric", 3, 2.51),
        ("citric", 10, 2.23),
        ("malic", 5, 2.44),
        ("tartaric", 5, 2.29),
        ("lactic", 5, 2.57),
        ("acetic", 6.0052, 2.88),
        ("phosphoric", 0.5, 2.48),
    ],
)
def test_acid_in_water(acid, g_per_l, expected):
    """Computed beforehand by another program from the same constants (computed)."""
    place = acidity.ACIDS.index(acid)
    acids = np.zeros(len(acidity.ACIDS))
    acids[place] = g_per_l / acidity.MOLAR_MASS[place]

    assert float(acidity.solve_ph(acids, 0.0)) == pytest.approx(expected, abs=0.006)


def test_ideal_weak_acid_is_the_textbook_root(monkeypatch):
    """x²/(c - x) = K for 0.1 mol/L of acetic acid gives x, and pH 2.88 (any textbook)."""
    monkeypatch.setattr(acidity, "log_activity", np.zeros_like)
    k = 10**-4.756
    x = (-k + (k * k + 4 * k * 0.1) ** 0.5) / 2

    assert float(acidity.solve_ph(moles(acetic=0.1), 0.0)) == pytest.approx(-np.log10(x), abs=1e-6)


def test_pure_water_is_neutral():
    assert float(acidity.solve_ph(moles(), 0.0)) == pytest.approx(7.0, abs=0.01)


def test_carbonic_acid_does_not_matter_beside_a_fruit_acid():
    """2.515 to 2.513 with 3 volumes of CO2 (computed)."""
    plain = acidity.solve_ph(moles(citric=3 / 192.124), 0.0)
    bubbly = acidity.solve_ph(moles(citric=3 / 192.124, carbonic=5.93 / 44.01), 0.0)

    assert 0 < float(plain - bubbly) < 0.004


# Another solver: scipy's bracketing root finder on the charge balance written out acid by acid,
# with the ionic strength as the inner root.


def form_fractions(pkas, ph, log_gamma):
    terms, exponent = [1.0], 0.0
    for j, pka in enumerate(pkas, start=1):
        exponent += ph - pka
        terms.append(10 ** (exponent - j * j * log_gamma))
    whole = sum(terms)
    return [term / whole for term in terms]


def ions(acids, cations, ph, strength):
    root = strength**0.5
    log_gamma = -0.5085 * (root / (1 + root) - 0.3 * strength)
    hydrogen = 10 ** (-ph - log_gamma)
    hydroxide = 10 ** (ph - 13.995 - log_gamma)
    charge = squares = 0.0
    for amount, pkas in acids:
        shares = form_fractions(pkas, ph, log_gamma)
        charge += amount * sum(j * share for j, share in enumerate(shares))
        squares += amount * sum(j * j * share for j, share in enumerate(shares))
    balance = charge + hydroxide - hydrogen - cations
    return balance, (squares + hydrogen + hydroxide + abs(cations)) / 2


def independent_ph(acid_moles, cations):
    acids = [
        (amount, [pka for pka in pkas if np.isfinite(pka)])
        for amount, pkas in zip(acid_moles, acidity._PKA, strict=True)
        if amount
    ]

    def balance(ph):
        strength = brentq(lambda i: ions(acids, cations, ph, i)[1] - i, 0.0, 1e3, xtol=1e-15)
        return ions(acids, cations, ph, strength)[0]

    return brentq(balance, 0.5, 12.5, xtol=1e-11)


def random_mixtures(count):
    rng = np.random.default_rng(20260301)
    present = rng.random((count, 9)) < 0.5
    amounts = np.where(present, 10 ** rng.uniform(-4, -1.5, (count, 9)), 0.0)
    return amounts, rng.uniform(0, 0.8, count) * amounts.sum(axis=1)


def test_two_hundred_random_mixtures_agree_with_a_bracketing_root_finder():
    amounts, cations = random_mixtures(200)

    expected = [independent_ph(a, c) for a, c in zip(amounts, cations, strict=True)]

    assert acidity.solve_ph(amounts, cations) == pytest.approx(expected, abs=1e-7)


def test_titration_leads_to_the_end_point():
    """The definition put back: with that much base added, the pH is 8.1."""
    amounts, cations = random_mixtures(50)
    base = acidity.titratable_eq_per_l(amounts[:, :-1], cations)
    some = base > 0

    after = acidity.solve_ph(amounts[:, :-1], cations + base)

    assert some.sum() > 40
    assert after[some] == pytest.approx(np.full(some.sum(), 8.1), abs=1e-6)


@pytest.mark.parametrize(
    ("acid", "at_7", "at_8_1"),
    [
        ("citric", 2.918, 2.993),
        ("malic", 1.992, 2.000),
        ("lactic", 0.999, 1.0),
        ("acetic", 0.995, 1.0),
        ("phosphoric", 1.489, 1.928),
    ],
)
def test_protons_taken_at_an_end_point(acid, at_7, at_8_1):
    """At 0.01 mol/L, computed beforehand by another program (computed)."""
    acids = moles(**{acid: 0.01})[:-1]

    taken = [float(acidity.titratable_eq_per_l(acids, 0.0, ph)) / 0.01 for ph in (7.0, 8.1)]

    assert taken == pytest.approx([at_7, at_8_1], abs=0.03)


def test_phosphoric_counts_about_two():
    assert acidity.G_PER_EQ[acidity.ACIDS.index("phosphoric")] == pytest.approx(48.997, abs=0.001)


@pytest.mark.parametrize("row", rows("drink_acid_ratios.csv"), ids=lambda row: row["acid"])
def test_grams_of_one_acid_for_another(row):
    """Factors of AOAC 942.15, by one titration told as both acids."""
    citric, other = (
        acidity.titrated_g_per_l(10, 10, acid=acid) for acid in ("citric", row["acid"])
    )

    assert other / citric == pytest.approx(
        float(row["g_per_g_citric"]), abs=float(row["tolerance"])
    )


@pytest.mark.parametrize(("base", "sample"), [(-1, 10), (1, 0), (float("nan"), 10)])
def test_impossible_titration_is_refused(base, sample):
    with pytest.raises(InputError, match="a titration needs"):
        acidity.titrated_g_per_l(base, sample)


def test_unknown_acid_is_refused():
    with pytest.raises(InputError, match="unknown acid 'boric'"):
        acidity.titrated_g_per_l(10, 10, acid="boric")


def test_lemon_without_potassium_would_be_far_too_sour():
    """About 1.88, 0.4 too low (computed)."""
    bare = ingredient("lemon-juice").model_copy(
        update={
            "potassium_mg_per_100g": None,
            "other_cations_meq_per_100g": 0.0,
            "phosphoric_g_per_100g": 0.0,
            "sodium_mg_per_100g": None,
            "ph": None,
            "ranges": {},
        }
    )

    assert compose(version((bare, "100 mL"))).ph == pytest.approx(1.88, abs=0.03)


@pytest.mark.parametrize("key", ["rhubarb-juice", "verjus", "dry-white-wine", "honey"])
def test_measured_ph_is_given_back_where_potassium_is_not_known(key):
    item = ingredient(key)

    assert compose(version((key, "100 mL"))).ph == pytest.approx(item.ph, abs=1e-4)


@few
@given(recipes, st.floats(0.1, 20))
def test_more_acid_titrates_more_and_lowers_the_ph(parts, grams):
    before = compose(version(*parts))
    after = compose(version(*parts, ("citric-acid", f"{grams!r} g")))

    assert after.ta_g_per_l > before.ta_g_per_l or before.ta_g_per_l > 600
    assert after.ph < before.ph or before.ph < 2


def test_activity_of_a_tenth_molar_ion():
    """0.78 for a single charge at I = 0.1 (Davies' own and every textbook's value, from memory)."""
    assert 10 ** float(acidity.log_activity(np.array(0.1))) == pytest.approx(0.78, abs=0.005)


def test_activity_is_not_carried_beyond_its_range():
    strong, limit = acidity.log_activity(np.array([3.0, 0.5]))

    assert strong == limit


@few
@given(st.floats(2.0, 7.5), st.floats(1e-4, 0.1))
def test_cations_that_hold_a_ph_give_it_back(ph, citric):
    acids = moles(citric=citric)[:-1]
    cations = acidity.bound_charge(acids, ph)

    assert float(acidity.solve_ph(acids, cations)) == pytest.approx(ph, abs=1e-6)


def test_a_strong_base_has_nothing_to_titrate():
    assert float(acidity.titratable_eq_per_l(moles(citric=0.01)[:-1], 0.05)) == 0.0


def test_charges_per_mole_add_up_to_the_bound_charge():
    acids = moles(citric=0.02, malic=0.01, phosphoric=0.003)[:-1]
    base = float(acidity.bound_charge(acids, 8.1))

    assert acids @ acidity.charge_per_mole(acids, 8.1) == pytest.approx(base, rel=1e-3)


def test_citrate_buffers_the_ph_and_not_the_acidity():
    """6 g/L citric acid with 1 g/L trisodium citrate dihydrate: pH 2.79 (computed)."""
    parts = (("citric-acid", "6 g"), ("water", "994.6 g"))
    plain, buffered = (
        compose(version(*parts, *more)) for more in ((), (("trisodium-citrate", "1 g"),))
    )

    assert buffered.ph == pytest.approx(2.79, abs=0.02)
    assert buffered.ta_g_per_l == pytest.approx(plain.ta_g_per_l, rel=0.003)


def test_undegassed_drink_would_read_far_too_sour():
    """3 volumes of CO2 would read as 8.6 g/L of citric acid (computed): hence degassed."""
    carbonic = 5.93 / acidity.CO2_G_PER_MOL
    charge = float(acidity.bound_charge(moles(carbonic=carbonic), 8.1))

    assert charge * acidity.CITRIC_G_PER_EQ == pytest.approx(8.6, abs=0.2)
