"""Measured lots and preparations as ingredients of a draft."""

import pytest

from tasting.drink.composition import compose
from tasting.drink.formula import Formula, Part, Version
from tasting.drink.pantry import Ingredient, ingredient
from tasting.errors import InputError
from tasting.ui.drinks import draft as drafting
from tasting.ui.drinks import ingredient_sources
from tests.conftest import NOW
from tests.ui.workshop import SPRITZ

KNOWN = drafting.known_ingredients(())
DRAFT = drafting.draft_from(SPRITZ, SPRITZ.versions[0])
TITRATED = {"sample_ml": 10.0, "base_ml": 85.0, "base_normality": 0.1}


def lot(name: str = "lemon juice, Monday", **measured: float) -> Ingredient:
    values = {"sample_ml": None, "base_ml": None, "base_normality": 0.1}
    return ingredient_sources.measured_lot(
        KNOWN["lemon juice"], {**values, **(measured or TITRATED)}, name, KNOWN
    )


def test_a_titration_makes_an_ingredient_of_its_own() -> None:
    """85 mL of 0.1 N on 10 mL: 0.85 eq/L, times 64.04 g/eq of citric acid (arithmetic)."""
    made = lot()
    assert (made.name, made.key == "lemon-juice") == ("lemon juice, Monday", False)
    grams_per_l = (made.ta_citric_g_per_100g or 0) * 10 * made.density_kg_per_l
    assert grams_per_l == pytest.approx(0.85 * 64.04, rel=1e-3)


def test_a_measured_lot_makes_the_acidity_surer() -> None:
    draft = ingredient_sources.with_lot(DRAFT, KNOWN, "lemon juice", lot())
    known = drafting.known_ingredients((), draft.own, SPRITZ.versions[0].parts)
    before, after = (
        compose(drafting.preview(drafting.recipe_of(one, known), NOW)).intervals["ta_g_per_l"]
        for one in (DRAFT, draft)
    )
    assert after.high - after.low < before.high - before.low


def test_a_lot_takes_the_place_of_the_ingredient() -> None:
    draft = ingredient_sources.with_lot(DRAFT, KNOWN, "lemon juice", lot())
    assert draft.text.splitlines()[1] == "10 mL lemon juice, Monday"
    assert DRAFT.text.splitlines()[1] == "10 mL lemon juice"
    assert [own.name for own in draft.own] == ["lemon juice, Monday"]


def test_a_lot_of_what_is_not_in_the_draft_becomes_a_line() -> None:
    draft = ingredient_sources.with_lot(DRAFT, KNOWN, "lime juice", lot())
    assert draft.text == f"{DRAFT.text}\nlemon juice, Monday"


@pytest.mark.parametrize(
    ("name", "measured", "match"),
    [
        (" ", TITRATED, "no name"),
        ("Lemon juice", TITRATED, "there is a 'Lemon juice' already"),
        ("Monday", {"sample_ml": 10.0}, "a titration needs both"),
        ("Monday", {"base_normality": 0.1}, "nothing was measured"),
    ],
)
def test_a_bad_lot_is_refused_in_one_sentence(
    name: str, measured: dict[str, float], match: str
) -> None:
    with pytest.raises(InputError, match=match):
        lot(name, **measured)


def formula(id: str, *parts: tuple[object, str]) -> Formula:
    lines = tuple(
        Part.model_validate({"ingredient": item, "amount": amount}) for item, amount in parts
    )
    first = Version(id=f"{id}-1", label="v1", parts=lines, created_at=NOW)
    return Formula(id=id, name=id.title(), versions=(first,))


SYRUP = formula("syrup", ("sugar", "500 g"), ("water", "500 g"))


def prepared(of: Formula, name: str = "House syrup", **yields: float | None) -> Ingredient:
    return ingredient_sources.preparation_of(of, of.versions[0], yields, name, KNOWN)


def test_a_version_becomes_an_ingredient_with_its_yield() -> None:
    """500 g of sugar, 99.8 % pure, in 800 g of syrup are 62.4 g in 100 g (arithmetic)."""
    made = prepared(SYRUP, mass_g=800.0, strained_g=None)
    assert (made.key, made.name) == ("made-syrup", "House syrup")
    assert made.sugars_g_per_100g == pytest.approx(0.998 * 62.5)
    assert drafting.with_own(DRAFT, made).text.endswith("\nHouse syrup")


def test_a_yield_that_cannot_be_is_refused() -> None:
    with pytest.raises(InputError, match="yields more"):
        prepared(SYRUP, mass_g=2000.0)


def test_a_formula_does_not_go_into_itself() -> None:
    made = prepared(SYRUP)
    ingredient_sources.refuse_cycle(SPRITZ, made)
    ingredient_sources.refuse_cycle(None, made)
    with pytest.raises(InputError, match="Syrup, which cannot be made from itself"):
        ingredient_sources.refuse_cycle(SYRUP, made)


def test_a_formula_does_not_go_into_itself_through_another() -> None:
    cordial = formula("cordial", (prepared(SYRUP), "100 mL"), ("lemon-juice", "50 mL"))
    made = prepared(cordial, "House cordial")
    with pytest.raises(InputError, match="House cordial is made from Syrup"):
        ingredient_sources.refuse_cycle(SYRUP, made)


def test_a_version_that_holds_its_own_formula_is_no_preparation() -> None:
    looped = formula("syrup", (prepared(SYRUP), "100 mL"), ("water", "50 mL"))
    with pytest.raises(InputError, match="made from itself"):
        prepared(looped, "Second syrup")


@pytest.mark.parametrize("id", ["Spritz", "a.b_c", "x" * 64])
def test_ids_that_are_no_keys_still_get_one_each(id: str) -> None:
    key = ingredient_sources.preparation_key(id)
    assert key != ingredient_sources.preparation_key(id.lower() + "2")
    assert (
        ingredient("water").model_copy(update={"key": key}).model_dump()["key"].startswith("made-")
    )
    assert len(key) <= 64
