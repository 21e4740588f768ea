"""A link from a drink's page to another drink's: the address follows, and so does what is typed."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import settle, sign_in
from tests.browser.test_loop import go

pytestmark = pytest.mark.browser

SHEET = "Recipe, one ingredient per line"


@pytest.fixture
def host(workshop: None, server: str, chromium: Browser) -> Iterator[Page]:
    page = chromium.new_context(viewport={"width": 1280, "height": 900}).new_page()
    page.set_default_timeout(60_000)
    sign_in(page, server)
    yield page
    page.context.close()


def test_a_formula_that_a_reference_opened_stays_open(host: Page) -> None:
    """Streamlit tells the server alone of a link to the page that is open already."""
    go(host, "Drinks")
    host.get_by_test_id("stMain").get_by_role("link", name="Reference bottle R").first.click()
    expect(host.get_by_role("heading", name="Label and measurements")).to_be_visible()
    settle(host)
    before = host.url
    host.get_by_test_id("stMain").get_by_text("Open the formula").click()
    sheet = host.get_by_label(SHEET)
    expect(sheet).to_be_visible()
    settle(host)
    assert host.url != before
    sheet.press("End")
    sheet.press_sequentially("5", delay=20)
    typed = sheet.input_value()
    sheet.press("Tab")
    expect(host.get_by_text("draft saved")).to_be_visible()
    settle(host)
    expect(sheet).to_have_value(typed)
    expect(host).to_have_title(re.compile("^Rhubarb and bay spritz"))
    host.reload()
    settle(host)
    expect(sheet).to_have_value(typed)
