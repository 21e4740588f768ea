"""What a page is like in Chromium: rules of accessibility, its lay-out at every size, its height.

Web Content Accessibility Guidelines 2.2 (W3C, 2023; numbers from memory): 1.4.3 contrast, 1.4.10 no
sideways scrolling at 320 px, 1.4.4 text at 200 %, 2.3.3 no motion for who asked for none, 2.4.2
titles, 2.4.6 headings, 2.4.7 a visible focus, 2.5.5 targets of at least 44 px. The rules are those
of axe-core, all that it has by default: none is switched off.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page

from tests.sources import ROOT

SCRIPT = (ROOT / "tests" / "browser" / "inspect.js").read_text("utf-8")
DESKTOP = (1280, 900)
PHONE = (360, 740)
NARROWEST = (320, 640)
SIZES = {"200 %": (640, 450), "320 px": NARROWEST, "landscape": (740, 360)}
"""1,280 px at 200 % have 640 px of CSS."""

IS_DARK = "matchMedia('(prefers-color-scheme: dark)').matches"
EVERY_RULE: dict[str, object] = {}
COLOURS = {"runOnly": ["color-contrast", "link-in-text-block"]}
"""The rules whose outcome the colours decide; all others read what light and dark have in common."""


@dataclass(frozen=True, slots=True)
class Measure:
    """height and figure in px from the top of the page; figure: the first text with a number."""

    height: int
    words: int
    figure: int | None


def resize(page: Page, size: tuple[int, int]) -> None:
    page.set_viewport_size({"width": size[0], "height": size[1]})
    rest(page, quiet_ms=100)


def rest(page: Page, scheme: str = "", quiet_ms: int = 250) -> None:
    """Wait until the page stays as it is; `scheme`: in the colours of light or dark."""
    _prepare(page)
    page.wait_for_function("asked => seen.rests(...asked)", arg=[scheme, quiet_ms], timeout=30_000)


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


def complaints(page: Page, paper: bool = False) -> list[str]:
    """All that is wrong with what the page shows now, in light and dark and at every size.

    paper: whether it is made to be printed, which is black on white in any scheme
    """
    found = {"axe": violations(page), "frame": page.evaluate("seen.frame()")}
    found["moves"] = page.evaluate("seen.moves()")
    found |= {name: _at(page, size) for name, size in SIZES.items()}
    resize(page, DESKTOP)
    if not paper:
        scheme = "light" if page.evaluate(IS_DARK) else "dark"
        page.emulate_media(color_scheme=scheme)
        rest(page, scheme)
        found[scheme] = violations(page, COLOURS)
    return [f"{kind}: {one}" for kind, said in found.items() for one in said]


def _at(page: Page, size: tuple[int, int]) -> list[str]:
    """What is wrong at this size; at the narrowest, targets and the focus are looked at, too."""
    resize(page, size)
    said = list(page.evaluate("seen.layout()"))
    return said + page.evaluate("[...seen.small(), ...seen.unfocused()]") if size == NARROWEST else said


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


def told(name: str, found: Sequence[str]) -> str:
    """Everything at once, for whoever has to mend it."""
    return "\n".join([name, *found])
