"""A whole ballot with the keyboard alone: where the focus is after each step, what is read out.

Web Content Accessibility Guidelines 2.2 (W3C, 2023; from memory): 2.1.1 everything works with the
keyboard, 2.4.3 the focus moves in a meaningful order, 1.4.10 no sideways scrolling at 320 px, 2.5.5
targets of at least 44 px, 4.1.3 what changes is told without taking the focus, by role="status".
"""

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta

import pytest
from playwright.sync_api import Browser, Locator, Page, expect
from sqlalchemy import Engine

from tasting.store import ballots, sessions
from tasting.store.database import file_address, open_database
from tests.browser.conftest import running, settle
from tests.serving import free_port
from tests.ui.workshop import keep, planned

pytestmark = pytest.mark.browser

SEAT = "P01"
LEAST_PX = 44
SMALLEST = """all => Math.min(...all.map(button => button.getBoundingClientRect()).flatMap(
    box => [box.width, box.height]))"""
CUT = """all => all.flatMap(button => [...button.querySelectorAll("*")]).filter(one =>
    one.scrollWidth > one.clientWidth + 1 && getComputedStyle(one).overflow == "hidden").length"""
# The smallest side of all buttons, and how many of their texts are cut off.


def link(engine: Engine, server: str, name: str = "acid", **more: object) -> str:
    """The ballot of the only assessor of an open session."""
    session = planned(name, assessors=(SEAT,), **more)
    if sessions.summaries(engine):
        sessions.plan_session(engine, session)
    else:
        keep(engine, session)
    sessions.open_session(engine, name, datetime.now(UTC) - timedelta(hours=1))
    return f"{server}/?seat={ballots.links(engine, name, b'secret')[SEAT]}"


@pytest.fixture(scope="module")
def engine(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Engine]:
    """One database for all of these ballots; each has a session of its own."""
    opened = open_database(file_address(tmp_path_factory.mktemp("ballots") / "log.sqlite3"))
    yield opened
    opened.dispose()


@pytest.fixture(scope="module")
def server(engine: Engine, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """One app for all of them: starting it takes longer than answering."""
    with running(str(engine.url), tmp_path_factory.mktemp("app"), free_port()) as url:
        yield url


@pytest.fixture
def seated(chromium: Browser) -> Callable[[str], Page]:
    """Opens a ballot in the narrowest window, where nothing is ever clicked."""

    def opened(url: str) -> Page:
        page = chromium.new_context(viewport={"width": 320, "height": 640}).new_page()
        page.goto(url)
        settle(page)
        return page

    return opened


def tab_to(page: Page, wanted: Locator) -> None:
    """Press Tab until it has the focus; far fewer presses than a page of Tabs."""
    wanted.wait_for()
    for _ in range(8):
        page.keyboard.press("Tab")
        if wanted.evaluate("element => element === document.activeElement"):
            return
    raise AssertionError(f"Tab does not lead to {wanted}")


def consent(page: Page) -> None:
    expect(page.get_by_test_id("stException")).to_have_count(0)
    # The page's style is drawn by a part of Streamlit that is loaded when it is first needed.
    page.wait_for_function(
        f"({SMALLEST})([...document.querySelectorAll('label:has([type=checkbox])')]) >= {LEAST_PX}"
    )
    tab_to(page, page.get_by_role("checkbox"))
    page.keyboard.press("Space")
    settle(page)
    tab_to(page, page.get_by_role("button", name="Start tasting"))
    page.keyboard.press("Enter")


def arrived(page: Page, heading: str, told: str = "") -> None:
    """The heading of the new screen has the focus, is in view, and says where one is."""
    found = page.get_by_role("heading", name=heading)
    expect(found).to_be_focused()
    expect(found).to_be_in_viewport()
    expect(found).to_have_attribute("aria-description", told)


def answer(page: Page, place: int, key: str) -> None:
    """Choose the cup at this place, see that the focus stays on it, and record."""
    settle(page)
    cup = page.locator(".st-key-choices").get_by_role("button").nth(place)
    tab_to(page, cup)
    code = cup.inner_text()
    page.keyboard.press(key)
    expect(cup).to_have_accessible_name(f"{code} ✓ chosen")
    expect(page.get_by_role("status")).to_contain_text(f"You chose {code}")
    settle(page)
    expect(cup).to_be_focused()
    tab_to(page, page.get_by_role("button", name="Record this and go on"))
    page.keyboard.press(key)


def test_a_ballot_is_answered_with_the_keyboard_alone(
    engine: Engine, server: str, seated: Callable[[str], Page]
) -> None:
    page = seated(link(engine, server, replicates=3))
    consent(page)
    for number, key in enumerate(("Space", "Enter", "Space"), start=1):
        arrived(page, "Which one is the odd one out?", f"set {number} of 3")
        answer(page, number - 1, key)
    arrived(page, "Thank you")
    assert sessions.summary(engine, "acid").answered == 3


def test_a_changed_mind_moves_the_mark_and_the_focus_stays(
    engine: Engine, server: str, seated: Callable[[str], Page]
) -> None:
    page = seated(link(engine, server, "mind"))
    consent(page)
    cups = page.locator(".st-key-choices").get_by_role("button")
    expect(page.get_by_role("status")).to_contain_text("You have to choose")
    for place in (0, 1, 2):
        tab_to(page, cups.nth(place))
        page.keyboard.press("Space")
        expect(cups.nth(place)).to_contain_text("✓ chosen")
        settle(page)
        expect(cups.nth(place)).to_be_focused()
    expect(cups.filter(has_text="✓ chosen")).to_have_count(1)


def test_the_rest_and_the_set_after_it_are_announced(
    engine: Engine, server: str, seated: Callable[[str], Page]
) -> None:
    page = seated(link(engine, server, "rest", replicates=2, pause_seconds=4))
    consent(page)
    answer(page, 0, "Space")
    arrived(page, "Rest your palate")
    arrived(page, "Which one is the odd one out?", "set 2 of 2")


def test_targets_are_large_and_whole_at_320_px(
    engine: Engine, server: str, seated: Callable[[str], Page]
) -> None:
    for method in ("triangle", "tetrad", "a-not-a", "preference"):
        more = {"no_preference": method == "preference"}
        page = seated(link(engine, server, method, method=method, **more))
        consent(page)
        buttons = page.locator(":is(.st-key-choices, .st-key-words) button")
        buttons.first.wait_for()
        settle(page)
        assert buttons.evaluate_all(SMALLEST) >= LEAST_PX
        assert not buttons.evaluate_all(CUT)
        assert page.evaluate("document.documentElement.scrollWidth") <= 320
