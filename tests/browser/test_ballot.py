"""The ballot in a real browser: six phones, with a script and without, and a network that fails."""

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, Page, Route, expect
from sqlalchemy import Engine

from tasting.store import ballots
from tests.browser.conftest import open_links
from tests.ui.workshop import planned

pytestmark = pytest.mark.browser

SETS = 2
LATE = "Set 1 was already answered, on another screen or on paper; the first answer counts."
PANEL = tuple(f"P{number:02d}" for number in range(1, 7))
Opened = Callable[..., Page]


@pytest.fixture(scope="module")
def server(one_server: str) -> str:
    """One app for all of these ballots."""
    return one_server


@pytest.fixture
def links(ballot_db: Engine, server: str, request: pytest.FixtureRequest) -> list[str]:
    """The links of six assessors of an open session."""
    return seats(ballot_db, server, request, assessors=PANEL)


def seats(
    ballot_db: Engine, server: str, request: pytest.FixtureRequest, **more: object
) -> list[str]:
    """The links of an open session that is planned like this."""
    name = f"s{abs(hash(request.node.nodeid))}"
    session = planned(name, **{"replicates": SETS, "pause_seconds": 0, **more})
    return open_links(ballot_db, server, session)


@pytest.fixture
def opened(chromium: Browser) -> Iterator[Opened]:
    """Opens a link on a phone of its own, with a script or without."""
    contexts = []

    def made(url: str, scripted: bool = True) -> Page:
        context = chromium.new_context(
            viewport={"width": 360, "height": 740},
            has_touch=True,
            is_mobile=True,
            java_script_enabled=scripted,
        )
        contexts.append(context)
        page = context.new_page()
        page.goto(url)
        return page

    yield made
    for context in contexts:
        context.close()


def consent(page: Page) -> Page:
    page.get_by_role("checkbox").check()
    page.get_by_role("button", name="Start tasting").click()
    expect(page.get_by_text(f"set 1 of {SETS}")).to_be_visible()
    return page


def choose(page: Page, place: int) -> str:
    cup = page.locator(".row .choice").nth(place)
    cup.click()
    expect(cup.get_by_text("✓ chosen")).to_be_visible()
    return cup.inner_text().split()[0]


def record(page: Page) -> None:
    page.get_by_role("button", name="Record this and go on").click()


def answers(ballot_db: Engine, url: str) -> list[str]:
    """What one seat has answered."""
    token = url.partition("seat=")[2]
    given = (ballots.answer_given(ballot_db, token, turn) for turn in range(1, SETS + 1))
    return [one.choice for one in given if one]


@pytest.mark.parametrize("scripted", [True, False])
def test_six_phones_answer_everything(
    ballot_db: Engine, links: list[str], opened: Opened, scripted: bool
) -> None:
    phones = [consent(opened(link, scripted)) for link in links]
    chosen: list[list[str]] = [[] for _ in phones]
    for number in range(1, SETS + 1):
        for place, page in enumerate(phones):
            expect(page.get_by_text(f"{PANEL[place]} · set {number} of {SETS}")).to_be_visible()
            assert "seat=" not in page.url
            choose(page, (place + 1) % 3)
            chosen[place].append(choose(page, place % 3))
            record(page)
    for page, link, given in zip(phones, links, chosen, strict=True):
        expect(page.get_by_role("heading", name="Thank you")).to_be_visible()
        assert answers(ballot_db, link) == given
        assert page.evaluate("document.documentElement.scrollWidth") <= 360 if scripted else True


def test_with_a_script_it_says_what_is_chosen_and_loads_no_page_twice(
    links: list[str], opened: Opened
) -> None:
    page = consent(opened(links[0]))
    said = page.get_by_role("status").last
    expect(said).to_have_text("Tap your choice. You have to choose; a guess counts.")
    expect(page.get_by_role("button", name="Record")).to_be_hidden()
    asked: list[str] = []
    page.on("request", lambda one: asked.append(one.method))
    code = choose(page, 1)
    expect(said).to_have_text(f"You chose {code}. You may still change that.")
    record(page)
    expect(page.get_by_text(f"set 2 of {SETS}")).to_be_visible()
    assert asked == ["POST"]


@pytest.mark.parametrize("kept_before", [True, False])
def test_an_answer_waits_for_the_network_and_counts_once(
    ballot_db: Engine, links: list[str], opened: Opened, kept_before: bool
) -> None:
    """The network fails before the answer is kept, or after that and before its receipt is in."""
    page = consent(opened(links[0]))
    code, tries = choose(page, 2), []

    def cut(route: Route) -> None:
        tries.append(route.request.post_data)
        if kept_before and len(tries) == 1:
            route.fetch()
        route.abort()

    page.route("**/ballot/answer", cut)
    record(page)
    expect(page.locator("#net")).to_contain_text("Not sent yet")
    expect(page.get_by_text(f"set 1 of {SETS}")).to_be_visible()
    page.wait_for_timeout(1500)
    page.unroute("**/ballot/answer")
    expect(page.get_by_text(f"set 2 of {SETS}")).to_be_visible()
    expect(page.locator("#net")).to_be_hidden()
    expect(page.get_by_role("alert")).to_have_count(0)
    assert len(set(tries)) == 1, "the same form each time"
    assert answers(ballot_db, links[0]) == [code]


def test_consent_and_a_reload_survive_a_dead_network_too(links: list[str], opened: Opened) -> None:
    page = opened(links[0])
    page.get_by_role("checkbox").check()
    page.context.set_offline(True)
    page.get_by_role("button", name="Start tasting").click()
    expect(page.locator("#net")).to_contain_text("keeps trying")
    page.context.set_offline(False)
    expect(page.get_by_text(f"set 1 of {SETS}")).to_be_visible()
    page.context.set_offline(True)
    with pytest.raises(Exception, match="ERR_INTERNET_DISCONNECTED"):
        page.reload()
    page.context.set_offline(False)
    page.reload()
    expect(page.get_by_text(f"set 1 of {SETS}")).to_be_visible()


def test_without_a_script_a_lost_receipt_is_mended_by_a_reload(
    ballot_db: Engine, links: list[str], opened: Opened
) -> None:
    page = consent(opened(links[0], scripted=False))
    code = choose(page, 0)

    def lose(route: Route) -> None:
        route.fetch()
        route.abort()

    page.route("**/ballot/answer", lose, times=1)
    record(page)
    page.wait_for_timeout(500)
    page.goto(f"{links[0].partition('/?')[0]}/ballot")
    expect(page.get_by_text(f"set 2 of {SETS}")).to_be_visible()
    assert answers(ballot_db, links[0]) == [code]


@pytest.mark.parametrize("scripted", [True, False])
def test_the_second_screen_is_told_and_the_hasty_finger_is_not(
    ballot_db: Engine, links: list[str], opened: Opened, scripted: bool
) -> None:
    first = consent(opened(links[0], scripted))
    second = first.context.new_page()
    second.goto(first.url)
    wanted = choose(first, 0)
    choose(second, 2)
    first.get_by_role("button", name="Record").dblclick()
    expect(first.get_by_text(f"set 2 of {SETS}")).to_be_visible()
    expect(first.get_by_role("alert")).to_have_count(0)

    record(second)
    expect(second.get_by_role("alert")).to_have_text(LATE)
    expect(second.get_by_text(f"set 2 of {SETS}")).to_be_visible()
    assert answers(ballot_db, links[0]) == [wanted]


@pytest.mark.parametrize("scripted", [True, False])
def test_a_phone_passed_round_shows_the_seat_scanned_last_and_no_other(
    ballot_db: Engine, links: list[str], opened: Opened, scripted: bool
) -> None:
    page = consent(opened(links[0], scripted))
    choose(page, 0)
    record(page)
    expect(page.get_by_text(f"P01 · set 2 of {SETS}")).to_be_visible()
    page.goto(links[1])
    expect(page.get_by_text("You are P02.")).to_be_visible()
    consent(page)
    for _ in range(2):
        page.go_back()
        page.wait_for_timeout(300)
        assert "P01" not in page.inner_text("body")
    page.goto(f"{links[0].partition('/?')[0]}/ballot")
    expect(page.get_by_text(f"P02 · set 1 of {SETS}")).to_be_visible()
    assert [len(answers(ballot_db, link)) for link in links[:2]] == [1, 0]


@pytest.mark.parametrize("scripted", [True, False])
def test_back_and_forward_come_to_the_set_that_is_next(
    links: list[str], opened: Opened, scripted: bool
) -> None:
    page = consent(opened(links[0], scripted))
    choose(page, 1)
    record(page)
    expect(page.get_by_text(f"set 2 of {SETS}")).to_be_visible()
    page.goto("about:blank")
    page.go_back()
    expect(page.get_by_text(f"set 2 of {SETS}")).to_be_visible()
    page.reload()
    expect(page.get_by_text(f"set 2 of {SETS}")).to_be_visible()


def test_nothing_is_said_on_the_console(links: list[str], opened: Opened) -> None:
    """Neither a fault of the script nor something that the page's own policy refused."""
    page, said = opened("about:blank"), []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(links[0])
    consent(page)
    choose(page, 1)
    record(page)
    expect(page.get_by_text(f"set 2 of {SETS}")).to_be_visible()
    page.get_by_text("I want to stop").click()
    page.get_by_role("button", name="Stop this tasting").click()
    expect(page.get_by_text("You stopped this tasting")).to_be_visible()
    assert said == []


def test_a_place_chosen_alone_waits_for_the_network(
    ballot_db: Engine, server: str, opened: Opened, request: pytest.FixtureRequest
) -> None:
    page = consent(opened(seats(ballot_db, server, request, assessors=("P01",), alone=True)[0]))
    page.context.set_offline(True)
    page.get_by_role("button", name="Cup 2").click()
    expect(page.locator("#net")).to_be_visible()
    page.context.set_offline(False)

    expect(page.get_by_text("You chose cup 2.")).to_be_visible()


def test_a_rest_ends_over_a_dead_network(
    ballot_db: Engine, server: str, opened: Opened, request: pytest.FixtureRequest
) -> None:
    page = consent(
        opened(seats(ballot_db, server, request, assessors=("P01",), pause_seconds=3)[0])
    )
    page.locator(".choice").first.click()
    page.get_by_role("button", name="Record this and go on").click()
    expect(page.get_by_role("heading", name="Rest your palate")).to_be_visible()
    page.context.set_offline(True)
    expect(page.locator("#net")).to_be_visible()
    page.context.set_offline(False)

    expect(page.get_by_text(f"set 2 of {SETS}")).to_be_visible()


def test_stopping_waits_for_the_network(links: list[str], opened: Opened) -> None:
    page = consent(opened(links[0]))
    page.get_by_text("I want to stop").click()
    page.context.set_offline(True)
    page.get_by_role("button", name="Stop this tasting").click()
    expect(page.locator("#net")).to_be_visible()
    page.context.set_offline(False)

    expect(page.get_by_text("You stopped this tasting")).to_be_visible()
