"""A new formula: a name and a recipe are enough."""

from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.store import drafts, formulas
from tests.ui.drinks.opening import drink, field, html, save, write
from tests.ui.reading import read as words
from tests.ui.workshop import SPRITZ, keep

RECIPE = "45 ml gin\n1/2 oz lemon\ntop with soda to 225 ml"


def draft(engine: Engine, host: AppTest, name: str, text: str = RECIPE) -> AppTest:
    write(engine, text, place="new-1", name=name)
    return drink(host, draft="new-1")


def test_the_page_asks_for_two_things(host: AppTest) -> None:
    page = drink(host, new="formula")
    assert not page.exception
    assert page.title[0].value == "New formula"
    assert field(page.text_input, "Name of the formula").value == ""
    assert "the recipe has no ingredient yet" in words(page)


def test_a_name_and_a_recipe_make_a_formula(engine: Engine, host: AppTest) -> None:
    page = save(draft(engine, host, " Gin and soda "), "save-formula")
    assert not page.exception
    (made,) = formulas.formulas(engine)
    assert (made.name, made.versions[0].label) == ("Gin and soda", "v1")
    assert [str(part.amount) for part in made.versions[0].parts[:2]] == ["45 mL", "0.5 US fl oz"]
    assert drafts.drafts(engine) == {}
    assert page.title[0].value == "Gin and soda"


def test_a_name_that_is_typed_is_saved_with_the_draft(engine: Engine, host: AppTest) -> None:
    page = draft(engine, host, "")
    field(page.text_input, "Name of the formula").input("Bay soda").run()
    kept = drafts.draft(engine, "new-1")
    assert kept
    assert kept.draft.name == "Bay soda"
    assert page.title[0].value == "Bay soda"


def test_all_that_is_missing_is_said_at_once(engine: Engine, host: AppTest) -> None:
    page = save(draft(engine, host, " ", "2 lemons"), "save-formula")
    assert "the formula has no name" in page.error[0].value.lower()
    assert (
        page.error[0]
        .value.replace("\\", "")
        .startswith("The formula has no name; give it one. Line 1: ")
    )
    assert formulas.formulas(engine) == ()
    assert list(drafts.drafts(engine)) == ["new-1"]


def test_a_name_that_is_taken_is_refused(engine: Engine, host: AppTest) -> None:
    keep(engine)
    page = save(draft(engine, host, SPRITZ.name.upper()), "save-formula")
    assert "already" in page.error[0].value
    assert formulas.formulas(engine) == (SPRITZ,)


def test_what_is_in_it_stands_beside_the_draft(engine: Engine, host: AppTest) -> None:
    page = draft(engine, host, "Gin and soda")
    assert "Alcohol, % vol" in html(page)
    assert "One serving is 225 mL" in words(page)
