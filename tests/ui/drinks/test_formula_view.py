"""The page of one formula: recipe and composition, its draft, and what stands below."""

import re

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.drink.formula import Amount, Formula, Part
from tasting.store import drafts, formulas, notes
from tasting.ui.drinks.noticed_change import against_parent
from tasting.ui.drinks.own_ingredient import Typed, own_ingredient
from tests.drink.glass import version
from tests.ui.drinks.opening import (
    V3,
    V3_TEXT,
    drink,
    field,
    html,
    lemon,
    save,
    spritz,
    stored,
    write,
)
from tests.ui.reading import linked
from tests.ui.reading import read as words
from tests.ui.workshop import SPRITZ, keep

REASON = "What did you change, and why?"


def test_the_newest_version_is_shown_with_its_recipe_and_composition(
    engine: Engine, host: AppTest
) -> None:
    keep(engine)
    page = spritz(host)
    assert not page.exception
    assert "v3 · from v1 · 13 Jan 2026 · More syrup" in words(page)
    assert "Label of Reference bottle R" in html(page)
    assert V3_TEXT.splitlines()[0] == "60 mL rhubarb juice"


def test_the_address_chooses_the_version(engine: Engine, host: AppTest) -> None:
    keep(engine)
    assert "v2 · from v1" in words(drink(host, id=SPRITZ.id, version="spritz-2"))


def test_a_version_alone_is_enough_of_an_address(engine: Engine, host: AppTest) -> None:
    keep(engine)
    assert "v2 · from v1" in words(drink(host, version="spritz-2"))


def test_an_unknown_version_in_the_address_is_said(engine: Engine, host: AppTest) -> None:
    keep(engine)
    page = drink(host, id=SPRITZ.id, version="<b>nobody</b>")
    assert "no such version" in page.warning[0].value


def test_an_unknown_drink_is_said(engine: Engine, host: AppTest) -> None:
    keep(engine)
    page = drink(host, id="nothing")
    assert not page.exception
    assert page.title[0].value == "No such drink"
    assert linked(page)["All drinks"] == "drinks"


def test_a_changed_line_is_a_draft_of_the_next_version(engine: Engine, host: AppTest) -> None:
    keep(engine)
    write(engine, lemon("20"))
    page = spritz(host)
    assert re.search(r"Draft of v4, from v3 · draft saved \d\d:\d\d", words(page))
    assert page.button(key="save-spritz-3").label == "Save as v4"


def test_the_draft_stands_beside_its_parent(engine: Engine, host: AppTest) -> None:
    """10 mL more of a juice of 48 g/L (Penniston et al. 2008) in 184 mL of 6.6 g/L: 8.7 g/L."""
    keep(engine)
    write(engine, lemon("20"))
    page = spritz(host)
    ta = re.search(r"TA, g</th><td>([\d.]+)<small>.*?</small></td><td>([\d.]+)", html(page))
    assert ta
    assert float(ta[1]) - float(ta[2]) == pytest.approx(8.7 - 6.6, abs=0.1)
    assert "Against v3: +2.1 g/L acid." in words(page).replace("**", "")


def test_what_was_added_is_said_where_the_rest_is_not_known(engine: Engine) -> None:
    """0.5 g of citric acid in 200 mL of milk, whose TA is not computed: 2.5 g/L (arithmetic)."""
    milk = version(("whole-milk", "200 mL"))
    sour = version(("whole-milk", "200 mL"), ("citric-acid", "0.5 g"))
    home = Formula(id="milk", name="Milk", versions=(milk,))
    assert "+2.5 g/L acid." in against_parent(engine, home, None, sour, milk)
    assert against_parent(engine, home, None, milk, milk) == ""


def test_a_saved_draft_is_a_child_and_changes_nothing(engine: Engine, host: AppTest) -> None:
    keep(engine)
    write(engine, lemon("20"), "More lemon")
    page = save(spritz(host))
    assert not page.exception
    *before, child = stored(engine).versions
    assert tuple(before) == SPRITZ.versions
    assert (child.parent, child.reason, child.label) == ("spritz-3", "More lemon", "v4")
    assert [part.amount.quantity for part in child.parts] == [60, 20, 24, 90]
    assert drafts.drafts(engine) == {}
    assert page.toast[0].value == "v4 is saved and shown here\\."
    assert "v4 · from v3" in words(page)


def test_a_reason_that_is_typed_is_saved_at_once(engine: Engine, host: AppTest) -> None:
    keep(engine)
    write(engine, lemon("20"))
    page = spritz(host)
    field(page.text_input, REASON).input("Half a thought").run()
    kept = drafts.draft(engine, V3.id)
    assert kept
    assert kept.draft.reason == "Half a thought"
    visit_elsewhere = drink(host, id="R")
    assert not visit_elsewhere.exception
    assert field(spritz(host).text_input, REASON).value == "Half a thought"


def test_what_another_device_saved_is_shown(engine: Engine, host: AppTest) -> None:
    keep(engine)
    write(engine, lemon("20"), "here")
    page = spritz(host)
    write(engine, lemon("25"), "there")
    page.run()
    assert field(page.text_input, REASON).value == "there"


def test_what_is_typed_here_wins_over_another_device(engine: Engine, host: AppTest) -> None:
    keep(engine)
    write(engine, lemon("20"), "here")
    page = spritz(host)
    write(engine, lemon("25"), "there")
    field(page.text_input, REASON).input("typed last").run()
    kept = drafts.draft(engine, V3.id)
    assert kept
    assert kept.draft.reason == "typed last"


def test_a_discarded_draft_is_gone(engine: Engine, host: AppTest) -> None:
    keep(engine)
    write(engine, lemon("20"))
    page = spritz(host)
    page.button(key="discard-spritz-3").click().run()
    assert drafts.drafts(engine) == {}
    assert "v3 · from v1" in words(page)


@pytest.mark.parametrize(
    ("text", "reason", "said"),
    [
        (lemon("20"), " ", ["reason is missing"]),
        (lemon("-3"), "Less", ["line 2", "above zero"]),
        ("45 ml x\n2 lemons", " ", ["reason is missing", "line 1", "line 2"]),
    ],
)
def test_all_that_is_wrong_is_said_at_once_and_the_draft_stays(
    engine: Engine, host: AppTest, text: str, reason: str, said: list[str]
) -> None:
    keep(engine)
    before = write(engine, text, reason)
    page = save(spritz(host))
    assert all(one in page.error[0].value.lower() for one in said)
    assert stored(engine) == SPRITZ
    kept = drafts.draft(engine, V3.id)
    assert kept
    assert kept.draft == before


def test_a_version_name_that_is_taken_is_refused(engine: Engine, host: AppTest) -> None:
    keep(engine)
    write(engine, lemon("20"), "More lemon", label="v1")
    page = save(spritz(host))
    assert "two versions have the label 'v1'" in page.error[0].value
    assert stored(engine) == SPRITZ


def test_five_times_the_parent_is_asked_about(engine: Engine, host: AppTest) -> None:
    keep(engine)
    write(engine, lemon("225"), "A slipped comma")
    page = spritz(host)
    page.button(key="save-spritz-3").click().run()
    assert "lemon juice: 23 times as much as in v3" in page.warning[0].value.replace("\\", "")
    assert stored(engine) == SPRITZ


def test_a_doubtful_name_is_asked_and_a_tap_settles_it(engine: Engine, host: AppTest) -> None:
    keep(engine)
    write(engine, f"{V3_TEXT}\n2 dashes orange bitters")
    page = spritz(host)
    assert "line 5 is not clear yet" in words(page)
    field(page.button, "aromatic bitters, 45 % vol".replace("%", "%")).click().run()
    kept = drafts.draft(engine, V3.id)
    assert kept
    assert kept.draft.text.endswith("\n2 dashes aromatic bitters, 45 % vol")


def test_an_unknown_word_is_added_as_an_ingredient(engine: Engine, host: AppTest) -> None:
    keep(engine)
    write(engine, f"{V3_TEXT}\n3 ml zzyzx essence", "For length")
    page = spritz(host)
    field(page.button, "Add it").click().run()
    name = field(page.text_input, "Name")
    assert name.value == "zzyzx essence"
    field(page.radio, "Does it contain alcohol?").set_value("No")
    field(page.text_input, "Density, g/mL").input("1.02")
    field(page.button, "Add it to the draft").click().run()
    assert not page.error
    save(page)
    assert stored(engine).versions[-1].parts[-1].ingredient.name == "zzyzx essence"


def test_all_that_an_own_ingredient_misses_is_said_at_once(engine: Engine, host: AppTest) -> None:
    keep(engine)
    page = spritz(host)
    field(page.button, "Add it to the draft").click().run()
    said = page.error[0].value.replace("\\", "")
    assert said == "The ingredient has no name; give it one. Say whether it contains alcohol."
    field(page.text_input, "Name").input("Our bay vinegar")
    field(page.radio, "Does it contain alcohol?").set_value("Yes")
    field(page.button, "Add it to the draft").click().run()
    assert "how strong" in page.error[0].value
    field(page.radio, "Does it contain alcohol?").set_value("I do not know")
    field(page.button, "Add it to the draft").click().run()
    assert "density is missing" in page.error[0].value
    assert field(page.text_input, "Name").value == "Our bay vinegar"


def test_an_own_ingredient_can_be_completed(engine: Engine, host: AppTest) -> None:
    """What is saved keeps its figures; the draft has the better ones, and so has its next save."""
    cordial = own_ingredient(
        "Our cordial", Typed({"sucrose_g_per_100g": 35.0}, none_of=("alcohol",))
    )
    first = SPRITZ.versions[0]
    line = Part(ingredient=cordial, amount=Amount(quantity=30, unit="mL"))
    first = first.model_copy(update={"parts": (*first.parts, line)})
    formulas.keep_formula(engine, SPRITZ.model_copy(update={"versions": (first,)}))
    page = spritz(host)
    assert [button.label for button in page.button].count("Edit Our cordial") == 2
    field(page.text_input, "Name").input("our cordial")
    field(page.radio, "Does it contain alcohol?").set_value("No")
    field(page.text_input, "Sugar, g").input("35")
    field(page.button, "Add it to the draft").click().run()
    assert "edit it" in page.error[0].value
    [button for button in page.button if button.label == "Edit Our cordial"][-1].click().run()
    figures = [one for one in page.text_input if one.label == "Sugar, g"]
    assert "35" in [one.value for one in figures]
    next(one for one in page.text_input if one.label.startswith("Acidity")).input("1.2")
    field(page.button, "Use these figures").click().run()
    assert not page.error
    assert "TA is not computable" not in words(page)
    field(page.text_input, REASON).input("Titrated the cordial").run()
    save(page, f"save-{first.id}")
    before, after = stored(engine).versions
    assert before.parts[-1].ingredient.ta_citric_g_per_100g is None
    assert after.parts[-1].ingredient.ta_citric_g_per_100g == 1.2
    assert after.parts[-1].ingredient.key == cordial.key


def add_kind(page: AppTest, kind: str) -> AppTest:
    return field(page.segmented_control, "Kind").set_value(kind).run()


def test_a_measured_lot_takes_its_place_in_the_draft(engine: Engine, host: AppTest) -> None:
    keep(engine)
    page = add_kind(spritz(host), "A measured lot")
    page.selectbox(key="lot_of-spritz-3-0").set_value("lemon juice").run()
    page.text_input(key="lot_name-spritz-3-0-lemon juice").input("lemon, Monday")
    page.text_input(key="lot_sample_ml-spritz-3-0").set_value("10.0")
    page.text_input(key="lot_base_ml-spritz-3-0").set_value("85.0")
    page.button(key="lot_add-spritz-3-0").click().run()
    assert not page.error
    assert "Sample titrated, mL: 10; Base used, mL: 85" in page.toast[0].value.replace("\\", "")
    field(page.text_input, REASON).input("Titrated").run()
    save(page)
    assert stored(engine).versions[-1].parts[1].ingredient.name == "lemon, Monday"


def test_a_formula_as_its_own_preparation_is_refused(engine: Engine, host: AppTest) -> None:
    keep(engine)
    page = add_kind(spritz(host), "A preparation")
    page.button(key="made_add-spritz-3-0").click().run()
    assert "cannot be made from itself" in page.error[0].value
    assert drafts.drafts(engine) == {}


def test_a_version_is_used_as_a_preparation(engine: Engine, host: AppTest) -> None:
    keep(engine)
    first = SPRITZ.versions[0].model_copy(
        update={"id": "syrup-1", "parts": SPRITZ.versions[0].parts[2:3]}
    )
    formulas.keep_formula(engine, Formula(id="syrup", name="Bay cordial", versions=(first,)))
    page = add_kind(spritz(host), "A preparation")
    page.selectbox(key="made_from-spritz-3-0").set_value("syrup-1").run()
    page.button(key="made_add-spritz-3-0").click().run()
    assert not page.error
    assert "line 5 is not clear yet" in words(page)


def test_compare_blind_begins_with_the_version_and_its_parent(
    engine: Engine, host: AppTest
) -> None:
    keep(engine)
    page = spritz(host).button(key="compare").click().run()
    assert page.title[0].value == "New tasting"
    assert [page.query_params[letter] for letter in "ab"] == ["spritz-1", "spritz-3"]
    assert [page.selectbox(key=letter).value.id for letter in "ab"] == ["spritz-1", "spritz-3"]


def test_the_first_version_is_compared_with_a_reference_that_is_not_put_away(
    engine: Engine, host: AppTest
) -> None:
    keep(engine)
    notes.archive(engine, "R")
    page = drink(host, id=SPRITZ.id, version="spritz-1").button(key="compare").click().run()
    assert [page.selectbox(key=letter).value.id for letter in "ab"] == ["S", "spritz-1"]
