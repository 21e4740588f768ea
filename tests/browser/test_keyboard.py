"""A whole ballot with the keyboard alone: where the focus is after each step, what is read out.

Web Content Accessibility Guidelines 2.2 (W3C, 2023; from memory): 2.1.1 everything works with the
keyboard, 2.4.3 the focus moves in a meaningful order, 1.4.10 no sideways scrolling at 320 px, 2.5.5
targets of at least 44 px, 4.1.3 what changes is told without taking the focus, by role="status".
"""

from collections.abc import Callable

import pytest
from playwright.sync_api import Browser, Locator, Page, expect
from sqlalchemy import Engine

from tasting.store import sessions
from tests.browser.conftest import open_links
from tests.ui.workshop import planned

pytestmark = pytest.mark.browser

SEAT = "P01"
LEAST_PX, CODE_PX = 44, 80
SMALLEST = """all => Math.min(...all.map(button => button.getBoundingClientRect()).flatMap(
    box => [box.width, box.height]))"""
CUT = """all => all.filter(one => one.scrollWidth > one.clientWidth + 1).length"""
# The smallest side of all of them, and how many of their texts are cut off.
CONTRAST = """() => {
    const light = (colour) => {
        const [red, green, blue] = colour.match(/[0-9.]+/g).map(Number).map(part => part / 255)
            .map(part => part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4);
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
    };
    const ground = (one) => {
        const colour = getComputedStyle(one).backgroundColor;
        return /, 0\\)$/.test(colour) ? ground(one.parentElement) : colour;
    };
    const texts = [...document.querySelectorAll("main *")].filter(one => one.offsetParent
        && [...one.childNodes].some(node => node.nodeType === 3 && node.data.trim()));
    return Math.min(...texts.map(one => {
        const pair = [getComputedStyle(one).color, ground(one)].map(light).sort((a, b) => b - a);
        return (pair[0] + 0.05) / (pair[1] + 0.05);
    }));
}"""
# The least contrast of a text that is shown: WCAG 2.2, 1.4.3, with its relative luminance.


def link(ballot_db: Engine, server: str, name: str = "acid", **more: object) -> str:
    """The ballot of the only assessor of an open session."""
    (only,) = open_links(ballot_db, server, planned(name, assessors=(SEAT,), **more))
    return only


@pytest.fixture(scope="module")
def server(one_server: str) -> str:
    """One app for all of these ballots."""
    return one_server


@pytest.fixture
def seated(chromium: Browser) -> Callable[..., Page]:
    """Opens a ballot in the narrowest window, where nothing is ever clicked."""

    def opened(url: str, **more: object) -> Page:
        size = {"width": 320, "height": 640}
        page = chromium.new_context(**{"viewport": size, **more}).new_page()
        page.goto(url)
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
    box = page.get_by_role("checkbox")
    label = page.locator("label", has=box)
    assert label.evaluate("one => one.getBoundingClientRect().height") >= LEAST_PX
    tab_to(page, box)
    page.keyboard.press("Space")
    tab_to(page, page.get_by_role("button", name="Start tasting"))
    page.keyboard.press("Enter")


def arrived(page: Page, heading: str, told: str = "") -> None:
    """The heading of the new screen has the focus, is in view, and says where one is."""
    found = page.get_by_role("heading", name=heading)
    expect(found).to_be_focused()
    expect(found).to_be_in_viewport()
    expect(found).to_have_accessible_description(told)


def choose(page: Page, place: int) -> str:
    """Go to the cups, and with the arrows to the one at this place; the focus stays on it."""
    cups = page.get_by_role("group", name="Your cups").get_by_role("radio")
    tab_to(page, cups.first)
    page.keyboard.press("Space")
    for _ in range(place):
        page.keyboard.press("ArrowRight")
    expect(cups.nth(place)).to_be_checked()
    expect(cups.nth(place)).to_be_focused()
    code = str(cups.nth(place).get_attribute("value"))
    expect(cups.nth(place)).to_have_accessible_name(f"{code} ✓ chosen")
    expect(page.get_by_role("status").last).to_contain_text(f"You chose {code}")
    return code


def answer(page: Page, place: int, key: str) -> None:
    """Choose the cup at this place, and record."""
    choose(page, place)
    tab_to(page, page.get_by_role("button", name="Record this and go on"))
    page.keyboard.press(key)


def test_a_ballot_is_answered_with_the_keyboard_alone(
    ballot_db: Engine, server: str, seated: Callable[..., Page]
) -> None:
    page = seated(link(ballot_db, server, replicates=3))
    consent(page)
    for number, key in enumerate(("Space", "Enter", "Space"), start=1):
        arrived(page, "Which one is the odd one out?", f"{SEAT} · set {number} of 3")
        answer(page, number - 1, key)
    arrived(page, "Thank you")
    assert sessions.summary(ballot_db, "acid").answered == 3


def test_a_changed_mind_moves_the_mark(
    ballot_db: Engine, server: str, seated: Callable[..., Page]
) -> None:
    page = seated(link(ballot_db, server, "mind"))
    consent(page)
    expect(page.get_by_role("status").last).to_contain_text("You have to choose")
    choose(page, 0)
    for place in (1, 2):
        page.keyboard.press("ArrowRight")
        expect(page.get_by_role("radio").nth(place)).to_be_focused()
    expect(page.get_by_text("✓ chosen").locator("visible=true")).to_have_count(1)


def test_the_rest_and_the_set_after_it_are_announced(
    ballot_db: Engine, server: str, seated: Callable[..., Page]
) -> None:
    page = seated(link(ballot_db, server, "rest", replicates=2, pause_seconds=3))
    consent(page)
    answer(page, 0, "Space")
    arrived(page, "Rest your palate")
    expect(page.get_by_role("timer")).to_have_text("1 s")
    arrived(page, "Which one is the odd one out?", f"{SEAT} · set 2 of 2")


def test_without_a_script_the_rest_ends_by_itself_too(
    ballot_db: Engine, server: str, seated: Callable[..., Page]
) -> None:
    address = link(ballot_db, server, "still", replicates=2, pause_seconds=3)
    page = seated(address, java_script_enabled=False)
    page.get_by_role("checkbox").check()
    page.get_by_role("button", name="Start tasting").click()
    page.locator(".choice").first.click()
    page.get_by_role("button", name="Record").click()
    expect(page.get_by_role("heading", name="Rest your palate")).to_be_visible()
    expect(page.get_by_text("set 2 of 2")).to_be_visible()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_targets_are_large_and_whole_and_texts_stand_out_at_320_px(
    ballot_db: Engine, server: str, seated: Callable[..., Page], scheme: str
) -> None:
    for method in ("triangle", "tetrad", "a-not-a", "preference"):
        more = {"no_preference": method == "preference"}
        address = link(ballot_db, server, f"{method}-{scheme}", method=method, **more)
        page = seated(address, color_scheme=scheme)
        assert page.evaluate(CONTRAST) >= 4.5
        consent(page)
        faces = page.locator("fieldset:not(.sure) .face")
        faces.first.wait_for()
        for size in ({"width": 320, "height": 640}, {"width": 640, "height": 320}):
            page.set_viewport_size(size)
            assert faces.evaluate_all(SMALLEST) >= LEAST_PX
            assert not faces.evaluate_all(CUT)
            assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
        if method == "triangle":
            assert faces.evaluate_all(SMALLEST) >= CODE_PX
        tab_to(page, page.get_by_role("radio").first)
        page.keyboard.press("Space")
        page.get_by_role("button", name="Record").wait_for()
        assert page.evaluate(CONTRAST) >= 4.5
        assert not faces.evaluate_all(CUT)
