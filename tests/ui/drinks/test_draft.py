"""From typed rows to parts and versions: pure functions, no page."""

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tasting.drink.composition import compose
from tasting.drink.formula import Amount, Formula, Part, Version
from tasting.drink.pantry import Ingredient, ingredient, pantry
from tasting.errors import InputError
from tasting.ui.drinks import draft as drafting
from tasting.ui.drinks.draft import Draft
from tasting.ui.drinks.own_ingredient import Typed, own_ingredient
from tasting.units import UNITS
from tests.conftest import NOW
from tests.ui.workshop import SPRITZ

PARENT = SPRITZ.versions[0]
SYRUP = {"density_kg_per_l": 1.2, "sucrose_g_per_100g": 50.0}


def rows(*lines: tuple[object, object, object]) -> pd.DataFrame:
    return pd.DataFrame(lines, columns=["Ingredient", "Amount", "Unit"])


def parts(*lines: tuple[object, object, object]) -> tuple[Part, ...]:
    return drafting.parts_of(rows(*lines), drafting.known_ingredients(()))


def own(name: str = "Our syrup", **more: object) -> Ingredient:
    return own_ingredient(name, Typed(SYRUP, "weighed", **more))  # type: ignore[arg-type]


def with_ingredients(*ingredients: Ingredient) -> Version:
    amount = Amount(quantity=10, unit="mL")
    lines = tuple(Part(ingredient=item, amount=amount) for item in ingredients)
    return Version(id="x", label="x", parts=lines, created_at=NOW)


typed_lines = st.tuples(
    st.sampled_from(list(pantry().values())), st.floats(1e-3, 1e5), st.sampled_from(UNITS)
)


@given(st.lists(typed_lines, min_size=1, max_size=6))
def test_rows_of_parts_give_the_parts_back(chosen: list[tuple[Ingredient, float, str]]) -> None:
    made = tuple(
        Part(ingredient=item, amount=Amount(quantity=quantity, unit=unit))
        for item, quantity, unit in chosen
    )
    known = drafting.known_ingredients((), parts=made)
    assert drafting.parts_of(drafting.rows_of(made), known) == made


@pytest.mark.parametrize(
    ("line", "match"),
    [
        (("lemon juice", None, "mL"), "line 1, lemon juice: the amount is missing"),
        ((None, 3.0, "mL"), "line 1 has an amount and no ingredient"),
        (("lemon juice", -3.0, "mL"), "line 1, lemon juice: quantity: .* above zero, not −3"),
        (("lemon juice", 0.0, "mL"), "above zero"),
        (("lemon juice", 1e9, "kg"), "beyond any batch"),
        (("lemon juice", 3.0, "cups"), "unknown unit 'cups'"),
        (("lemon jam", 3.0, "mL"), "lemon jam: this ingredient is not known"),
    ],
)
def test_a_bad_row_is_refused_in_one_sentence(line: tuple[object, ...], match: str) -> None:
    with pytest.raises(InputError, match=match):
        parts(line)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("typed", "unit", "read"),
    [
        ("22,5", "mL", "22.5 mL"),
        ("1/2", "cl", "0.5 cl"),
        ("1½", None, "1.5 mL"),
        (22.5, "mL", "22.5 mL"),
        ("0,75 fl oz", "mL", "0.75 US fl oz"),
        ("1 oz", "g", "1 US fl oz"),
        ("2 dashes", None, "2 dashes"),
    ],
)
def test_an_amount_is_read_as_it_is_meant(typed: object, unit: object, read: str) -> None:
    (part,) = parts(("lemon juice", typed, unit))
    assert str(part.amount) == read


def test_a_solid_without_a_unit_is_in_grams() -> None:
    assert [str(part.amount) for part in parts(("white sugar", "5", None))] == ["5 g"]


@pytest.mark.parametrize(
    ("typed", "match"),
    [
        ("abc", "line 1, lemon juice: 'abc' is not a number"),
        ("1,000", "line 1, lemon juice: '1,000' can mean 1 or 1000"),
        ("1.2.3", "is not a number"),
        (" ", "the amount is missing"),
    ],
)
def test_what_is_no_amount_is_refused(typed: str, match: str) -> None:
    with pytest.raises(InputError, match=match):
        parts(("lemon juice", typed, "mL"))


def test_a_solid_by_volume_without_bulk_density_is_refused() -> None:
    dust = ingredient("sugar").model_copy(update={"name": "bay dust", "sources": {}})
    with pytest.raises(InputError, match="line 1: bay dust is a solid in mL, and its bulk density"):
        drafting.parts_of(rows(("bay dust", "3", "mL")), {"bay dust": dust})


@pytest.mark.parametrize(
    ("size", "amounts"),
    [
        ("30 mL", ["60 mL", "30 mL"]),
        ("1 oz", ["2 US fl oz", "1 US fl oz"]),
        ("total 180 ml", ["120 mL", "60 mL"]),
    ],
)
def test_parts_have_a_size_or_a_total(size: str, amounts: list[str]) -> None:
    typed = rows(("lemon juice", "2 parts", None), ("bay syrup, 1:1", "1", "part"))
    assert drafting.counts_in_parts(typed)
    made = drafting.parts_of(typed, drafting.known_ingredients(()), size)
    assert [str(part.amount) for part in made] == amounts


@pytest.mark.parametrize(("size", "match"), [("", "how large one part is"), ("3 g", "a volume")])
def test_parts_without_a_size_are_refused(size: str, match: str) -> None:
    typed = rows(("lemon juice", "2 parts", None))
    with pytest.raises(InputError, match=match):
        drafting.parts_of(typed, drafting.known_ingredients(()), size)


def test_what_was_understood_is_echoed_where_it_is_more_than_what_was_typed() -> None:
    typed = rows(
        ("lemon juice", "22,5", "mL"),
        ("bay syrup, 1:1", "20", "mL"),
        ("white sugar", "5", None),
        ("juniper spirit", "abc", "mL"),
        ("aromatic bitters, 45 % vol", "1", "dash"),
    )
    assert drafting.echoes(typed, drafting.known_ingredients(())) == (
        "lemon juice: 22.5 mL",
        "white sugar: 5 g",
        "aromatic bitters, 45 % vol: 1 dash, about 0.92 mL "
        "(0.4–1.3 mL; common practice, no source)",
    )


def test_the_sentence_counts_lines_as_they_are_shown() -> None:
    with pytest.raises(InputError, match="line 3, honey"):
        parts(("lemon juice", 3.0, "mL"), (None, None, "mL"), ("honey", None, "g"))


def test_rows_that_are_still_empty_are_passed_over() -> None:
    assert [str(part.amount) for part in parts((None, None, "mL"), ("honey", 5.0, "g"))] == ["5 g"]


def test_a_version_without_any_row_is_refused() -> None:
    with pytest.raises(InputError, match="no ingredient; its last row"):
        drafting.preview(Draft(rows()), {}, NOW)


def test_an_unchanged_row_keeps_the_figures_of_the_parent() -> None:
    sour = ingredient("lemon-juice").model_copy(update={"citric_g_per_100g": 5.5})
    parent = with_ingredients(sour)
    known = drafting.known_ingredients([SPRITZ], parts=parent.parts)
    kept = drafting.parts_of(drafting.rows_of(parent.parts), known)
    assert kept[0].ingredient.citric_g_per_100g == 5.5


def test_a_new_row_takes_the_figures_of_the_pantry() -> None:
    sour = ingredient("lemon-juice").model_copy(update={"citric_g_per_100g": 5.5})
    formula = Formula(id="f", name="f", versions=(with_ingredients(sour),))
    known = drafting.known_ingredients([formula])
    assert known["lemon juice"] == ingredient("lemon-juice")


def test_two_ingredients_of_one_name_stay_two() -> None:
    first, second = own(), own()
    parent = with_ingredients(first, second, first)
    frame = drafting.rows_of(parent.parts)
    assert frame["Ingredient"].tolist() == ["Our syrup", "Our syrup (2)", "Our syrup"]
    known = drafting.known_ingredients((), parts=parent.parts)
    assert drafting.parts_of(frame, known) == parent.parts


def test_an_own_ingredient_is_offered_again_once_a_version_uses_it() -> None:
    syrup = own()
    formula = Formula(id="f", name="f", versions=(with_ingredients(syrup),))
    assert drafting.known_ingredients([formula])["Our syrup"] == syrup
    assert "Our syrup" not in drafting.known_ingredients(())


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


def draft(**changed: object) -> Draft:
    start = {"rows": drafting.rows_of(PARENT.parts), "label": "v4", "reason": "flat beside R"}
    return Draft(**{**start, **changed})  # type: ignore[arg-type]


def made(draft: Draft, parent: Version | None = PARENT) -> Version:
    return drafting.version_of(
        draft, drafting.known_ingredients((), parts=PARENT.parts), parent, NOW
    )


def test_a_child_names_its_parent_and_its_reason() -> None:
    child = made(draft(servings=2.0))
    assert (child.parent, child.reason, child.label) == (PARENT.id, "flat beside R", "v4")
    assert (child.parts, child.servings) == (PARENT.parts, 2.0)
    assert child.id != PARENT.id


def test_a_first_version_needs_no_reason() -> None:
    assert made(draft(reason=""), parent=None).parent is None


@pytest.mark.parametrize(
    ("changed", "match"),
    [
        ({"reason": "  "}, "reason is missing"),
        ({"label": " "}, "no label"),
        ({"servings": 0.0}, "servings"),
    ],
)
def test_a_child_without_reason_label_or_servings_is_refused(
    changed: dict[str, object], match: str
) -> None:
    with pytest.raises(InputError, match=match):
        made(draft(**changed))


def test_a_preview_needs_neither_label_nor_reason() -> None:
    half_typed = draft(label="", reason="")
    known = drafting.known_ingredients((), parts=PARENT.parts)
    seen = compose(drafting.preview(half_typed, known, NOW))
    assert seen.ta_g_per_l == compose(PARENT).ta_g_per_l


def test_a_row_can_be_added_for_an_own_ingredient() -> None:
    frame = drafting.with_row(drafting.rows_of(PARENT.parts), "Our syrup")
    assert len(frame) == len(PARENT.parts) + 1
    with pytest.raises(InputError, match="Our syrup: the amount is missing"):
        drafting.parts_of(frame, drafting.known_ingredients((), [own()]))


@pytest.mark.parametrize("name", ["Our syrup", "É", "Ω 12 %", "x" * 120])
def test_each_own_ingredient_gets_a_key_of_its_own(name: str) -> None:
    assert own(name).key != own(name).key
