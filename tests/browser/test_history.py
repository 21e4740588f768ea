"""The history in a browser: what is searched stands in the address, and a reload finds it again."""

import re

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.conftest import settle, sign_in
from tests.browser.test_loop import choose, go, picture

pytestmark = pytest.mark.browser


@pytest.mark.usefixtures("workshop")
def test_a_search_is_an_address(server: str, chromium: Browser) -> None:
    page = chromium.new_page(viewport={"width": 1280, "height": 1600})
    page.set_default_timeout(60_000)
    sign_in(page, server)
    go(page, "History")
    page.get_by_label("Search", exact=True).fill("reference")
    page.keyboard.press("Enter")
    expect(page.get_by_text(re.compile(r"\d+ entries match"))).to_be_visible()
    found = page.get_by_text(re.compile(r"\d+ entries match")).inner_text()
    assert "search=reference" in page.url
    settle(page)
    picture(page, "history-searched")
    page.reload()
    settle(page)

    expect(page.get_by_text(found)).to_be_visible()
    choose(page, "What all closed sessions say together", "False alarms")
    expect(page.get_by_text("would still be expected")).to_be_visible()
    picture(page, "history-together")
    page.set_viewport_size({"width": 360, "height": 1600})
    settle(page)
    picture(page, "history-phone")
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= 360
    page.context.close()
