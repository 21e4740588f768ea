"""The form of a reference keeps a draft: leaving, reloading and another device find it."""

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.store import formulas
from tasting.store.drafts import Draft, drafts, keep_draft
from tests.ui.conftest import APP, visit
from tests.ui.drinks.opening import drink
from tests.ui.reading import linked, read
from tests.ui.workshop import MEASURED

PLACE = "reference-one"


def form(app: AppTest) -> AppTest:
    return drink(app, new="reference", draft=PLACE)


def typed(page: AppTest) -> tuple[str, str, str, list[str], str]:
    return (
        page.text_input(key="name-0").value,
        page.text_input(key="ph-0").value,
        page.radio(key="rules-0").value,
        page.multiselect(key="allergens-0").value,
        page.text_area(key="source-0").value,
    )


@pytest.fixture
def page(host: AppTest) -> AppTest:
    """Half a reference."""
    page = form(host)
    page.text_input(key="name-0").input("Bottle R, lot 12").run()
    page.text_input(key="ph-0").input("3,1").run()
    page.radio(key="rules-0").set_value("US").run()
    page.multiselect(key="allergens-0").set_value(["bay", "sulphites"]).run()
    page.text_area(key="source-0").input("back label").run()
    return page


WRITTEN = ("Bottle R, lot 12", "3,1", "US", ["bay", "sulphites"], "back label")


def another(host: AppTest) -> AppTest:
    """Another browser of the host."""
    return form(AppTest.from_file(str(APP), default_timeout=20))


def test_another_device_goes_on_where_this_one_was_left(page: AppTest, host: AppTest) -> None:
    there = another(host)
    assert typed(there) == WRITTEN
    assert "Draft saved" in read(there)
    there.text_input(key="ph-0").input("3,2").run()
    assert typed(page.run())[1] == "3,2", "where nothing was typed, what the other one saved"


def test_what_was_typed_here_last_wins(page: AppTest, host: AppTest) -> None:
    there = another(host)
    there.text_input(key="name-0").input("Bottle Q").run()
    page.text_input(key="name-0").input("Bottle P").run()
    assert (typed(page)[0], typed(there.run())[0]) == ("Bottle P", "Bottle P")


def test_coming_back_finds_it_in_the_list(page: AppTest) -> None:
    there = visit(page, "drinks")
    label = next(one for one in linked(there) if one.startswith("Draft of Bottle R, lot 12"))
    assert linked(there)[label] == f"drink?new=reference&draft={PLACE}"
    assert typed(form(there)) == WRITTEN


def test_an_untouched_form_leaves_no_draft(engine: Engine, host: AppTest) -> None:
    page = form(host)
    assert drafts(engine) == {}
    page.text_input(key="name-0").input("Bottle").run()
    page.text_input(key="name-0").input("").run()
    assert drafts(engine) == {}


def test_it_ends_when_the_reference_is_saved(engine: Engine, page: AppTest) -> None:
    page.text_input(key="serving_ml-0").input("330")
    page.button(key="save-0").click().run()
    (kept,) = formulas.references(engine)
    assert (kept.name, kept.ph, kept.allergens) == ("Bottle R, lot 12", 3.1, ("bay", "sulphites"))
    assert drafts(engine) == {}


def test_it_can_be_thrown_away(engine: Engine, page: AppTest) -> None:
    page.button(key=f"discard-{PLACE}").click().run()
    assert typed(page) == ("", "", "EU", [], "")
    assert drafts(engine) == {}


def test_a_refused_reference_stays_a_draft(engine: Engine, page: AppTest) -> None:
    page.button(key="save-0").click().run()
    assert "serving is missing" in page.error[0].value
    assert [one.draft.name for one in drafts(engine).values()] == ["Bottle R, lot 12"]


def test_a_correction_is_kept_too(engine: Engine, host: AppTest) -> None:
    formulas.keep_reference(engine, MEASURED)
    page = drink(host, id="R")
    page.toggle(key="correct-R-0").set_value(True).run()
    assert drafts(engine) == {}
    page.text_input(key="ph-R-0").input("3.05").run()
    page.text_input(key="reason-R-0").input("metered").run()
    there = visit(page, "drinks")
    label = next(one for one in linked(there) if one.startswith("Draft of a correction of"))
    assert linked(there)[label] == "drink?id=R"
    page = drink(there, id="R")
    assert page.toggle(key="correct-R-0").value, "it is open where it was left"
    page.button(key="save-R-0").click().run()
    (kept,) = formulas.references(engine)
    assert (kept.ph, kept.earlier[0].reason) == (3.05, "metered")
    assert drafts(engine) == {}


def test_a_draft_of_a_recipe_is_no_draft_of_a_reference(engine: Engine, host: AppTest) -> None:
    keep_draft(engine, "new-1", Draft(name="Spritz", text="60 ml rhubarb juice"))
    links = linked(visit(host, "drinks"))
    assert (
        links[next(one for one in links if one.startswith("Draft of Spritz"))]
        == "drink?draft=new-1"
    )
