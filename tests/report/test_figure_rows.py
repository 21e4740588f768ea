"""What is in both drinks, and how sure the difference is: what is unsure in both alike cancels."""

import pytest

from tasting.drink.composition import compose
from tasting.drink.uncertainty import PH_MODEL
from tasting.report.figure_rows import figure_rows
from tests.ui.workshop import MEASURED, SPRITZ, UNMEASURED

FIRST, SOUR, _ = SPRITZ.versions
ALCOHOL, _, _, TA, PH = range(5)


def half_width(place: int, a, b) -> float:
    """What stands behind the ± of a difference; 0 where there is none."""
    _, _, half = figure_rows(a, b)[place].difference.partition(" ± ")
    return float(half or 0)


def test_a_reference_has_the_range_of_its_label_or_of_measuring_it() -> None:
    """0.5 % vol holds 0.45–0.55; TA is good to 2 % (the program's judgement of a titration)."""
    rows = figure_rows(MEASURED, FIRST)

    assert rows[ALCOHOL].a == "0.50 (0.45–0.55)"
    assert rows[TA].a == "6.40 (6.27–6.53)"


def test_the_difference_from_a_reference_has_the_uncertainty_of_both() -> None:
    """In quadrature, by hand: half the version's likely range and 0.128 g/L of the titration. The
    range is not quite even, which the half width averages out."""
    spread = compose(FIRST).intervals["ta_g_per_l"]
    by_hand = ((spread.high - spread.low) ** 2 / 4 + 0.128**2) ** 0.5

    assert half_width(TA, MEASURED, FIRST) == pytest.approx(by_hand, rel=0.05)


def test_what_two_versions_share_cancels() -> None:
    """They differ by 4 mL of lemon juice, so only its acid leaves the difference open."""
    alone = compose(FIRST).intervals["ta_g_per_l"]

    assert 0 < half_width(TA, FIRST, SOUR) < (alone.high - alone.low) / 2
    assert half_width(TA, FIRST, FIRST) == 0
    assert figure_rows(FIRST, FIRST)[TA].difference == "0.00"


def test_the_model_of_ph_stays_open_against_a_reference_only() -> None:
    measured = MEASURED.model_copy(update={"ph": 2.9})

    assert half_width(PH, FIRST, measured) > PH_MODEL
    assert half_width(PH, FIRST, SOUR) < PH_MODEL


def test_what_is_not_known_has_no_difference() -> None:
    assert [row.difference for row in figure_rows(FIRST, UNMEASURED)][ALCOHOL] == "–"
