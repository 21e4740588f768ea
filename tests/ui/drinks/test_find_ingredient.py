"""Ingredients are found by what a bar calls them, and added as rows."""

from collections.abc import Callable

from streamlit.testing.v1 import AppTest

Open = Callable[[str], AppTest]


def finding(open_page: Open, wanted: str) -> AppTest:
    page = open_page("formulas")
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
