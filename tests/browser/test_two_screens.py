"""Two tabs on one seat, and an impatient finger: the first answer counts, and nobody is misled."""

from datetime import UTC, datetime, timedelta

import pytest
from playwright.sync_api import Browser, Page, expect
from sqlalchemy import Engine

from tasting.store import ballots, sessions
from tests.browser.conftest import settle
from tests.ui.workshop import keep, planned

pytestmark = pytest.mark.browser

LATE = "Set 1 had been answered already, on another screen or on paper; the first answer counts."


@pytest.fixture
def seat(engine: Engine, server: str) -> str:
    """The link of one assessor with three sets, who has consented."""
    keep(engine, planned("acid", assessors=("P01",), replicates=3))
    sessions.open_session(engine, "acid", datetime.now(UTC) - timedelta(hours=1))
    token = ballots.links(engine, "acid", b"secret")["P01"]
    ballots.consent(engine, token, datetime.now(UTC))
    return f"{server}/?seat={token}"


def chosen(page: Page, url: str, place: int) -> Page:
    """A screen on which a cup is chosen but not recorded."""
    page.goto(url)
    settle(page)
    page.locator(".st-key-choices").get_by_role("button").nth(place).click()
    page.get_by_role("button", name="Record").wait_for()
    settle(page)
    return page


def test_the_second_screen_is_told_and_the_hasty_finger_is_not(
    engine: Engine, seat: str, chromium: Browser
) -> None:
    context = chromium.new_context(viewport={"width": 360, "height": 740})
    first, second = (chosen(context.new_page(), seat, place) for place in (0, 2))
    wanted = first.locator(".st-key-choices").get_by_role("button").first.inner_text().split()[0]
    first.get_by_role("button", name="Record").dblclick()
    expect(first.get_by_text("set 2 of 3")).to_be_visible()
    settle(first)
    expect(first.get_by_text("answered already")).to_have_count(0)

    second.get_by_role("button", name="Record").click()
    expect(second.get_by_text(LATE)).to_be_visible()
    expect(second.get_by_text("set 2 of 3")).to_be_visible()
    closed = sessions.close_session(engine, "acid", datetime.now(UTC), "enough for the test")
    assert [given.choice for given in closed.answers] == [wanted]


def test_back_and_forward_come_to_the_set_that_is_next(seat: str, chromium: Browser) -> None:
    page = chosen(chromium.new_context(viewport={"width": 360, "height": 740}).new_page(), seat, 1)
    page.get_by_role("button", name="Record").click()
    expect(page.get_by_text("set 2 of 3")).to_be_visible()
    page.goto("about:blank")
    page.go_back()
    expect(page.get_by_text("set 2 of 3")).to_be_visible()
    page.reload()
    expect(page.get_by_text("set 2 of 3")).to_be_visible()
