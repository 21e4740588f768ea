"""What differs between two recipes, where not all of what they share is known."""

import pytest

from tasting.drink.change import ADDING_UP, changes
from tasting.drink.composition import compose
from tasting.drink.pantry import Ingredient, ingredient
from tests.drink.glass import SPRITZ, version

TA, SUGAR, ALCOHOL = ADDING_UP
# g/mol of anhydrous citric acid and of its monohydrate (IUPAC's standard atomic weights).
ANHYDROUS, MONOHYDRATE = 192.124, 210.14

CORDIAL = Ingredient(
    key="own-cordial",
    name="rhubarb cordial",
    density_kg_per_l=1.15,
    sucrose_g_per_100g=35.0,
    citric_g_per_100g=None,
    alcohol_percent_vol=None,
    bases={"sucrose_g_per_100g": "label"},
)
BASE = (
    (CORDIAL, "30 mL"),
    ("juniper-spirit", "22.5 mL"),
    ("lemon-juice", "10 mL"),
    ("sparkling-water", "150 mL"),
)
V1 = version(*BASE)


@pytest.mark.parametrize(
    ("key", "acid_g"),
    [("citric-acid", 0.25), ("citric-acid-monohydrate", 0.25 * ANHYDROUS / MONOHYDRATE)],
)
def test_what_is_added_is_known_though_the_cordial_is_not(key: str, acid_g: float) -> None:
    """0.25 g in as many mL, as anhydrous citric acid: arithmetic with the molar masses. At pH 8.1
    a little of its third step is not titrated (pKa 6.40, CRC Handbook, from memory)."""
    v2 = version(*BASE, (key, "0.25 g"))
    found = changes(v2, V1)[TA]

    assert compose(V1).ta_g_per_l is None
    assert found.value == pytest.approx(acid_g / compose(v2).volume_ml * 1000, rel=5e-3)
    assert found.low < found.value < found.high
    assert found.high - found.low < 0.05


def test_nothing_differs_from_itself() -> None:
    for change in changes(V1, V1).values():
        assert (change.value, change.low, change.high) == (0, 0, 0)


def test_more_of_what_is_not_known_is_not_known() -> None:
    """10 mL more of at most 8 g of acid in 100 g: up to 4.3 g/L (arithmetic), and
    hardly less: it thins the lemon."""
    found = changes(version((CORDIAL, "40 mL"), *BASE[1:]), V1)

    assert found[TA].value is None
    assert found[TA].low == pytest.approx(0, abs=0.2)
    assert 3 < found[TA].high < 4.4
    assert found[ALCOHOL].value is None
    assert found[SUGAR].value is not None
    assert found[SUGAR].value > 0


def test_without_the_ingredient_all_of_it_is_open() -> None:
    found = changes(version(("water", "200 mL")), V1)[TA]

    assert found.value is None
    assert found.low < -10
    assert found.high < 0.01


def test_known_recipes_differ_by_their_levels() -> None:
    sour = version(
        *((part.ingredient, str(part.amount)) for part in SPRITZ.parts), ("lemon-juice", "4 mL")
    )
    one, other = compose(sour), compose(SPRITZ)

    for figure, change in changes(sour, SPRITZ).items():
        assert change.value == pytest.approx(one.known(figure) - other.known(figure))


def test_the_error_of_an_ingredient_counts_once() -> None:
    """10 and 14 mL of the same lemon juice: its acid is unsure by as large a share of the 4 mL."""
    acid = ingredient("lemon-juice").ranges["citric_g_per_100g"]
    both = [version(("lemon-juice", f"{ml} mL"), ("water", f"{100 - ml} mL")) for ml in (10, 14)]
    found = changes(both[1], both[0])[TA]

    assert found.value is not None
    widest = max(compose(one).intervals[TA].high - compose(one).intervals[TA].low for one in both)
    assert found.high - found.low == pytest.approx(widest * 4 / 14, rel=0.05)
    assert acid[0] < acid[1]


def test_what_was_measured_since_is_no_change() -> None:
    """The cordial was titrated between v1 and v2; the recipe has only the pinch more."""
    titrated = CORDIAL.model_copy(update={"citric_g_per_100g": 1.2, "ta_citric_g_per_100g": 1.2})
    v2 = version((titrated, "30 mL"), *BASE[1:], ("citric-acid", "0.25 g"))
    sure, unsure = changes(v2, V1)[TA], changes(version(*BASE, ("citric-acid", "0.25 g")), V1)[TA]

    assert sure.value == pytest.approx(unsure.value, rel=0.01)


def test_poured_or_weighed_it_is_the_same_ingredient() -> None:
    weighed = version((CORDIAL, f"{30 * 1.15} g"), *BASE[1:])

    assert changes(weighed, V1)[TA].value == pytest.approx(0)
