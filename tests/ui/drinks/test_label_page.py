"""From the label to a draft, on the page."""

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.drink.composition import compose
from tasting.drink.label import Reference, bands
from tasting.drink.recipe_text import read
from tasting.drink.shelf import shelf
from tasting.store import drafts, formulas, notes
from tasting.ui.drinks import draft as drafting
from tests.ui.conftest import visit
from tests.ui.drinks.opening import drink, html, spritz, write
from tests.ui.reading import linked, tabled, tables
from tests.ui.reading import read as words
from tests.ui.workshop import SPRITZ

MADE = compose(SPRITZ.version("spritz-1"))
BOTTLE = Reference(
    id="L",
    name="Reference bottle L",
    serving_ml=round(MADE.volume_ml, 1),
    sugar_g_per_100ml=round(MADE.known("sugar_g_per_l") / 10, 1),
    ta_g_per_l=round(MADE.known("ta_g_per_l"), 2),
)
LINES = "rhubarb juice 40–80 mL\nlemon juice\nbay syrup\ncarbonated water"


@pytest.fixture
def kept(engine: Engine) -> Engine:
    """The spritz, and a bottle with the figures of its first version."""
    formulas.keep_reference(engine, BOTTLE)
    formulas.keep_formula(engine, SPRITZ)
    return engine


def ask(page: AppTest, lines: str, also: str = "") -> AppTest:
    page.text_area(key="label-with").input(lines)
    page.text_area(key="label-also").input(also)
    return page.button(key="label-find").click().run()


def label(host: AppTest, **query: str) -> AppTest:
    return visit(host, "label", id="L", **query)


def test_the_recipe_behind_the_label_becomes_a_new_formula(kept: Engine, host: AppTest) -> None:
    page = ask(label(host), LINES)
    assert not page.exception
    assert page.title[0].value == r"From the label of Reference bottle L"
    assert "This recipe has every figure of Reference bottle L" in html(page)
    ranges = tables(page)[0].set_index("Ingredient")
    assert list(ranges.columns) == ["Recommended", "Least–greatest"]
    assert "Measure on the bottle" in words(page)
    page.button(key="label-draft").click().run()
    ((place, held),) = drafts.drafts(kept).items()
    assert place.startswith("new-")
    made = drafting.recipe_of(held.draft, {item.name: item for item in held.draft.own})
    drunk = compose(drafting.preview(made, SPRITZ.versions[0].created_at))
    for figure, (meant, _) in bands(BOTTLE).items():
        assert meant.low - 1e-6 <= drunk.known(figure) <= meant.high + 1e-6


def test_the_next_version_of_a_formula_begins_with_its_ingredients(
    kept: Engine, host: AppTest
) -> None:
    page = label(host, version="spritz-3")
    typed = page.text_area(key="label-with").value.splitlines()
    assert typed == [part.ingredient.name for part in SPRITZ.versions[2].parts]
    page = ask(page, LINES)
    page.button(key="label-draft").click().run()
    held = drafts.draft(kept, "spritz-3")
    assert held is not None
    assert (held.draft.formula, held.draft.reason) == (
        "spritz",
        "From the label of Reference bottle L",
    )
    assert len(read(held.draft.text, shelf(drafting.known_ingredients((SPRITZ,)))).parts) == 4


def test_a_draft_that_is_there_is_asked_about(kept: Engine, host: AppTest) -> None:
    before = write(kept, "60 ml gin")
    page = ask(label(host, version="spritz-3"), LINES)
    page.button(key="label-draft").click().run()
    assert "There is a draft already" in page.error[0].value
    assert drafts.drafts(kept)["spritz-3"].draft == before
    page.checkbox(key="replace").check()
    page.button(key="label-draft").click().run()
    assert drafts.drafts(kept)["spritz-3"].draft != before


def test_what_excludes_what_is_said_with_by_how_much(kept: Engine, host: AppTest) -> None:
    """None of the four holds alcohol."""
    page = ask(label(host), LINES, "alcohol 4-5")
    assert not page.exception
    said = words(page).replace("\\", "")
    assert "These ingredients do not give alcohol 4.00–5.00 % vol" in said
    assert "alcohol 0.00 % vol at best, 4.00 too low" in said
    assert "Proven for the usual figures" in said
    assert "Per serving" in tabled(page)


def test_all_that_cannot_be_read_is_said_at_once(kept: Engine, host: AppTest) -> None:
    lines = "rhubarb jiuce 40-80 mL\nlemon juice 80-40 mL\nwater\nwater <= 5 mL"
    page = ask(label(host), lines, "colour 3-4")
    said = page.error[0].value.replace("\\", "")
    for fault in (
        "ine 1: no ingredient is called 'rhubarb jiuce'; did you mean rhubarb juice",
        "line 2: lemon juice 80–40 mL",
        "demand 1: the demand 'colour 3-4' is not understood",
        "water is named twice",
    ):
        assert fault in said
    assert page.text_area(key="label-with").value == lines


def test_the_address_asks_the_same_again(kept: Engine, host: AppTest) -> None:
    page = label(host, **{"with": LINES, "also": "co2 <= 20", "served": "frozen"})
    assert not page.exception
    assert page.text_area(key="label-with").value == LINES
    assert "This recipe has every figure" in html(page)
    assert "carbon dioxide at most 20" in words(page).replace("\\", "")


def test_without_the_ice_that_melts(kept: Engine, host: AppTest) -> None:
    """The ice stands in no recipe: it is not put in."""
    lines = "rhubarb juice\nlemon juice\nbay syrup\nwater"
    page = label(host, **{"with": lines, "served": "stirred"})
    assert not page.exception
    assert "ice" not in list(tables(page)[0]["Ingredient"])
    page.button(key="label-draft").click().run()
    ((_, held),) = drafts.drafts(kept).items()
    assert " ice" not in held.draft.text


def test_the_way_it_is_served_is_proposed(kept: Engine, host: AppTest) -> None:
    notes.add_note(kept, "spritz", "melts", "shaken")
    page = label(host, version="spritz-3")
    assert page.selectbox(key="label-served").value == "shaken"


def test_it_is_reached_by_one_button(kept: Engine, host: AppTest) -> None:
    page = spritz(host)
    page.button(key="from-label").click().run()
    assert page.title[0].value.startswith("From the label of")
    assert page.query_params["version"] in ("spritz-3", ["spritz-3"])


def test_it_is_reached_from_the_reference(kept: Engine, host: AppTest) -> None:
    page = drink(host, id="L")
    page.button(key="from-label").click().run()
    assert page.title[0].value.startswith("From the label of")


def test_without_a_reference_it_says_where_to_add_one(engine: Engine, host: AppTest) -> None:
    page = visit(host, "label", id="none")
    assert not page.exception
    assert linked(page)["Add a reference"] == "drink?new=reference"
