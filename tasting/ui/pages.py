"""Every page and its address: the one table that the router and every link read."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class AppPage:
    """A page of the app.

    address: what stands in the URL; title: on its tab and in the menu; script: its file, seen from
    the router; place: the address of the place in the menu that it belongs to
    """

    address: str
    title: str
    script: str
    place: str


def _page(address: str, title: str, script: str, place: str = "") -> AppPage:
    return AppPage(address, title, f"tasting/ui/{script}", place or address)


DASHBOARD = _page("dashboard", "Dashboard", "dashboard/page.py")
DRINKS = _page("drinks", "Drinks", "drinks/drinks_page.py")
DRINK = _page("drink", "Drink", "drinks/drink_page.py", "drinks")
BENCH = _page("bench", "Bench", "drinks/bench/page.py", "drinks")
LABEL = _page("label", "From the label", "drinks/label_page.py", "drinks")
TASTINGS = _page("tastings", "Tastings", "tastings/page.py")
NEW = _page("new", "New tasting", "tastings/planning/page.py", "tastings")
TASTING = _page("tasting", "Tasting", "tastings/one_page.py", "tastings")
HISTORY = _page("history", "History", "history/page.py")
HOST = _page("host", "Data and help", "host/page.py")
SIGN_IN = _page("signin", "Sign in", "sign_in_page.py")

MENU = (DASHBOARD, DRINKS, TASTINGS, HISTORY)
"""The places, in the order of the work; the first one opens where no page is named."""

OF_THE_HOST = (*MENU, DRINK, BENCH, LABEL, NEW, TASTING, HOST)
"""Every page of the host; what does not stand in the menu is reached from what does."""


def place_of(address: str) -> str:
    """The place in the menu to which the page at this address belongs."""
    return next((one.place for one in OF_THE_HOST if one.address == address), DASHBOARD.address)
