"""What stands below a formula, and what can be done with it."""

import re

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.drink.composition import compose
from tasting.drink.ice import STYLES, as_served
from tasting.drink.recipe_text import read
from tasting.drink.shelf import shelf
from tasting.store import drafts, formulas, notes
from tasting.store.prices import keep_price, prices, read_price
from tasting.store.scale import scale_step_g
from tasting.ui.drinks import draft as drafting
from tasting.ui.drinks.adjust_tables import TO
from tests.ui.drinks.opening import (
    V3,
    field,
    html,
    opened,
    spritz,
    stored,
)
from tests.ui.reading import read as words
from tests.ui.reading import tabled, tables
from tests.ui.workshop import INVENTED, SPRITZ, keep


def test_the_tree_tells_parent_date_and_reason(engine: Engine, host: AppTest) -> None:
    keep(engine)
    tree = field(spritz(host, "Versions").radio, "Version")
    assert tree.options == ["v1", "└\u2002v2", "v3"]
    assert tree.proto.captions[2] == "from v1 · 13 Jan 2026 · More syrup"
    assert r"\*flat\*" in tree.proto.captions[1]


def test_choosing_in_the_tree_shows_that_version(engine: Engine, host: AppTest) -> None:
    keep(engine)
    page = spritz(host, "Versions")
    field(page.radio, "Version").set_value("spritz-2").run()
    assert "v2 · from v1" in words(page)
    assert page.query_params["version"] in ("spritz-2", ["spritz-2"])


def test_a_sealed_bottle_has_more_cautions(engine: Engine, host: AppTest) -> None:
    keep(engine)
    page = spritz(host)
    assert "Rhubarb leaves are poisonous" in words(page)
    assert "fermentable sugar" not in words(page)
    assert words(page).count("Local codes and licensed practice decide") == 1
    assert words(page).count("Reminders only. No warning does not mean safe.") == 1
    page.checkbox(key="sealed").check().run()
    assert "fermentable sugar" in words(page)


def test_all_figures_are_a_section(engine: Engine, host: AppTest) -> None:
    keep(engine)
    page = spritz(host, "All figures")
    assert "TA, as citric acid" in tabled(page)
    assert "your country's rules" in words(page)


def test_a_version_stands_beside_the_label(engine: Engine, host: AppTest) -> None:
    keep(engine)
    page = spritz(host, "Label")
    assert not page.exception
    assert {"Value", "Label can mean", "Verdict", "Tolerance"} <= set(tables(page)[0].columns)
    assert len(page.get("vega_lite_chart")) == 2


def test_without_a_reference_the_page_says_where_to_add_one(engine: Engine, host: AppTest) -> None:
    formulas.keep_formula(engine, SPRITZ)
    page = spritz(host)
    page.button(key="add-reference").click().run()
    assert page.title[0].value == "New reference"
    assert "Label of" not in html(page)


def test_invented_data_says_so_once(engine: Engine, host: AppTest) -> None:
    formulas.keep_formula(engine, SPRITZ.model_copy(update={"invented": INVENTED}))
    assert words(spritz(host)).count(f"Invented data: {INVENTED}") == 1


def test_a_move_is_saved_with_its_reason(engine: Engine, host: AppTest) -> None:
    keep(engine)
    page = spritz(host, "Adjust")
    page.multiselect(key="allowed-spritz-3").set_value(["lemon juice"]).run()
    assert not page.exception
    assert "takes out lemon juice, which is already in" in words(page)
    page.button(key="move-keep-spritz-3").click().run()
    child = stored(engine).versions[-1]
    assert (child.parent, child.label) == ("spritz-3", "v4")
    assert "g/L: leave out " in child.reason
    assert compose(child).ta_g_per_l == pytest.approx(6.4, abs=0.03)
    assert "v4 · from v3" in words(page)


def test_nothing_that_may_change_is_said_quietly(engine: Engine, host: AppTest) -> None:
    keep(engine)
    page = spritz(host, "Adjust")
    page.multiselect(key="allowed-spritz-3").set_value([]).run()
    assert "Nothing may change yet" in words(page)
    assert not page.error


def test_the_scale_is_remembered_and_moves_are_weighable(engine: Engine, host: AppTest) -> None:
    keep(engine)
    page = spritz(host, "Adjust")
    page.text_input(key="adjust-scale-spritz-3").set_value("0,5").run()
    assert not page.exception
    assert scale_step_g(engine) == 0.5
    moves = " ".join(tables(page)[0]["Per serving"])
    amounts = [float(number) for number in re.findall(r"(\d[\d.]*) (?:mL|g)\b", moves)]
    assert amounts
    assert all((2 * amount).is_integer() for amount in amounts)
    opened(page, "Batch")
    assert page.text_input(key="batch-scale").value == "0.5"


def test_the_batch_sheet_follows_the_size(engine: Engine, host: AppTest) -> None:
    keep(engine)
    page = spritz(host, "Batch")
    page.radio(key="batch-size-in").set_value("Servings").run()
    page.text_input(key="batch-Servings-spritz-3").set_value("10.0").run()
    assert all(amount in tabled(page) for amount in ("600 mL", "240 mL", "900 mL"))
    page.text_input(key="batch-cylinder").set_value("1000.0").run()
    assert "too little to measure" in page.error[0].value


def test_a_formula_is_renamed_and_archived_and_nothing_is_lost(
    engine: Engine, host: AppTest
) -> None:
    keep(engine)
    page = spritz(host)
    field(page.text_input, "Name of the formula").input("Bay spritz")
    next(button for button in page.button if button.label == "Save").click().run()
    assert page.title[0].value == "Bay spritz"
    page.button(key="archive").click().run()
    assert notes.archived(engine) == {SPRITZ.id}
    page.button(key="archive").click().run()
    assert notes.archived(engine) == frozenset()
    assert stored(engine).versions == SPRITZ.versions


def test_a_version_is_compared_blind_with_its_parent(engine: Engine, host: AppTest) -> None:
    keep(engine)
    page = spritz(host)
    page.button(key="compare").click().run()
    assert not page.exception
    chosen = {letter: page.session_state[letter].id for letter in "ab"}
    assert chosen == {"a": "spritz-1", "b": "spritz-3"}


def test_a_duplicate_is_a_draft_of_a_new_formula(engine: Engine, host: AppTest) -> None:
    keep(engine)
    page = spritz(host)
    page.button(key="duplicate").click().run()
    ((place, kept),) = drafts.drafts(engine).items()
    assert place.startswith("new-")
    known = drafting.known_ingredients((), kept.draft.own)
    assert read(kept.draft.text, shelf(known)).parts == V3.parts


def test_notes_are_kept_with_their_version_and_date(engine: Engine, host: AppTest) -> None:
    keep(engine)
    page = spritz(host, "Notes and cost")
    page.text_input(key="glass-spritz").input("highball")
    page.button(key="save-served").click().run()
    page.text_area(key="remark").input("flat beside R")
    page.button(key="save-remark").click().run()
    assert page.text_input(key="glass-spritz").value == "highball"
    assert "v3,flat beside R" in tabled(page)


def test_the_water_of_the_ice_is_in_what_is_tasted(engine: Engine, host: AppTest) -> None:
    """Stirred, it takes up 28 % (20 to 40 %; common practice, no source)."""
    keep(engine)
    page = spritz(host, "Notes and cost")
    page.selectbox(key="melts-spritz").set_value("stirred")
    page.button(key="save-served").click().run()
    assert not page.exception
    served = as_served(V3, STYLES["stirred"])[1]
    assert f"<td>{served.ta_g_per_l:.2f}<small>" in html(page)
    told = "As it is tasted. Stirred: 20–40 % water from the ice (common practice, no source)"
    assert told in words(page)
    assert told in words(opened(page, "All figures"))
    assert f"{served.ta_g_per_l:.2f}" in tabled(page).replace("\\", "")
    assert told in words(opened(page, "Label"))
    opened(page, "Notes and cost").selectbox(key="melts-spritz").set_value("")
    page.button(key="save-served").click().run()
    assert f"<td>{compose(V3).ta_g_per_l:.2f}<small>" in html(page)


def test_a_price_gives_the_cost(engine: Engine, host: AppTest) -> None:
    """60 of 1000 mL at 4: 0.24 a serving."""
    keep(engine)
    page = spritz(host, "Notes and cost")
    page.selectbox(key="price-of").set_value("rhubarb-juice")
    page.text_input(key="price-pack").input("1 L")
    page.text_input(key="price-price").input("4")
    page.text_input(key="price-coin").input("EUR")
    page.button(key="save-price").click().run()
    assert not page.error
    assert "0.24 EUR per serving" in words(page)
    assert "no price yet" in words(page)
    assert list(prices(engine)) == ["rhubarb-juice"]


def test_a_batch_says_what_it_costs_and_how_long_it_keeps(engine: Engine, host: AppTest) -> None:
    """60 of 1000 mL at 4: 0.24 a serving, 4.80 for twenty (arithmetic)."""
    keep(engine)
    keep_price(engine, "rhubarb-juice", read_price("1 L", "4", "EUR"))
    page = spritz(host, "Batch")
    page.radio(key="batch-size-in").set_value("Servings").run()
    page.text_input(key="batch-Servings-spritz-3").set_value("20").run()
    assert not page.exception
    assert "This batch costs 4.80 EUR: 0.24 EUR per serving" in words(page)
    assert "no price yet" in words(page)
    assert "Fresh juice and anything watery (rhubarb juice, lemon juice): 2–3 days" in words(page)
    assert "Common practice, no source." in words(page)


def test_a_move_that_may_be_a_slip_is_questioned_before_it_is_saved(
    engine: Engine, host: AppTest
) -> None:
    keep(engine)
    page = spritz(host, "Adjust")
    page.multiselect(key="allowed-spritz-3").set_value(["lemon juice"]).run()
    (acid,) = [one for one in page.selectbox if str(one.key).startswith("wish-ta_g_per_l-")]
    acid.set_value(TO).run()
    page.text_input(key=f"wish-ta_g_per_l-{TO}-spritz-3").set_value("25").run()
    page.button(key="move-keep-spritz-3").click().run()

    assert "16 times as much as in v3" in page.warning[-1].value
    assert len(stored(engine).versions) == 3

    (sure,) = [one for one in page.checkbox if str(one.key).startswith("sure-move-keep-")]
    sure.check().run()
    page.button(key="move-keep-spritz-3").click().run()
    assert len(stored(engine).versions) == 4
