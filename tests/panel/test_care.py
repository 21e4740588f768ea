"""What an assessor is told, for both samples together."""

import pytest

from tasting.drink.formula import Part, Version
from tasting.errors import InputError
from tasting.panel import care
from tests.ui.workshop import MEASURED, SPRITZ, START, UNMEASURED, planned

CREAMY = UNMEASURED.model_copy(update={"allergens": ("milk", "gluten")})


def watered(ingredient: str, ml: float) -> Version:
    """So much of an ingredient, made up to 100 mL with water."""
    parts = {ingredient: ml, "water": 100 - ml}
    return Version(
        id="watered",
        label="watered",
        parts=tuple(
            Part.model_validate({"ingredient": key, "amount": f"{amount} mL"})
            for key, amount in parts.items()
        ),
        created_at=START,
    )


def strong(ml: float) -> Version:
    """So much 40 % spirit in 100 mL."""
    return watered("neutral-spirit", ml)


def test_allergens_are_those_of_both_samples_in_one_list() -> None:
    nutty = MEASURED.model_copy(update={"allergens": ("nuts", "milk")})

    assert care.allergens([nutty, CREAMY]) == ("gluten", "milk", "nuts")
    assert care.allergens([CREAMY, nutty]) == ("gluten", "milk", "nuts")


def test_a_version_brings_the_allergens_of_its_ingredients() -> None:
    assert care.allergens([SPRITZ.versions[0]]) == ()


@pytest.mark.parametrize(("declared", "told"), [(0.5, 0.5), (4.6, 5.0), (5.0, 5.0), (5.01, 5.5)])
def test_the_stronger_sample_is_told_rounded_up(declared: float, told: float) -> None:
    reference = MEASURED.model_copy(update={"alcohol_percent_vol": declared})

    assert care.alcohol_percent_vol([UNMEASURED, reference]) == told


def test_the_strength_of_a_version_is_computed() -> None:
    """12.5 mL of 40 % vol in 100 mL is 5.0 % vol, but for the contraction: told as 5.5 at most."""
    assert care.alcohol_percent_vol([strong(12.5), UNMEASURED]) in (5.0, 5.5)


def test_nothing_declared_is_told_as_nothing_known() -> None:
    lines = care.notices((), 0.0)

    assert "none declared; ask the host" in lines[0]
    assert lines[1] == care.STOP


def test_alcohol_brings_its_caution() -> None:
    told = " ".join(care.notices(("milk",), 5.5))

    assert "Allergens in these samples: milk." in told
    assert "Alcohol: up to 5.5 % vol." in told
    for caution in ("legal age", "pregnancy", "driving", "spit", "stop at any time", "Local law"):
        assert caution in told


def test_a_us_standard_drink_is_fourteen_grams_of_ethanol() -> None:
    """12 US fl oz (355 mL) at 5 % vol: 14 g (NIAAA, from memory)."""
    assert care.ethanol_g(355, 5) == pytest.approx(14.0, abs=0.05)


def test_sparkling_water_goes_flat_and_a_label_tells_nothing_of_it() -> None:
    assert care.going_flat([SPRITZ.versions[0], MEASURED])
    assert not care.going_flat([MEASURED])


TWO_SETS = planned("one", replicates=2, serving_ml=30.0, alcohol_percent_vol=12.0).plan
"""Two triangle sets: six cups, 180 mL of at most 12 % vol."""


def test_an_intake_is_as_if_every_cup_held_the_stronger_sample() -> None:
    """0.7893 g/mL at 20 °C (OIML R 22, 1975, table: 789.24 kg/m3)."""
    got = care.intake(TWO_SETS, "Elsewhere")

    assert (got.cups, got.volume_ml) == (6, 180)
    assert got.ethanol_g == pytest.approx(180 * 0.12 * 0.78924, abs=0.01)
    assert got.standard_drinks == pytest.approx(got.ethanol_g / 10)


@pytest.mark.parametrize(
    ("country", "volume_ml", "percent"),
    [("United States", 355, 5), ("United States", 148, 12), ("United Kingdom", 25, 40)],
)
def test_a_standard_drink_is_what_its_country_calls_one(
    country: str, volume_ml: float, percent: float
) -> None:
    """12 fl oz at 5 %, 5 fl oz at 12 %; 25 mL at 40 % is a unit (both from memory)."""
    drink = care.STANDARD_DRINKS[country]

    assert care.ethanol_g(volume_ml, percent) / drink.grams == pytest.approx(1, abs=0.02)


def test_every_country_says_who_says_so() -> None:
    assert all(len(drink.source) > 20 for drink in care.STANDARD_DRINKS.values())


def test_a_labelled_reference_is_drunk_too() -> None:
    plan = planned("one", "duo-trio", alcohol_percent_vol=5.0).plan

    assert care.intake(plan, "Elsewhere").cups == 3


def test_an_unknown_country_is_refused() -> None:
    with pytest.raises(ValueError, match="unknown country 'Atlantis'; use one of: United States"):
        care.intake(TWO_SETS, "Atlantis")


@pytest.mark.parametrize(
    ("limit_g", "more", "above"),
    [(20, {}, False), (17, {}, True), (17, {"spit": True}, False), (17, {"replicates": 1}, False)],
)
def test_a_plan_is_above_the_limit_or_not(
    limit_g: float, more: dict[str, object], above: bool
) -> None:
    """Two sets hold 17.05 g."""
    plan = TWO_SETS.model_copy(update=more)

    assert bool(care.above_limit(plan, care.HostLimits(ethanol_g=limit_g))) == above


def test_a_plan_above_the_limit_has_to_be_confirmed() -> None:
    limits = care.HostLimits(ethanol_g=10)

    with pytest.raises(InputError, match="up to 17.0 g of ethanol, above the limit of 10 g: plan"):
        care.check_limit(TWO_SETS, limits, confirmed=False)
    care.check_limit(TWO_SETS, limits, confirmed=True)
    care.check_limit(TWO_SETS, care.HostLimits(), confirmed=False)


@pytest.mark.parametrize("percent", [0.5, 1.0, 1.2])
def test_little_alcohol_brings_the_same_caution(percent: float) -> None:
    assert care.ALCOHOL in care.notices((), percent)[1]


def test_a_little_gas_goes_flat_too_and_a_still_drink_does_not() -> None:
    assert care.going_flat([watered("sparkling-water", 5)])
    assert not care.going_flat([strong(10), UNMEASURED])


@pytest.mark.parametrize(
    ("method", "serving_ml", "said"),
    [
        ("triangle", 30.0, "3 cups, 90 mL in all: at most 8.5 g of ethanol, "),
        ("triangle", 3.0, "9 mL in all: at most 0.9 g of ethanol, 0.1 "),
        ("triangle", 0.1, "less than 0.1 "),
    ],
)
def test_the_amount_in_words(method: str, serving_ml: float, said: str) -> None:
    """90 mL of 12 % vol hold 90 x 0.12 x 0.789 = 8.5 g."""
    plan = planned("one", method, serving_ml=serving_ml, alcohol_percent_vol=12.0).plan

    assert said in care.amount(plan, "Elsewhere")
