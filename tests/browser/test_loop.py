"""The whole loop in a real browser: a host, six phones, one finding."""

import os
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import SETUP, settle

pytestmark = pytest.mark.browser

PASSPHRASE = "rhubarb and bay"
ASSESSORS = 6
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


def first_start(page: Page, server: str) -> None:
    """Choose the passphrase."""
    page.goto(server)
    page.get_by_label("Setup code").fill(SETUP)
    picture(page, "0 first start")
    page.get_by_label("Passphrase, at least").fill(PASSPHRASE)
    page.get_by_label("The same passphrase again").fill(PASSPHRASE)
    page.get_by_role("button", name="Save it and sign in").click()
    expect(page.get_by_role("button", name="Host")).to_be_visible(timeout=20_000)
    settle(page)
    picture(page, "1 dashboard")


def open_spritz(page: Page) -> None:
    """The page of the formula of the sample workshop."""
    go(page, "Drinks")
    page.get_by_test_id("stMain").get_by_role("link", name="Rhubarb and bay spritz").click()
    expect(page.get_by_role("heading", name="What is in it")).to_be_visible()
    settle(page)


def make_version(page: Page) -> None:
    """Change the lemon juice from 6 to 9 mL on the sheet, and save that as a child."""
    open_spritz(page)
    sheet = page.get_by_label("Recipe, one ingredient per line")
    expect(sheet).to_have_value(re.compile("6 mL lemon juice"))
    sheet.fill(sheet.input_value().replace("6 mL lemon juice", "9 ml lemon"))
    expect(page.get_by_text("9 mL lemon juice")).to_be_visible()
    page.get_by_label("What did you change, and why?").fill("Flat beside bottle R: more lemon.")
    page.get_by_label("Version name").fill("v13 more lemon")
    page.get_by_label("Version name").press("Tab")
    press(page, "Save as v13 more lemon")
    expect(page.get_by_text("v13 more lemon · from v12")).to_be_visible()
    # While the page is written anew there may be two for a moment.
    expect(sheet.first).to_have_value(re.compile("9 mL lemon juice"))
    picture(page, "2 drink")


def choose(page: Page, label: str, option: str) -> None:
    """Choose from a list by typing."""
    box = page.get_by_role("combobox", name=re.compile(label))
    box.click()
    box.fill(option)
    page.get_by_role("option", name=option).first.click()
    settle(page)


def plan(page: Page) -> None:
    """A triangle test of the new version against its parent, six assessors, one set each."""
    go(page, "Tastings")
    press(page, "New tasting")
    choose(page, "Sample A", "v12 tartaric")
    choose(page, "Sample B", "v13 more lemon")
    page.get_by_label("Name", exact=True).fill("Is 3 mL of lemon noticed?")
    for label, number in (("Assessors", ASSESSORS), ("Sets for each", 1)):
        page.get_by_label(label, exact=True).fill(str(number))
        page.keyboard.press("Enter")
        settle(page)
    picture(page, "3 plan")
    press(page, "Save the plan")
    expect(page.get_by_role("heading", name="Is 3 mL of lemon noticed?")).to_be_visible()


def section(page: Page, name: str) -> None:
    """Show one section of the session."""
    page.get_by_role("radio", name=name, exact=True).click()
    settle(page)


def open_session(page: Page) -> list[str]:
    """Open it; the links of all assessors."""
    press(page, "Open the session")
    links = []
    for number in range(1, ASSESSORS + 1):
        choose(page, "For", f"P{number:02d}")
        expect(page.get_by_text(f"QR code for P{number:02d}")).to_be_visible()
        links.append(page.get_by_text(re.compile(r"\?seat=")).inner_text().strip())
    picture(page, "4 links")
    assert len(set(links)) == ASSESSORS
    for place, printed in (("Pour", "Cup labels"), ("Paper", "Paper ballots")):
        section(page, place)
        with page.context.expect_page() as opened:
            page.get_by_role("link", name=printed).click()
        expect(opened.value).to_have_title(printed)
        opened.value.close()
    return links


def answer(phone: Page, link: str, name: str) -> None:
    """One assessor's evening: consent, choose the second cup, record."""
    phone.goto(link)
    picture(phone, f"5 {name} begin")
    phone.get_by_role("checkbox").check()
    phone.get_by_role("button", name="Start tasting").click()
    expect(phone.get_by_text("odd one out")).to_be_visible()
    assert phone.evaluate("document.documentElement.scrollWidth") <= 360
    codes = phone.locator(".row .choice")
    picture(phone, f"6 {name} set")
    codes.nth(1).click()
    picture(phone, f"7 {name} chosen")
    phone.get_by_role("button", name="Record this and go on").click()
    expect(phone.get_by_role("heading", name="Thank you")).to_be_visible()


def close(page: Page) -> None:
    """See all answers in, close, read the finding."""
    expect(page.get_by_text(f"{ASSESSORS} of {ASSESSORS} answers are in")).to_be_visible(
        timeout=15_000
    )
    section(page, "Close")
    page.get_by_text("Close this session permanently").click()
    press(page, "Close and reveal")
    expect(page.get_by_text("What differs between")).to_be_visible(timeout=15_000)
    settle(page)
    expect(page.get_by_text(f"of {ASSESSORS} correct; ")).to_be_visible()
    picture(page, "8 finding")


def test_from_a_formula_to_a_finding(
    workshop: None, server: str, chromium: Browser, phone: Callable[[], Page]
) -> None:
    host = chromium.new_context(viewport={"width": 1280, "height": 1600}).new_page()
    first_start(host, server)
    make_version(host)
    plan(host)
    for number, link in enumerate(open_session(host), start=1):
        answer(phone(), link, f"phone {number}")
    close(host)
