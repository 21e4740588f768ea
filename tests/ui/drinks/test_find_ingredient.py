"""Ingredients are found by what a bar calls them, and added as rows."""

from collections.abc import Callable

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.drink.composition import compose
from tasting.drink.formula import Formula
from tasting.store import formulas
from tests.ui.drinks.test_formulas_page import section
from tests.ui.workshop import version

Open = Callable[[str], AppTest]


def finding(open_page: Open, wanted: str) -> AppTest:
    page = open_page("drinks")
    page.text_input(key="find-new-0").input(wanted).run()
    assert not page.exception
    return page


def offered(page: AppTest) -> list[str]:
    return [button.label for button in page.button if button.label.startswith("Add ")]


def test_another_name_finds_an_ingredient(open_page: Open) -> None:
    assert "juniper" in offered(finding(open_page, "gin"))[0]


def test_what_is_found_becomes_a_row(open_page: Open) -> None:
    page = finding(open_page, "mint")
    page.button(key="found-new-mint leaves, fresh").click().run()
    assert not page.exception
    assert page.text_input(key="find-new-1").value == ""
    assert page.session_state["draft-new"].rows["Ingredient"].tolist() == ["mint leaves, fresh"]


def test_what_is_not_there_can_be_added(open_page: Open) -> None:
    page = finding(open_page, "unicorn")
    assert not [label for label in offered(page) if label != "Add it to the draft"]
    assert "Add it below as an ingredient of your own" in page.info[0].value


def test_ice_comes_with_what_melts_of_it(engine: Engine, open_page: Open) -> None:
    """A quarter of 100 mL is 25 mL of water, 24.95 g at 20 °C (arithmetic)."""
    first = version(1, 10, 90)
    formulas.keep_formula(engine, Formula(id="x", name="X", versions=(first,)))
    page = section(open_page("drinks"), "New version")
    rows = len(first.parts)
    page.text_input(key=f"find-{first.id}-{rows}").input("ice").run()
    page.text_input(key=f"melt-{first.id}").input("25").run()
    page.button(key=f"found-{first.id}-ice that melts into the drink").click().run()
    assert not page.exception
    made = page.session_state[f"draft-{first.id}"].rows.iloc[-1].tolist()
    volume = compose(first).volume_ml
    assert made[0] == "ice that melts into the drink"
    assert float(made[1]) == pytest.approx(0.25 * 0.998201 * volume, abs=0.06)
    assert made[2] == "g"
