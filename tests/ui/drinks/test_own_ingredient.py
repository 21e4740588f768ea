"""An ingredient of one's own: as sure as it is known, and unknown where it is not."""

from dataclasses import replace

import pytest

from tasting.drink.cautions import cautions
from tasting.drink.composition import compose
from tasting.drink.formula import Amount, Part, Version
from tasting.drink.measures import missing_bulk_density
from tasting.drink.pantry import Ingredient, ingredient
from tasting.drink.uncertainty import advice
from tasting.errors import InputError
from tasting.ui.drinks import draft as drafting
from tasting.ui.drinks.own_ingredient import Typed, changed, own_ingredient, typed_of
from tests.conftest import NOW

KOMBUCHA = {"density_kg_per_l": 1.01, "sucrose_g_per_100g": 4.0, "ta_citric_g_per_100g": 0.4}
SYRUP = {"density_kg_per_l": 1.2, "sucrose_g_per_100g": 50.0}


def own(figures: dict[str, float | None], **more: object) -> Ingredient:
    return own_ingredient("Our brew", Typed(figures, "weighed", **more))  # type: ignore[arg-type]


def drink(*parts: tuple[Ingredient, float]) -> Version:
    lines = tuple(
        Part(ingredient=item, amount=Amount(quantity=ml, unit="mL")) for item, ml in parts
    )
    return Version(id="x", label="x", parts=lines, created_at=NOW)


def test_each_figure_says_where_it_comes_from() -> None:
    assert set(own(SYRUP).sources.values()) == {"weighed"}


def test_what_is_left_empty_is_unknown() -> None:
    brew = own({**SYRUP, "energy_kcal_per_100g": None})

    assert (brew.alcohol_percent_vol, brew.co2_g_per_l, brew.citric_g_per_100g) == (None,) * 3
    assert (brew.benzoate_g_per_100g, brew.energy_kcal_per_100g) == (None, None)


def test_what_there_is_certainly_none_of_is_zero() -> None:
    made = compose(drink((own(SYRUP, none_of=("acid", "alcohol", "CO₂")), 100.0)))

    assert made.unknown == {}
    levels = (made.ta_g_per_l, made.alcohol_percent_vol, made.co2_g_per_l)
    assert levels == pytest.approx((0, 0, 0), abs=1e-3)


def test_a_solid_holds_no_gas_and_no_alcohol() -> None:
    powder = own(SYRUP, form="solid")

    assert (powder.alcohol_percent_vol, powder.co2_g_per_l) == (0, 0)


def test_kombucha_without_a_meter_may_be_at_its_true_ph() -> None:
    """Kombucha is at pH 2.5 to 3.5, mostly about 3 (common practice, no source)."""
    spread = compose(drink((own(KOMBUCHA, acid="acetic"), 100.0))).intervals["ph"]

    assert spread.low < 3.0 < spread.high


def test_kombucha_with_a_meter_is_at_its_ph() -> None:
    made = compose(drink((own({**KOMBUCHA, "ph": 3.0}, acid="acetic", basis="measured"), 100.0)))

    assert made.ph == pytest.approx(3.0, abs=0.01)
    assert made.ta_g_per_l == pytest.approx(4.04, rel=1e-3)


def test_a_sealed_brew_of_unknown_gas_warns_of_pressure() -> None:
    kinds = {caution.kind for caution in cautions(drink((own(KOMBUCHA), 100.0)), sealed=True)}

    assert {"pressure", "fermentation"} <= kinds


def test_figures_per_100_ml_become_per_100_g() -> None:
    """12 g in 100 mL of 1.2 g/mL are 10 g in 100 g (arithmetic); strength and pH stay."""
    figures: dict[str, float | None] = {"sucrose_g_per_100g": 12.0, "alcohol_percent_vol": 5.0}
    brew = own({"density_kg_per_l": 1.2, **figures}, per="100 mL")

    assert brew.sucrose_g_per_100g == pytest.approx(10.0)
    assert brew.alcohol_percent_vol == 5.0


@pytest.mark.parametrize(
    ("basis", "half"), [("measured", 0.2), ("label", 1.0), ("typical", 1.0), ("guess", 2.0)]
)
def test_how_it_is_known_says_how_sure_it_is(basis: str, half: float) -> None:
    """4 g of sugar: 5 %, the 2 g of the EU's guidance on tolerances, a quarter, a half."""
    low, high = own(KOMBUCHA, basis=basis).ranges["sucrose_g_per_100g"]

    assert high - 4.0 == pytest.approx(2.0 if basis == "label" else half)
    assert 4.0 - low == pytest.approx(2.0 if basis == "label" else half)


def test_one_figure_may_be_surer_than_the_rest() -> None:
    brew = own(KOMBUCHA, basis="guess", bases={"ta_citric_g_per_100g": "measured"})

    assert brew.bases["sucrose_g_per_100g"] == "guess"
    assert brew.ranges["ta_citric_g_per_100g"] == pytest.approx((0.392, 0.408))


def test_a_spread_can_be_set() -> None:
    brew = own(KOMBUCHA, halves={"sucrose_g_per_100g": 0.5, "ph": 0.1})

    assert brew.ranges["sucrose_g_per_100g"] == (3.5, 4.5)
    assert "ph" not in brew.ranges


def test_sugar_is_never_to_be_titrated() -> None:
    """Only what has acid can be titrated."""
    guessed = own(
        {"density_kg_per_l": 0.85, "sucrose_g_per_100g": 99.0}, form="solid", basis="guess"
    )
    made = compose(drink((guessed, 50.0), (ingredient("water"), 100.0)))

    for spread in made.intervals.values():
        assert not advice(spread).startswith("Titrate")


@pytest.mark.parametrize(
    ("name", "figures", "source", "match"),
    [
        ("", SYRUP, "weighed", "no name"),
        ("Lemon Juice", SYRUP, "weighed", "There is a 'Lemon Juice' already; choose it"),
        ("Our syrup", {"sucrose_g_per_100g": 50.0}, "weighed", "density is missing"),
        (" ", {"sucrose_g_per_100g": 50.0}, "weighed", "no name.*The density is missing"),
        (
            "Our syrup",
            {"sucrose_g_per_100g": 90.0, "alcohol_percent_vol": 60.0},
            "weighed",
            "do not fit into 100 mL",
        ),
        ("Our syrup", {**SYRUP, "sucrose_g_per_100g": -1.0}, "weighed", "sucrose_g_per_100g"),
        ("Our syrup", {**SYRUP, "alcohol_percent_vol": 90.0}, "weighed", "more than 100 g"),
    ],
)
def test_a_bad_one_is_refused_in_one_sentence(
    name: str, figures: dict[str, float | None], source: str, match: str
) -> None:
    with pytest.raises(InputError, match=match):
        own_ingredient(name, Typed(figures, source), drafting.known_ingredients(()))


def test_none_of_what_there_is_some_of_is_refused() -> None:
    with pytest.raises(InputError, match="contains sugar by its figures"):
        own(SYRUP, none_of=("sugar",))


def test_a_density_that_nobody_measured_is_computed() -> None:
    """A syrup of 50 % is 1.2296 kg/L at 20 °C (ICUMSA SPS-4), a spirit of 40 % vol 0.9481 (OIML
    R 22); a label lets 8 g of sugar in 100 g pass either way."""
    syrup = own({"sucrose_g_per_100g": 50.0}, none_of=("alcohol", "acid"), basis="label")
    spirit = own({"sucrose_g_per_100g": 0.0, "alcohol_percent_vol": 40.0}, none_of=("acid",))

    assert syrup.density_kg_per_l == pytest.approx(1.2296, abs=1e-4)
    assert spirit.density_kg_per_l == pytest.approx(0.9481, abs=1e-4)
    assert "computed" in syrup.sources["density_kg_per_l"]
    low, high = syrup.ranges["density_kg_per_l"]
    assert (low, high) == pytest.approx((1.19, 1.27), abs=0.01)


def test_of_unknown_acid_it_is_likely_denser() -> None:
    sure = own({"sucrose_g_per_100g": 50.0}, none_of=("alcohol", "acid"), basis="measured")
    unsure = own({"sucrose_g_per_100g": 50.0}, none_of=("alcohol",), basis="measured")

    assert unsure.ranges["density_kg_per_l"][1] > sure.ranges["density_kg_per_l"][1]


def test_a_powder_needs_no_density_to_be_weighed() -> None:
    powder = own({"sucrose_g_per_100g": 99.0}, form="solid")
    spooned = Part(ingredient=powder, amount=Amount(quantity=1, unit="tsp"))

    assert "bulk density is not known" in missing_bulk_density(spooned)


def test_how_the_figures_are_known_says_where_they_come_from() -> None:
    brew = own_ingredient("Our brew", Typed(SYRUP, basis="label"))

    assert set(brew.sources.values()) == {"from a label"}


def test_without_alcohol_there_is_nothing_to_be_careful_of() -> None:
    made = compose(drink((own(SYRUP, none_of=("alcohol",)), 100.0)))
    careful = compose(drink((own(SYRUP), 100.0)))

    assert made.at_most("alcohol_percent_vol") == 0
    assert careful.at_most("alcohol_percent_vol") > 50


@pytest.mark.parametrize(
    "brew",
    [
        own({"sucrose_g_per_100g": 35.0}, none_of=("alcohol",), basis="label"),
        own({**KOMBUCHA, "ph": 3.0}, acid="acetic", basis="measured", allergens=("milk",)),
        own(KOMBUCHA, basis="guess", bases={"ta_citric_g_per_100g": "measured"}),
        own(KOMBUCHA, halves={"sucrose_g_per_100g": 0.5}, none_of=("CO₂",)),
        own({"sucrose_g_per_100g": 12.0, "density_kg_per_l": 1.1}, per="100 mL", form="solid"),
    ],
)
def test_what_was_typed_can_be_changed(brew: Ingredient) -> None:
    typed = typed_of(brew)
    assert typed
    again = changed(brew, typed)
    assert again.model_copy(update={"ranges": {}}) == brew.model_copy(update={"ranges": {}})
    for figure, span in brew.ranges.items():
        assert again.ranges[figure] == pytest.approx(span)


def test_what_becomes_known_keeps_name_and_key() -> None:
    brew = own({"sucrose_g_per_100g": 35.0}, none_of=("alcohol",))
    typed = typed_of(brew)
    assert typed
    better = changed(brew, replace(typed, figures={**typed.figures, "ta_citric_g_per_100g": 1.2}))

    assert (better.key, better.name) == (brew.key, brew.name)
    assert better.ta_citric_g_per_100g == 1.2


def test_a_lot_is_not_typed_again_in_this_form() -> None:
    lemon = ingredient("lemon-juice").model_copy(update={"key": "own-lemon-1"})

    assert typed_of(lemon) is None
