"""What a page is like in Chromium: rules of accessibility, its lay-out at every size, its height.

Web Content Accessibility Guidelines 2.2 (W3C, 2023; numbers from memory): 1.4.3 contrast, 1.4.10 no
sideways scrolling at 320 px, 1.4.4 text at 200 %, 2.3.3 no motion for who asked for none, 2.4.2
titles, 2.4.6 headings, 2.4.7 a visible focus, 2.5.5 targets of at least 44 px. The rules are those
of axe-core, all that it has by default: none is switched off.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page, expect

from tests.browser.places import Place
from tests.sources import ROOT

SCRIPT = (ROOT / "tests" / "browser" / "inspect.js").read_text("utf-8")
DESKTOP = (1280, 900)
PHONE = (360, 740)
PATIENCE = 4
MOST_PX, MOST_PX_ON_A_PHONE = 1_800, 2_000
NARROWEST = (320, 640)
SIZES = {"200 %": (640, 450), "320 px": NARROWEST, "landscape": (740, 360)}
"""1,280 px at 200 % have 640 px of CSS."""

IS_DARK = "matchMedia('(prefers-color-scheme: dark)').matches"
TWO_FRAMES = "new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))"
EVERY_RULE: dict[str, object] = {}
COLOURS = {"runOnly": ["color-contrast", "link-in-text-block"]}
"""The rules whose outcome colours decide; all others read what light and dark have in common."""


@dataclass(frozen=True, slots=True)
class Measure:
    """height and figure in px from the top of the page; figure: the first text with a number."""

    height: int
    words: int
    figure: int | None


def resize(page: Page, size: tuple[int, int]) -> None:
    """Another window, laid out anew; a chart follows when it can."""
    page.set_viewport_size({"width": size[0], "height": size[1]})
    _prepare(page)
    page.evaluate(TWO_FRAMES)


def rest(page: Page, scheme: str = "") -> None:
    """Wait until the page stays as it is; `scheme`: in the colours of light or dark."""
    _prepare(page)
    page.wait_for_function("scheme => seen.rests(scheme)", arg=scheme, timeout=30_000)


def _prepare(page: Page) -> None:
    """What looks at the page, once in each document."""
    if not page.evaluate("!!window.seen"):
        page.evaluate(f"window.seen = {SCRIPT}; 0")


def violations(page: Page, rules: dict[str, object] = EVERY_RULE) -> list[str]:
    """What axe finds wrong."""
    if not page.evaluate("!!window.axe"):
        page.evaluate(f"{AXE_SCRIPT}; 0")
    return list(page.evaluate("rules => seen.audit(rules)", rules))


def measure(page: Page) -> Measure:
    return Measure(**page.evaluate("seen.size()"))


def complaints(page: Page, in_part: bool = False) -> list[str]:
    """All that is wrong with what the page shows now, in light and dark and at every size.

    in_part: look at it as it is coloured now and at the narrowest only; what it takes to colour
    all anew would make this walk too long for every change. `heights.py` looks at all in both.
    """
    found = {"axe": _lasting(page, lambda: violations(page))}
    found["frame"] = page.evaluate("[...seen.frame(), ...seen.moves()]")
    found |= {name: _at(page, SIZES[name]) for name in (SIZES if not in_part else ["320 px"])}
    resize(page, DESKTOP)
    if not in_part:
        scheme = "light" if page.evaluate(IS_DARK) else "dark"
        page.emulate_media(color_scheme=scheme)
        rest(page, scheme)
        found[scheme] = _lasting(page, lambda: violations(page, COLOURS))
    return [f"{kind}: {one}" for kind, said in found.items() for one in said]


def _at(page: Page, size: tuple[int, int]) -> list[str]:
    """What is wrong at this size; at the narrowest, targets and the focus are looked at, too."""
    resize(page, size)
    said = _lasting(page, lambda: page.evaluate("seen.layout()"))
    if size == NARROWEST:
        said += page.evaluate("[...seen.small(), ...seen.unfocused()]")
    return said


def _lasting(page: Page, look: Callable[[], list[str]]) -> list[str]:
    """What is wrong, and still is a while later: a chart follows a new width when it can."""
    found = look()
    for _ in range(PATIENCE):
        if not found:
            break
        page.wait_for_timeout(500)
        rest(page)
        found = look()
    return found


def press(page: Page, name: str) -> None:
    """Press what is called so on the page: a section, a tab, a button that opens something."""
    named = page.get_by_test_id("stMain").get_by_text(name, exact=True)
    named.locator("visible=true").first.click()
    page.mouse.move(0, 0)
    page.wait_for_timeout(100)
    rest(page)


def unfold(page: Page) -> bool:
    """Open everything that is folded; says whether anything was."""
    folds = page.locator("main details:not([open]) > summary:visible")
    folded = folds.count()
    for _ in range(folded):
        folds.first.click()
    if folded:
        rest(page)
    return bool(folded)


def states(page: Page, url: str, place: Place, known: Mapping[str, str]) -> Iterator[str]:
    """Goes to a page and says each state of it: as it opens (""), unfolded, and part by part."""
    page.goto(f"{url}/{place.address.format(**known)}")
    rest(page)
    yield ""
    if unfold(page):
        yield "unfolded"
    for part in place.parts:
        press(page, part)
        unfold(page)
        yield part
        page.keyboard.press("Escape")


def ballot_states(page: Page, url: str) -> Iterator[str]:
    """Answers a ballot of one set, and says each of its screens."""
    page.goto(url)
    yield "begin"
    page.get_by_role("checkbox").check()
    page.get_by_role("button", name="Start tasting").click()
    page.locator("form.set").wait_for()
    yield "set"
    page.locator(".choice").first.click()
    yield "chosen"
    page.get_by_role("button", name="Record this and go on").click()
    expect(page.get_by_role("heading", name="Thank you")).to_be_visible()
    yield "thank you"


def too_long(page: Page) -> list[str]:
    """Where a page is longer than it may be before anything is opened on it."""

    def found() -> list[str]:
        most = {DESKTOP: MOST_PX, PHONE: MOST_PX_ON_A_PHONE}
        return [said for size in most for said in _over(page, size, most[size])]

    return _lasting(page, found)


def _over(page: Page, size: tuple[int, int], most: int) -> Iterator[str]:
    resize(page, size)
    height = measure(page).height
    if height > most:
        yield f"{height} px high at {size[0]} px"


def told(name: str, found: Sequence[str]) -> str:
    """Everything at once, for whoever has to mend it."""
    return "\n".join([name, *found])
