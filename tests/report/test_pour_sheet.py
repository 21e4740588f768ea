"""The pour sheet: every cup once, under the right sample, and harmless as HTML."""

from collections import Counter

import pytest

from tasting.drink.batch import Kit
from tasting.drink.formula import Part
from tasting.report.pour_sheet import MARGIN, pour_sheet, pour_sheet_html
from tests.ui import workshop


def test_every_cup_is_filled_once_with_the_sample_of_its_code() -> None:
    session = workshop.opened(workshop.planned("one", replicates=2))
    for fill in pour_sheet(session).fills:
        listed = Counter((row.assessor, code) for row in fill.rows for code in row.codes)
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


def test_trays_stand_assessor_by_assessor_in_the_order_of_the_sets() -> None:
    sheet = pour_sheet(workshop.opened(workshop.planned("one", replicates=2)))
    places = [(workshop.ASSESSORS.index(tray.assessor), tray.replicate) for tray in sheet.trays]
    assert places == sorted(places)
    assert len(places) == 24


def test_cups_marked_as_the_reference_are_filled_too() -> None:
    session = workshop.opened(workshop.planned("one", "duo-trio"))
    sheet = pour_sheet(session)
    assert (sheet.cups, sheet.references) == (36, 12)
    for fill in sheet.fills:
        marked = {row.assessor for row in fill.rows if row.references == (1,)}
        assert marked == {one.assessor for one in session.sets if one.order[0] == fill.letter}


def test_temperature_and_time_after_opening_are_told() -> None:
    page = printed(serving_celsius=6.5, minutes_open=20)
    assert "6.5 °C</strong> for both samples" in page
    assert "within <strong>20 minutes" in page


def test_without_them_there_is_a_line_to_fill_in() -> None:
    page = printed()
    assert "None" not in page
    assert "the same for both samples; measured:" in page


def test_steps_come_in_the_order_of_the_hands() -> None:
    page = printed()
    steps = ["1. Label", "2. Make both", "3. Fill", "4. Set the trays", "Poured by"]
    assert [page.index(step) for step in steps] == sorted(page.index(step) for step in steps)
    assert "dark cups" in page


def test_the_seal_is_printed() -> None:
    session = workshop.opened(workshop.planned("one"))
    assert session.sealed in pour_sheet_html(pour_sheet(session))


def test_who_tastes_alone_is_told_to_mark_cups_underneath_and_to_shuffle() -> None:
    page = printed(assessors=("me",), alone=True, replicates=6)
    assert "<strong>underneath</strong>" in page
    assert "until you have lost track" in page
    assert "From left to right" not in page
    assert "does not taste" not in page


def printed(**more: object) -> str:
    """The sheet of an open session as HTML."""
    return pour_sheet_html(pour_sheet(workshop.opened(workshop.planned("one", **more))))


def test_the_page_to_print_shows_all_codes_and_no_foreign_markup() -> None:
    hostile = workshop.planned("one").model_copy(update={"name": "<script>alert(1)</script>"})
    session = workshop.opened(hostile)
    page = pour_sheet_html(pour_sheet(session))
    assert "<script>" not in page
    assert all(page.count(code) >= 2 for served in session.sets for code in served.codes)


def test_the_recipe_is_scaled_to_what_is_poured() -> None:
    """v1 is 60 + 10 + 20 + 90 mL; its volumes are taken as they add up, so of what is poured one
    third is rhubarb juice: arithmetic, with 2 % for rounding to the cylinder and mixing."""
    session = workshop.opened(workshop.planned("one", a="spritz-1", b="R"))
    sheet = pour_sheet(session, (workshop.SPRITZ.versions[0], workshop.MEASURED))
    made, bottle = sheet.fills
    rhubarb = next(line for line in made.recipe if "hubarb" in line.name)
    assert float(rhubarb.measured.split()[0]) == pytest.approx(made.volume_ml / 3, rel=0.02)
    assert bottle.recipe == ()
    page = pour_sheet_html(sheet)
    assert f"<td>{rhubarb.name}</td><td><strong>{rhubarb.measured}</strong></td>" in page


def test_the_scale_of_the_host_sets_what_is_weighed() -> None:
    """Grams to the step of the scale: 0.1 g here, 1 g there."""
    parts = workshop.SPRITZ.versions[0].parts
    acid = Part.model_validate({"ingredient": "citric-acid", "amount": "9 g"})
    version = workshop.SPRITZ.versions[0].model_copy(update={"parts": (*parts, acid)})
    session = workshop.opened(workshop.planned("one"))
    said = []
    for step in (0.1, 1.0):
        sheet = pour_sheet(session, (version, version), Kit(scale_step_g=step, least_weighed_g=1))
        line = next(one for one in sheet.fills[0].recipe if "itric" in one.name)
        said.append(line.measured)
        assert float(line.measured.split()[0]) / step == pytest.approx(
            round(float(line.measured.split()[0]) / step)
        )
    assert said[0] != said[1]


def test_who_tastes_alone_reads_no_code() -> None:
    session = workshop.opened(workshop.planned("one", assessors=("me",), alone=True, replicates=6))
    page = pour_sheet_html(pour_sheet(session))
    assert not [code for served in session.sets for code in served.codes if f">{code}<" in page]
    assert "Stack A" in page
    assert "Stack B" in page
