"""The strip of answers against guessing: what it marks, and that it can be read without seeing."""

from dataclasses import replace

import pytest
from scipy.stats import binom

from tasting.insight.findings.finding import conclude, finding
from tasting.panel.methods import METHODS
from tasting.report.strip import Strip, strip_of
from tests.insight.tallies import tally_by_assessor, tally_of
from tests.ui import workshop


def strip(method: str, right: int, wrong: int, **plan: object) -> Strip:
    made = strip_of(finding(workshop.closed(workshop.planned("one", method, **plan), right, wrong)))
    assert made is not None
    return made


def test_it_says_what_it_shows() -> None:
    """8 of 12 at α = 0.05 is ISO 4120:2004, Table A.1 (from memory)."""
    assert strip("triangle", 10, 2).text == (
        "10 of 12 correct, 8 needed. 1–7: 95 % of sessions where everybody guesses."
    )


@pytest.mark.parametrize(("method", "chance"), [("triangle", 1 / 3), ("duo-trio", 1 / 2)])
@pytest.mark.parametrize("alpha", [0.05, 0.1])
def test_one_sided_the_band_ends_below_the_number_that_is_needed(method, chance, alpha) -> None:
    """It holds the share that it names, by scipy, and no narrower one from below does."""
    found = strip(method, 6, 6, alpha=alpha)
    assert found.band is not None
    low, high = found.band

    assert found.held == 1 - alpha
    assert high == found.needed - 1
    assert binom.cdf(high, 12, chance) - binom.cdf(low - 1, 12, chance) >= found.held
    assert binom.cdf(high, 12, chance) - binom.cdf(low, 12, chance) < found.held


def test_two_sided_both_tails_are_equal_and_the_leading_sample_is_counted() -> None:
    """2.5 % on either side, by scipy: 3–9 of 12."""
    found = strip("paired", 3, 9)

    assert (found.band, found.needed) == ((3, 9), 10)
    assert binom.cdf(2, 12, 0.5) <= 0.025 < binom.cdf(3, 12, 0.5)
    assert found.text.startswith("9 of 12 chose v1, 10 needed. 3–9: 95 % of sessions where ")


def test_in_a_preference_nobody_guesses() -> None:
    found = strip("preference", 10, 2)

    assert found.text == (
        "10 of 12 chose v2, 10 needed. 3–9: 95 % of sessions where neither is preferred."
    )


def test_where_assessors_are_counted_no_band_of_answers_is_drawn() -> None:
    found = strip_of(conclude(tally_by_assessor(METHODS["paired"], [(2, 2)] * 6 + [(1, 2)] * 3)))

    assert found is not None
    assert (found.band, found.needed) == (None, None)
    assert "<rect" not in found.svg
    assert found.text == (
        "15 of 18 chose v2. The test counts assessors, not answers: guessing cannot be marked here."
    )


def test_a_score_out_of_reach_is_not_marked() -> None:
    session = workshop.closed(workshop.planned("one"), 2, 0, "The bottle broke")
    found = strip_of(finding(session))

    assert found is not None
    assert found.needed is None


@pytest.mark.parametrize("width", [340.0, 640.0])
@pytest.mark.parametrize("right", [0, 6, 12])
def test_the_words_stay_inside(right: int, width: float) -> None:
    found = replace(strip("triangle", right, 12 - right), width=width)

    for at, text in ((found.count, found.label), *((found.middle, one) for one in found.below)):
        half = 6.8 * len(text) / 2
        assert half <= found.inside(at, text) <= width - half


@pytest.mark.parametrize("width", [340.0, 640.0])
@pytest.mark.parametrize("right", range(4, 13))
def test_what_was_needed_is_not_crossed_by_the_line_of_the_count(right: int, width: float) -> None:
    found = replace(strip("triangle", right, 12 - right), width=width)
    half = 6.8 * len("8 needed") / 2

    assert found.threshold == "8 needed"
    assert half <= found.threshold_x <= width - half
    assert abs(found.threshold_x - found.at(right)) > half


@pytest.mark.parametrize(
    ("a", "b", "reference", "called"),
    [
        ("Spritz, v9 wine base", "Spritz, v4 sharp", None, "chose v4"),
        ("Spritz, v9 wine base", "Cordial, v4 sharp", None, "chose Cordial, v4 sharp"),
        ("Bottle R, 2024", "Spritz, v4 sharp", "A", "chose v4"),
        ("Spritz, v4 sharp", "Bottle R, 2024", "B", "chose Bottle R, 2024"),
        ("before", "after", None, "chose after"),
    ],
)
def test_within_one_formula_a_sample_is_called_by_its_version(a, b, reference, called) -> None:
    tally = replace(tally_of(METHODS["preference"], 10, 12), a=a, b=b, reference=reference)
    found = strip_of(conclude(tally))

    assert found is not None
    assert found.counted == called


def test_without_a_chance_of_guessing_there_is_none() -> None:
    session = workshop.closed(workshop.planned("one", "a-not-a"), 6, 6)

    assert strip_of(finding(session)) is None


def test_a_name_is_shown_as_text() -> None:
    found = Strip(12, 5, "chose <b>v2</b>", (1, 7))

    assert "<b>" not in found.svg
    assert "&lt;b&gt;" in found.svg
