"""An ingredient of one's own: as sure as it is known, and unknown where it is not."""

import pytest

from tasting.drink.cautions import cautions
from tasting.drink.composition import compose
from tasting.drink.formula import Amount, Part, Version
from tasting.drink.pantry import Ingredient, ingredient
from tasting.drink.uncertainty import advice
from tasting.errors import InputError
from tasting.ui.drinks import draft as drafting
from tasting.ui.drinks.own_ingredient import Typed, own_ingredient
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
        ("Lemon Juice", SYRUP, "weighed", "there is a 'Lemon Juice' already"),
        ("Our syrup", {"sucrose_g_per_100g": 50.0}, "weighed", "density is missing"),
        ("Our syrup", SYRUP, " ", "where the figures come from"),
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
    with pytest.raises(InputError, match="there is sugar in the figures"):
        own(SYRUP, none_of=("sugar",))
