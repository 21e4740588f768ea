"""The whole loop in a real browser, as a new user goes it: from an empty database to a finding.

One phone is the host's, two are the assessors'. Fields and clicks are counted, and how far the next
button is away.
"""

import os
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import settle, sign_in

pytestmark = pytest.mark.browser

ASSESSORS = 2
RECIPE = """60 ml rhubarb juice
1/2 oz lemon
0,4 g citric acid
top with soda to 225 ml"""
PICTURES = os.environ.get("TASTING_PICTURES")


def picture(page: Page, name: str) -> None:
    """Keep a screenshot for people to look at, when TASTING_PICTURES names a folder."""
    if PICTURES:
        page.screenshot(path=Path(PICTURES) / f"{name}.png")


def go(page: Page, title: str) -> None:
    """Open one of the host's pages from the menu."""
    page.locator(".st-key-menu").get_by_role("link", name=title, exact=True).click()
    settle(page)


def press(page: Page, name: str) -> None:
    """Press a button and wait until the page has settled."""
    page.get_by_role("button", name=name).click()
    settle(page)


def open_spritz(page: Page) -> None:
    """The page of the formula of the sample workshop."""
    go(page, "Drinks")
    page.get_by_test_id("stMain").get_by_role("link", name="Rhubarb and bay spritz").click()
    expect(page.get_by_role("heading", name="What is in it")).to_be_visible()
    settle(page)


@dataclass
class Hand:
    """What a new user's hand does on a phone: types, taps, and scrolls a screen at most."""

    page: Page
    fields: int = 0
    clicks: int = 0

    def begin(self) -> None:
        """Count anew."""
        self.fields = self.clicks = 0

    def type(self, field: Locator, text: str) -> None:
        """Type into a field, and leave it."""
        self.fields += 1
        field.fill(text)
        field.blur()
        settle(self.page)

    def tap(self, target: Locator) -> None:
        """Tap what comes next; it is no further down than one screen below this one."""
        target.wait_for()
        self.clicks += 1
        box, size = target.bounding_box(), self.page.viewport_size
        assert box
        assert size
        below = box["y"] + box["height"] - size["height"]
        assert below <= size["height"], f"{target} is {below:.0f} px below the screen"
        assert self.page.evaluate("document.documentElement.scrollWidth") <= size["width"]
        target.click()
        settle(self.page)


def choose(page: Page, label: str, option: str) -> None:
    """Choose from a list by typing."""
    box = page.get_by_role("combobox", name=re.compile(label))
    box.click()
    box.fill(option)
    page.get_by_role("option", name=option).first.click()
    settle(page)


def button(page: Page, name: str | re.Pattern[str]) -> Locator:
    return page.get_by_role("button", name=name)


def sheet(page: Page) -> Locator:
    return page.get_by_label("Recipe, one ingredient per line")


def first_formula(hand: Hand) -> None:
    """A recipe, typed as on paper."""
    page = hand.page
    hand.tap(page.get_by_role("link", name="Write the first formula"))
    hand.type(page.get_by_label("Name of the formula"), "Rhubarb and bay spritz")
    hand.type(sheet(page), RECIPE)
    expect(page.get_by_text("14.79 mL lemon juice")).to_be_visible()
    picture(page, "1 first formula")
    hand.tap(button(page, re.compile("^Save$")))
    expect(page).to_have_title("Rhubarb and bay spritz · Tasting log")
    assert (hand.fields <= 4, hand.clicks <= 3) == (True, True), hand


def next_version(hand: Hand) -> None:
    """A line changed on the sheet, and why, become the second version."""
    page = hand.page
    # While the page is written anew there may be two for a moment.
    expect(sheet(page).first).to_have_value(re.compile("60 mL rhubarb juice"))
    expect(sheet(page)).to_have_count(1)
    hand.type(sheet(page), RECIPE.replace("1/2 oz", "3/4 oz"))
    hand.type(page.get_by_label("What did you change, and why?"), "Flat: more lemon.")
    hand.tap(button(page, "Save as v2"))
    expect(page.get_by_text("v2 · from v1")).to_be_visible()
    picture(page, "2 second version")


def open_session(hand: Hand) -> None:
    """Both versions blind, two assessors, one set each."""
    page = hand.page
    hand.begin()
    hand.tap(button(page, "Compare blind"))
    hand.type(page.get_by_label("Assessors", exact=True), str(ASSESSORS))
    hand.type(page.get_by_label("Sets for each", exact=True), "1")
    picture(page, "3 new tasting")
    hand.tap(button(page, "Save the plan"))
    expect(page.get_by_text(re.compile("Planned for .* · Triangle test"))).to_be_visible()
    picture(page, "4 planned")
    hand.tap(button(page, "Open the session"))
    expect(page.get_by_text(f"0 of {ASSESSORS} answers are in")).to_be_visible()
    assert (hand.fields <= 6, hand.clicks <= 5) == (True, True), hand


def shown_link(page: Page, assessor: str) -> str:
    """The link in the QR code that the host shows to an assessor."""
    expect(page.get_by_text(f"QR code for {assessor}")).to_be_visible()
    return page.get_by_text(re.compile(r"\?seat=")).inner_text().strip()


def answer(phone: Page, link: str, name: str) -> None:
    """One assessor's evening: consent, choose the second cup, record."""
    phone.goto(link)
    picture(phone, f"5 {name} begin")
    phone.get_by_role("checkbox").check()
    phone.get_by_role("button", name="Start tasting").click()
    expect(phone.get_by_text("odd one out")).to_be_visible()
    assert phone.evaluate("document.documentElement.scrollWidth") <= 360
    picture(phone, f"6 {name} set")
    phone.locator(".row .choice").nth(1).click()
    picture(phone, f"7 {name} chosen")
    phone.get_by_role("button", name="Record this and go on").click()
    expect(phone.get_by_role("heading", name="Thank you")).to_be_visible()


def close(hand: Hand) -> None:
    """All answers are in; close, and read the finding."""
    page = hand.page
    expect(page.get_by_text(f"{ASSESSORS} of {ASSESSORS} answers are in")).to_be_visible()
    picture(page, "8 all in")
    hand.tap(page.get_by_role("radio", name="Close", exact=True))
    hand.tap(page.get_by_text("Close this session permanently"))
    hand.tap(button(page, "Close and reveal"))
    expect(page.get_by_role("heading", name="What differs")).to_be_visible()
    settle(page)
    expect(page.get_by_text(f"of {ASSESSORS} correct; ")).to_be_visible()
    picture(page, "9 finding")


def test_from_an_empty_database_to_a_finding(server: str, phone: Callable[[], Page]) -> None:
    hand = Hand(phone())
    sign_in(hand.page, server)
    first_formula(hand)
    next_version(hand)
    open_session(hand)
    for number in range(1, ASSESSORS + 1):
        answer(phone(), shown_link(hand.page, f"P{number:02d}"), f"phone {number}")
        if number < ASSESSORS:
            hand.tap(button(hand.page, "Next assessor"))
    close(hand)
