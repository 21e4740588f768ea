"""What an assessor is told, for both samples together."""

import pytest

from tasting.drink.formula import Part, Version
from tasting.panel import care
from tests.ui.workshop import MEASURED, SPRITZ, START, UNMEASURED

CREAMY = UNMEASURED.model_copy(update={"allergens": ("milk", "gluten")})


def strong(ml: float) -> Version:
    """So much 40 % spirit, made up to 100 mL with water."""
    parts = {"neutral-spirit": ml, "water": 100 - ml}
    return Version(
        id="strong",
        label="strong",
        parts=tuple(
            Part.model_validate({"ingredient": key, "amount": f"{amount} mL"})
            for key, amount in parts.items()
        ),
        created_at=START,
    )


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
