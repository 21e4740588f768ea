"""The first formula, as a new user writes it: fields and clicks are counted; drafts stay."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import settle, sign_in
from tests.browser.test_loop import go, picture

pytestmark = pytest.mark.browser

MESSAGE = """Hi, this is Friday's:

- 60 ml rhubarb juice
- 1/4 oz lemon
- 0,4 g citric acid
- 2 dashes orange bitters
- top with soda to 225 ml

Method: build on ice
"""


@pytest.fixture(params=[(1280, 900), (360, 740)], ids=["desktop", "phone"])
def host(request: pytest.FixtureRequest, chromium: Browser, server: str) -> Iterator[Page]:
    """A host on an empty database, by a desktop and by a phone."""
    width, height = request.param
    context = chromium.new_context(viewport={"width": width, "height": height})
    page = context.new_page()
    sign_in(page, server)
    yield page
    context.close()


def test_a_first_formula_takes_two_fields_and_three_clicks(host: Page) -> None:
    go(host, "Drinks")
    host.get_by_role("button", name="New formula").click()  # 1
    host.get_by_label("Name of the formula").fill("Rhubarb and bay spritz")
    sheet = host.get_by_label("Recipe, one ingredient per line")
    sheet.fill(MESSAGE)
    expect(host.get_by_text("“orange bitters” is not known here").last).to_be_visible()
    picture(host, "first formula, asked")
    host.get_by_role("button", name="aromatic bitters").click()  # 2
    expect(sheet).to_have_value(re.compile("2 dashes aromatic bitters"))
    settle(host)
    host.get_by_role("button", name="Save", exact=True).click()  # 3
    expect(host).to_have_title("Rhubarb and bay spritz · Tasting log")
    expect(host).to_have_url(re.compile("drink\\?id="))
    picture(host, "first formula, saved")


def test_a_draft_outlives_leaving_and_reloading(host: Page) -> None:
    go(host, "Drinks")
    host.get_by_role("button", name="New formula").click()
    sheet = host.get_by_label("Recipe, one ingredient per line")
    sheet.press_sequentially("45 ml gin\n1/2 oz lemon", delay=20)
    expect(host.get_by_text("14.79 mL lemon juice")).to_be_visible()
    expect(host.get_by_text("draft saved")).to_be_visible()
    host.reload()
    expect(sheet).to_have_value("45 ml gin\n1/2 oz lemon")
    go(host, "History")
    go(host, "Drinks")
    host.get_by_role("link", name=re.compile("^Draft of a new formula")).click()
    expect(sheet).to_have_value("45 ml gin\n1/2 oz lemon")
