"""The strip of answers against guessing: what it marks, and that it can be read without seeing."""

import pytest
from scipy.stats import binom

from tasting.insight.findings.finding import finding
from tasting.report.strip import Strip, strip_of
from tests.ui import workshop


def strip(method: str, right: int, wrong: int, **plan: object) -> Strip:
    made = strip_of(finding(workshop.closed(workshop.planned("one", method, **plan), right, wrong)))
    assert made is not None
    return made


def test_it_says_what_it_shows() -> None:
    """8 of 12 at α = 0.05 is ISO 4120:2004, Table A.1 (from memory)."""
    assert strip("triangle", 10, 2).text == (
        "10 of 12 correct, 8 needed; guessing gives 1–7 in 95 % of sessions."
    )


@pytest.mark.parametrize(("method", "chance"), [("triangle", 1 / 3), ("duo-trio", 1 / 2)])
def test_the_band_is_scipys(method: str, chance: float) -> None:
    found = strip(method, 6, 6)
    low, high = found.band

    assert binom.cdf(low - 1, 12, chance) <= 0.025 < binom.cdf(low, 12, chance)
    assert binom.sf(high, 12, chance) <= 0.025 < binom.sf(high - 1, 12, chance)


def test_two_sided_both_ends_are_marked() -> None:
    found = strip("paired", 3, 9)

    assert found.needed == (2, 10)
    assert "chose Spritz, v2, 10 or 2 needed" in found.text


def test_a_score_out_of_reach_is_not_marked() -> None:
    session = workshop.closed(workshop.planned("one"), 2, 0, "The bottle broke")
    found = strip_of(finding(session))

    assert found is not None
    assert found.needed == ()


@pytest.mark.parametrize(("right", "anchor"), [(0, "start"), (6, "middle"), (12, "end")])
def test_the_label_stays_inside(right: int, anchor: str) -> None:
    assert strip("triangle", right, 12 - right).anchor == anchor


def test_without_a_chance_of_guessing_there_is_none() -> None:
    session = workshop.closed(workshop.planned("one", "a-not-a"), 6, 6)

    assert strip_of(finding(session)) is None


def test_a_name_is_shown_as_text() -> None:
    found = Strip(12, 5, "chose <b>v2</b>", (1, 7), ())

    assert "<b>" not in found.svg
    assert "&lt;b&gt;" in found.svg
