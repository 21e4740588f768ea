"""Addresses that have moved, and those that never were."""

import pytest

from tasting.report.links import HOST_PAGES, SIGN_IN
from tasting.ui import pages
from tests.web.browsing import Browser
from tests.web.conftest import STREAMLIT

PAGE = {"accept": "text/html"}


def test_the_pages_are_those_of_the_menu_and_of_what_it_opens() -> None:
    """The server and the router keep one table each, because neither may import the other."""
    first, *others = {one.address: one for one in pages.OF_THE_HOST}
    assert first == pages.DASHBOARD.address
    assert sorted(HOST_PAGES) == sorted(others)


@pytest.mark.parametrize("place", ["", *HOST_PAGES])
def test_a_page_is_streamlits(host: Browser, place: str) -> None:
    assert host.get(f"/{place}?id=x", **PAGE).text == STREAMLIT


@pytest.mark.parametrize(
    ("old", "now"),
    [
        ("/dashboard", "/"),
        ("/plan", "/new"),
        ("/plan/", "/new"),
        ("/run", "/tastings"),
        ("/findings", "/tastings"),
        ("/findings?session=abc", "/tasting?id=abc"),
        ("/formulas", "/drinks"),
        ("/formulas?version=v.1", "/drink?version=v.1"),
        ("/references", "/drinks"),
        ("/plan?x=%2F%2Felsewhere.example", "/new?x=%2F%2Felsewhere.example"),
        ("/findings?session=%2F%2Fa%3Fb%26c", "/tasting?id=%2F%2Fa%3Fb%26c"),
    ],
)
def test_an_old_address_leads_to_its_place(host: Browser, old: str, now: str) -> None:
    said = host.get(old, **PAGE)
    assert (said.status, said.headers["location"]) == (303, now)


@pytest.mark.parametrize("path", ["/nowhere", "/a/b", "/drinks/x", "/Drinks", "/%3Cb"])
def test_an_unknown_address_is_one_sentence_with_a_link(host: Browser, path: str) -> None:
    said = host.get(path, **PAGE)
    assert said.status == 404
    assert "There is no page at this address." in said.text
    assert '<a href="/">' in said.text


@pytest.mark.parametrize("path", ["/nowhere", "/static/x.js", "/favicon.png", "/_stcore/health"])
def test_what_is_no_page_is_left_to_streamlit(host: Browser, path: str) -> None:
    assert host.get(path, accept="*/*").text == STREAMLIT


@pytest.mark.parametrize("path", ["/nowhere", "/plan"])
def test_a_stranger_signs_in_first(browser: Browser, known: str, path: str) -> None:
    said = browser.get(path, **PAGE)
    assert said.headers["location"].startswith(f"{SIGN_IN}?then=")


def test_signing_in_leads_to_the_thing_in_the_address(browser: Browser, known: str) -> None:
    form = browser.get("/tasting?id=abc", **PAGE).headers["location"]
    said = browser.post(form, {"passphrase": known}, origin="http://testserver")
    assert said.headers["location"] == "/tasting?id=abc"
