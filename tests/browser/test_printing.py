"""Printed pages in Chromium: within the paper on A4 and Letter, within a phone, black on white."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tasting.insight.findings.finding import finding
from tasting.panel.ballots import Slip
from tasting.panel.session import Session
from tasting.report.cup_labels import cup_labels_html
from tasting.report.paper_ballots import paper_ballots_html
from tasting.report.pour_sheet import pour_sheet, pour_sheet_html
from tasting.report.seat_cards import seat_cards_html
from tasting.report.session_batches import session_batches, session_batches_html
from tasting.report.session_report import session_report_html
from tests.ui.workshop import MEASURED, SPRITZ, closed, opened, planned

pytestmark = pytest.mark.browser

MARGINS_MM = 28
PAPERS_MM = {"A4": (210, 297), "Letter": (215.9, 279.4)}
PIXELS_PER_MM = 96 / 25.4
LONG = "Pseudonym-without-a-single-space-in-it-" + "x" * 60
WIDTHS = [*(int((width - MARGINS_MM) * PIXELS_PER_MM) for width, _ in PAPERS_MM.values()), 320]


def session(method: str = "duo-trio") -> Session:
    """An open session with one very long pseudonym."""
    who = (LONG, *(f"P{seat:02d}" for seat in range(2, 61)))
    plan = {"assessors": who, "replicates": 2, "serving_celsius": 6, "minutes_open": 20}
    return opened(planned("evening", method, **plan))


def pages() -> dict[str, str]:
    """Every printed page, by its name."""
    one = session()
    slips = [
        Slip(served.assessor, served.replicate, served.codes, served.codes, reference=True)
        for served in one.sets
    ]
    done = closed(planned("done", "paired", "R", "spritz-2"), 10, 2)
    links = {who: f"https://tasting.example/?seat={'x' * 32}" for who in one.plan.assessors}
    return {
        "sheet": pour_sheet_html(pour_sheet(one)),
        "labels": cup_labels_html(one.name, slips),
        "ballots": paper_ballots_html(one.sealed, one.plan, slips),
        "cards": seat_cards_html(one.name, links),
        "batches": session_batches_html(
            "Evening", "", one.plan, session_batches(one.plan, (SPRITZ.versions[0], MEASURED))
        ),
        "report": session_report_html(done, finding(done), MEASURED, SPRITZ.versions[1]),
    }


@pytest.fixture
def sheet(chromium: Browser) -> Page:
    """An empty page, as it is printed."""
    page = chromium.new_context().new_page()
    page.emulate_media(media="print")
    return page


@pytest.mark.parametrize("name", ["sheet", "labels", "ballots", "cards", "batches", "report"])
def test_nothing_runs_over_the_edge(sheet: Page, name: str) -> None:
    sheet.set_content(pages()[name])
    for width in WIDTHS:
        sheet.set_viewport_size({"width": width, "height": 900})
        assert sheet.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("name", ["sheet", "labels", "ballots", "cards", "report"])
def test_only_black_and_white_is_used(sheet: Page, name: str) -> None:
    sheet.set_content(pages()[name])
    colours = sheet.evaluate(
        "[...new Set([...document.body.querySelectorAll('*')].map(x => getComputedStyle(x).color))]"
    )
    assert colours == ["rgb(0, 0, 0)"]


@pytest.mark.parametrize("paper", PAPERS_MM)
def test_a_large_panel_is_printed_as_pdf(sheet: Page, tmp_path: Path, paper: str) -> None:
    sheet.set_content(pages()["labels"])
    file = tmp_path / "labels.pdf"
    sheet.pdf(path=file, format=paper)
    assert file.read_bytes().startswith(b"%PDF-")
    assert file.read_bytes().count(b"/Type /Page\n") >= 360 / 40


def test_codes_on_labels_can_be_read_from_afar(sheet: Page) -> None:
    sheet.set_content(pages()["labels"])
    size = sheet.locator(".label b").nth(1).evaluate("x => getComputedStyle(x).fontSize")
    assert float(size.removesuffix("px")) > 30
