"""The batch sheet says what to measure, and how to make what is too little to weigh."""

import pytest

from tasting.drink.batch import batch
from tasting.drink.formula import Part, Version
from tasting.drink.keeping import keeping
from tasting.report.batch_sheet import batch_sheet, batch_sheet_html
from tests.ui.workshop import SPRITZ, START

PINCH = Version(
    id="p",
    label="v1",
    parts=(
        Part.model_validate({"ingredient": "lemon-juice", "amount": "10 mL"}),
        Part.model_validate({"ingredient": "citric-acid", "amount": "0.2 g"}),
        Part.model_validate({"ingredient": "whole-milk", "amount": "100 mL"}),
    ),
    created_at=START,
)
SHEET = batch_sheet("Spritz <b>, v1", batch(PINCH, servings=2), invented="made up")


def test_lines_are_exact_measured_and_off_by() -> None:
    """10 mL of juice for each of three and a half servings is 35 mL (arithmetic)."""
    sheet = batch_sheet("Spritz", batch(SPRITZ.versions[0], servings=3.5))
    lemon = sheet.lines[1]
    assert (lemon.exact, lemon.measured, lemon.error) == ("35.0 mL", "35 mL", "0.0 %")
    assert (sheet.servings, lemon.stock) == ("3.5", "")


def test_an_error_has_a_sign() -> None:
    sheet = batch_sheet("Spritz", batch(SPRITZ.versions[0], litres=0.5))
    assert {line.error[0] for line in sheet.lines} <= {"+", "−", "0"}
    assert any(line.error != "0.0 %" for line in sheet.lines)


def test_what_rounding_is_off_by_is_seen_in_the_amounts() -> None:
    """499.6 mL measured as 500 mL are 0.1 % too much (arithmetic)."""
    water = Part.model_validate({"ingredient": "water", "amount": "499.6 mL"})
    first = SPRITZ.versions[0].model_copy(update={"parts": (water,)})
    (line,) = batch_sheet("Water", batch(first, servings=first.servings)).lines
    assert (line.exact, line.measured, line.error) == ("499.6 mL", "500 mL", "+0.1 %")


def test_too_little_to_weigh_becomes_a_solution() -> None:
    """0.4 g are in 4 g of a 10 % solution of about 1.04 g/mL (CRC Handbook, from memory)."""
    citric = SHEET.lines[1]
    assert citric.measured.endswith(" mL of a 10 % solution")
    assert float(citric.measured.split()[0]) == pytest.approx(4 / 1.04, abs=0.1)
    assert citric.stock.startswith("10 % solution of citric acid, anhydrous: 10 g in 90 g of water")


def test_a_solution_says_how_much_water_it_brings() -> None:
    """Nine tenths of 3.8 or 3.9 mL at 1.04 g/mL are 3.6 g (arithmetic)."""
    brings = SHEET.lines[1].stock.split("it brings ")[1]
    assert float(brings.split()[0]) == pytest.approx(3.6, abs=0.1)


def test_figures_stand_beside_what_is_measured_out() -> None:
    names = [figure.name for figure in SHEET.figures]
    assert names == ["TA", "pH", "Sugar", "Alcohol", "Energy"]
    water = Part.model_validate({"ingredient": "water", "amount": "100 mL"})
    clear = PINCH.model_copy(update={"parts": (*PINCH.parts[:2], water)})
    acid = batch_sheet("Spritz", batch(clear, servings=2)).figures[0]
    exact, made = (float(text.split()[0]) for text in (acid.exact, acid.made))
    assert made == pytest.approx(exact, rel=0.02)


def test_what_milk_hides_is_not_computable() -> None:
    """240 mL of milk with 15 mL of lemon juice: computed 2.7, in truth 5 to 5.5."""
    assert [figure.made for figure in SHEET.figures[:2]] == ["not computable"] * 2


def test_the_page_escapes_what_somebody_typed() -> None:
    html = batch_sheet_html(SHEET)
    assert "Spritz &lt;b&gt;, v1" in html
    assert "Invented data: made up" in html


def test_the_page_stands_alone_and_names_allergens() -> None:
    html = batch_sheet_html(SHEET)
    assert "Declared allergens: milk." in html
    assert "First make the solutions" in html
    assert not any(word in html for word in ("http", "src=", "<script"))


def test_how_long_it_keeps_is_on_the_sheet() -> None:
    drink = SPRITZ.versions[0]
    html = batch_sheet_html(batch_sheet("Spritz", batch(drink, litres=5), keeps=keeping(drink)))
    assert "2–4 weeks, cold" in html
    assert "Common practice, no source." in html


def test_without_solutions_nothing_is_said_of_them() -> None:
    sheet = batch_sheet("Spritz", batch(SPRITZ.versions[0], litres=5))
    assert "First make the solutions" not in batch_sheet_html(sheet)
