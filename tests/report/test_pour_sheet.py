"""The pour sheet: every cup once, under the right sample, and harmless as HTML."""

from collections import Counter

from tasting.report.pour_sheet import MARGIN, pour_sheet, pour_sheet_html
from tests.ui import workshop


def test_every_cup_is_filled_once_with_the_sample_of_its_code() -> None:
    session = workshop.opened(workshop.planned("one", replicates=2))
    for fill in pour_sheet(session).fills:
        listed = Counter((who, code) for who, codes in fill.codes for code in codes)
        meant = Counter(
            (served.assessor, code)
            for served in session.sets
            for code, letter in zip(served.codes, served.order, strict=True)
            if letter == fill.letter
        )
        assert listed == meant


def test_it_has_as_much_ready_as_the_cups_take_and_a_margin() -> None:
    sheet = pour_sheet(workshop.opened(workshop.planned("one", serving_ml=25)))
    cups = [fill.cups for fill in sheet.fills]
    assert sum(cups) == 12 * 3
    assert [fill.volume_ml for fill in sheet.fills] == [n * 25 * (1 + MARGIN) for n in cups]


def test_trays_stand_set_by_set_in_the_order_of_the_seats() -> None:
    sheet = pour_sheet(workshop.opened(workshop.planned("one", replicates=2)))
    places = [(tray.replicate, workshop.ASSESSORS.index(tray.assessor)) for tray in sheet.trays]
    assert places == sorted(places)


def test_the_page_to_print_shows_all_codes_and_no_foreign_markup() -> None:
    hostile = workshop.planned("one").model_copy(update={"name": "<script>alert(1)</script>"})
    session = workshop.opened(hostile)
    page = pour_sheet_html(pour_sheet(session))
    assert "<script>" not in page
    assert all(page.count(code) >= 2 for served in session.sets for code in served.codes)
