"""An evening at the bench, on a phone and with one hand: from a glass to a blind comparison."""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import settle, sign_in
from tests.browser.test_loop import picture

pytestmark = pytest.mark.browser

LEAST_TARGET_PX = 44
TAPPED = ", ".join(
    f"{kind}:visible"
    for kind in (
        "button:not([aria-label^=Help])",
        "summary",
        "input[type=text]",
        ".stPageLink a",
        ".steps a",
    )
)
STATUS = '[role="status"] .says'


def tap(page: Page, name: str) -> None:
    """Tap a button of the bench."""
    page.get_by_role("button", name=name, exact=True).tap()


def type_line(page: Page, label: str, text: str) -> None:
    """Type a line and press Enter, as a phone's keyboard does."""
    field = page.get_by_role("textbox", name=label)
    expect(field).to_have_count(1)
    field.fill(text)
    field.press("Enter")


def step(page: Page, text: str) -> None:
    """The newest step says this."""
    expect(page.locator(".steps li").first).to_contain_text(text)


def levels(page: Page) -> str:
    """The table of the glass, as text."""
    return page.locator("table.glass tbody").inner_text()


def pour(page: Page, server: str) -> None:
    page.goto(f"{server}/drink?id=spritz")
    page.get_by_role("button", name="Bench", exact=True).tap()
    expect(page.get_by_role("heading", name="Pour a glass of v12")).to_be_visible()
    page.get_by_role("button", name="Pour", exact=True).tap()
    expect(page.get_by_role("heading", name="At the bench: v12")).to_be_visible()


def test_a_bench_evening_on_a_phone(workshop: None, server: str, phone: Callable[[], Page]) -> None:
    page = phone()
    sign_in(page, server)
    pour(page, server)
    type_line(page, "Add, or taste away", "+0.1 g citric acid")
    expect(page.locator(STATUS)).to_have_text(re.compile(r"About \d more of these"))
    settle(page)
    picture(page, "bench, one pinch")
    tap(page, "10 mL tasted away")
    step(page, "10 mL tasted away")
    type_line(page, "How does it taste now?", "sharper, still thin")
    step(page, "sharper, still thin")
    settle(page)
    before = levels(page)
    tap(page, "+10 mL still water")
    step(page, "+10 mL still water")
    tap(page, "Undo +10 mL still water")
    step(page, "Undone")
    expect(page.locator("table.glass tbody")).to_have_text(re.compile(r"TA, g/L\s*6\.67"))

    page.reload()
    step(page, "Undone")
    settle(page)
    assert levels(page) == before
    for change in ("+0.9", "+1.36"):
        tap(page, "+0.1 g citric acid")
        expect(page.locator("table.glass tbody")).to_contain_text(change)
    expect(page.locator(STATUS)).to_have_text("About half of assessors would notice this.")
    settle(page)
    small = (
        page.locator(".st-key-at-bench")
        .locator(TAPPED)
        .evaluate_all(
            "(all, least) => all.map(one => [one.innerText, one.getBoundingClientRect().height])"
            ".filter(one => one[1] < least)",
            LEAST_TARGET_PX,
        )
    )
    assert small == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    picture(page, "bench, reached")

    page.get_by_text("Save as a version", exact=True).tap()
    page.get_by_text("Round what went in").tap()
    expect(page.get_by_text("0.5 g citric acid, anhydrous. One serving")).to_be_visible()
    page.get_by_role("button", name="Save as v13").tap()
    page.get_by_role("button", name="Compare v12 and v13 blind").tap()
    expect(page.get_by_role("heading", name="New tasting")).to_be_visible()
    for letter, label in (("A", "v12 tartaric acid"), ("B", "v13")):
        sample = page.get_by_role("combobox", name=f"Sample {letter}")
        expect(sample).to_have_value(f"Rhubarb and bay spritz, {label}")
