"""Amounts typed on the page of formulas: echoed, asked about, and in what the scale shows."""

import re
from collections.abc import Callable

from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.store.scale import scale_step_g
from tests.ui.drinks.test_formulas_page import (
    edited,
    lemon_draft,
    put_aside,
    section,
    shown,
    stored,
)
from tests.ui.workshop import SPRITZ, keep

Open = Callable[[str], AppTest]


def test_a_version_like_its_parent_is_not_kept_silently(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = section(open_page("drinks"), "New version")
    page.text_area(key="reason-spritz-3").input("Shaken longer")
    page.button(key="keep-spritz-3").click().run()
    assert "the same as v3" in page.warning[0].value
    assert stored(engine) == SPRITZ
    page.checkbox[-1].check()
    page.button(key="keep-spritz-3").click().run()
    assert len(stored(engine).versions) == 4


def test_five_times_the_parent_is_asked_about(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = put_aside(open_page("drinks"), "spritz-3", lemon_draft(225))
    page.text_area(key="reason-spritz-3").input("A slipped comma")
    page.button(key="keep-spritz-3").click().run()
    assert "lemon juice: 23 times as much as in v3" in page.warning[0].value.replace("\\", "")
    assert stored(engine) == SPRITZ


def test_the_draft_echoes_what_it_understood(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = put_aside(open_page("drinks"), "spritz-3", lemon_draft("22,5"))
    assert "lemon juice: 22.5 mL" in shown(page).replace("\\", "")
    edited(page, "spritz-3", "More lemon")
    assert str(stored(engine).versions[-1].parts[1].amount) == "22.5 mL"


def test_servings_that_cannot_be_read_keep_nothing(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = section(open_page("drinks"), "New version")
    page.text_input(key="servings-spritz-3").set_value("two").run()
    edited(page, "spritz-3", "For two")
    assert "'two' is not a number" in page.error[0].value.replace("\\", "")
    assert stored(engine) == SPRITZ


def test_the_scale_is_remembered_and_moves_are_weighable(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = section(open_page("drinks"), "Adjust")
    page.text_input(key="adjust-scale-spritz-3").set_value("0,5").run()
    assert not page.exception
    assert scale_step_g(engine) == 0.5
    moves = " ".join(page.table[1].value["Per serving"])
    moves = moves.replace("\\", "").replace("\xa0", " ")
    amounts = [float(number) for number in re.findall(r"(\d[\d.]*) (?:mL|g)\b", moves)]
    assert amounts, page.table[1].value["Per serving"].tolist()
    assert all((2 * amount).is_integer() for amount in amounts)
    section(page, "Batch")
    assert page.text_input(key="batch-scale").value == "0.5"


def test_a_move_that_takes_something_out_says_so(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = section(open_page("drinks"), "Adjust")
    page.multiselect(key="allowed-spritz-3").set_value(["lemon juice"]).run()
    assert "takes out lemon juice that is already in" in shown(page).replace("\\", "")
