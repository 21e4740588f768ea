"""From a draft to a version: pure functions, no page."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tasting.drink.formula import Amount, Formula, Part, Version
from tasting.drink.pantry import Ingredient, ingredient, pantry
from tasting.errors import InputError
from tasting.store.drafts import Draft
from tasting.ui.drinks import draft as drafting
from tasting.ui.drinks.own_ingredient import Typed, own_ingredient
from tasting.units import UNITS
from tests.conftest import NOW
from tests.ui.workshop import SPRITZ

PARENT = SPRITZ.versions[0]
SYRUP = {"density_kg_per_l": 1.2, "sucrose_g_per_100g": 50.0}


def own(name: str = "Our syrup", **more: object) -> Ingredient:
    return own_ingredient(name, Typed(SYRUP, "weighed", **more))  # type: ignore[arg-type]


def version(parts: tuple[Part, ...], servings: float = 1.0) -> Version:
    return Version(id="x", label="x", parts=parts, servings=servings, created_at=NOW)


def with_ingredients(*ingredients: Ingredient) -> Version:
    amount = Amount(quantity=10, unit="mL")
    return version(tuple(Part(ingredient=item, amount=amount) for item in ingredients))


def again(kept: Version) -> Version:
    """The version that its own text makes."""
    known = drafting.known_ingredients((), parts=kept.parts)
    recipe = drafting.recipe_of(Draft(text=drafting.text_of(kept)), known)
    return version(recipe.parts, recipe.servings)


names = st.text("abc XYZ,12%(). äß", min_size=1, max_size=20).filter(lambda name: name.strip())
items = st.sampled_from(list(pantry().values())) | names.map(
    lambda name: own().model_copy(update={"name": f"our {name.strip()}"})
)


@given(
    st.lists(
        st.tuples(items, st.floats(1e-3, 1e5), st.sampled_from(UNITS)), min_size=1, max_size=6
    ),
    st.floats(0.1, 1e3),
)
def test_a_version_written_and_read_again_is_the_version(
    chosen: list[tuple[Ingredient, float, str]], servings: float
) -> None:
    """With ingredients of the house, whatever they are called, even by one name."""
    kept = version(
        tuple(
            Part(ingredient=item, amount=Amount(quantity=quantity, unit=unit))
            for item, quantity, unit in chosen
        ),
        servings,
    )
    assert again(kept) == kept


def test_an_unchanged_line_keeps_the_figures_of_the_parent() -> None:
    sour = ingredient("lemon-juice").model_copy(update={"citric_g_per_100g": 5.5})
    assert again(with_ingredients(sour)).parts[0].ingredient.citric_g_per_100g == 5.5


def test_a_new_line_takes_the_figures_of_the_pantry() -> None:
    sour = ingredient("lemon-juice").model_copy(update={"citric_g_per_100g": 5.5})
    formula = Formula(id="f", name="f", versions=(with_ingredients(sour),))
    known = drafting.known_ingredients([formula])
    assert known["lemon juice"] == ingredient("lemon-juice")


def test_two_ingredients_of_one_name_stay_two() -> None:
    first, second = own(), own()
    parent = with_ingredients(first, second, first)
    assert drafting.text_of(parent).splitlines()[1] == "10 mL Our syrup (2)"
    assert again(parent) == parent


def test_an_own_ingredient_is_offered_again_once_a_version_uses_it() -> None:
    syrup = own()
    formula = Formula(id="f", name="f", versions=(with_ingredients(syrup),))
    assert drafting.known_ingredients([formula])["Our syrup"] == syrup
    assert "Our syrup" not in drafting.known_ingredients(())


def test_an_own_ingredient_is_a_line_unless_one_names_it() -> None:
    assert drafting.with_own(Draft(text="1 oz gin"), own()).text == "1 oz gin\nOur syrup"
    assert drafting.with_own(Draft(text="3 ml our syrup"), own()).text == "3 ml our syrup"


def test_a_line_is_replaced() -> None:
    assert drafting.with_line_instead("a\nb\nc", 2, "x") == "a\nx\nc"


@pytest.mark.parametrize(
    ("labels", "following"),
    [
        ([], "v1"),
        (["v1", "v3"], "v4"),
        (["v9", "v10"], "v11"),
        (["summer", "v2b"], "v1"),
        (["v11", "v12 tartaric acid"], "v13"),
    ],
)
def test_the_next_label_follows_the_highest(labels: list[str], following: str) -> None:
    assert drafting.next_label(labels) == following


def made(draft: Draft, parent: Version | None = PARENT) -> Version:
    known = drafting.known_ingredients((), parts=PARENT.parts)
    return drafting.version_of(draft, drafting.recipe_of(draft, known), parent, NOW)


def draft(**changed: object) -> Draft:
    start = {"text": drafting.text_of(PARENT), "label": "v4", "reason": "flat beside R"}
    return Draft(**{**start, **changed})  # type: ignore[arg-type]


def test_a_child_names_its_parent_and_its_reason() -> None:
    child = made(draft(text=f"{drafting.text_of(PARENT)}\nmakes 2 servings"))
    assert (child.parent, child.reason, child.label) == (PARENT.id, "flat beside R", "v4")
    assert (child.parts, child.servings) == (PARENT.parts, 2.0)
    assert child.id != PARENT.id


def test_a_first_version_needs_no_reason() -> None:
    assert made(draft(reason=""), parent=None).parent is None


@pytest.mark.parametrize(
    ("changed", "match"),
    [
        ({"reason": "  "}, "reason is missing"),
        ({"label": " "}, "no name"),
        ({"text": " "}, "no ingredient yet"),
    ],
)
def test_a_child_without_reason_name_or_recipe_is_refused(
    changed: dict[str, object], match: str
) -> None:
    with pytest.raises(InputError, match=match):
        made(draft(**changed))


@pytest.mark.parametrize("name", ["Our syrup", "É", "Ω 12 %", "x" * 120])
def test_each_own_ingredient_gets_a_key_of_its_own(name: str) -> None:
    assert own(name).key != own(name).key
