"""Findings in numbers, against scipy's exact binomial test and the printed tables."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binomtest

from tasting.errors import InputError, SealedError
from tasting.insight.finding import conclude, finding, findings, noticed_share
from tasting.panel.methods import PAIRED, PREFERENCE, TRIANGLE, Method
from tasting.panel.session import Session
from tests.insight.tallies import tally_of
from tests.ui.workshop import closed, opened, planned, some_closed

counts = st.integers(1, 120).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))
alphas = st.sampled_from([0.2, 0.1, 0.05, 0.01, 0.001])
THREE = st.sampled_from([(TRIANGLE, None), (PAIRED, None), (PAIRED, "B"), (PREFERENCE, None)])


def scipys_p(method: Method, count: int, n: int, sides: int) -> float:
    alternative = "greater" if sides == 1 else "two-sided"
    return float(binomtest(count, n, method.chance, alternative).pvalue)


@given(THREE, counts, alphas)
@settings(deadline=None)
def test_p_is_scipys_and_decides_as_the_critical_number_does(question, count_n, alpha) -> None:
    (method, expected), (count, n) = question, count_n
    found = conclude(tally_of(method, count, n, expected=expected, alpha=alpha))

    assert found.p_value == pytest.approx(scipys_p(method, count, n, found.tally.sides), rel=1e-9)
    assert found.shown is (found.p_value <= alpha * (1 + 1e-9))


@pytest.mark.parametrize(
    ("method", "more", "n", "value", "source"),
    [
        # FAO document V7180E, Appendix A, triangle at 5 %: 15 of 30 (seen).
        (TRIANGLE, {}, 30, 15, "FAO"),
        # ISO 5495:2005, Table A.1, at 5 %: 15 of 20 (seen in GOST R 53161-2008).
        (PAIRED, {"expected": "B"}, 20, 15, "ISO 5495"),
    ],
)
def test_the_number_needed_is_cited_by_its_row(method, more, n, value, source) -> None:
    critical = conclude(tally_of(method, 0, n, **more)).critical

    assert (critical.value, critical.row.n, critical.row.alpha) == (value, n, 0.05)
    assert critical.row.source.startswith(source)


@pytest.mark.parametrize(("method", "n"), [(PAIRED, 20), (PREFERENCE, 20), (TRIANGLE, 2)])
def test_without_a_printed_row_the_number_is_computed(method: Method, n: int) -> None:
    """No two-sided table was read, and the triangle's begins at n = 3."""
    assert conclude(tally_of(method, 0, n)).critical.row is None


def clopper_pearson(count: int, n: int) -> tuple[float, float]:
    interval = binomtest(count, n).proportion_ci(confidence_level=0.95, method="exact")
    return interval.low, interval.high


@given(counts.filter(lambda pair: 3 * pair[0] >= pair[1]))
@settings(deadline=None)
def test_one_sided_the_share_is_that_above_guessing(count_n) -> None:
    """p_d = (p_c - 1/3) / (2/3) (ISO 4120, from memory) of scipy's Clopper-Pearson interval."""
    count, n = count_n
    low, high = (max(0.0, 1.5 * end - 0.5) for end in clopper_pearson(count, n))
    share = noticed_share(tally_of(TRIANGLE, count, n))

    assert share.value == pytest.approx(1.5 * count / n - 0.5, abs=1e-12)
    assert (share.low, share.high) == pytest.approx((low, high), abs=1e-9)


@given(counts, st.sampled_from([PAIRED, PREFERENCE]))
@settings(deadline=None)
def test_two_sided_the_share_is_the_lead_of_one_sample(count_n, method: Method) -> None:
    """|2p - 1| of scipy's Clopper-Pearson interval; 0 belongs to it if both directions do."""
    count, n = count_n
    ends = [2 * end - 1 for end in clopper_pearson(count, n)]
    nearest = 0.0 if ends[0] < 0 < ends[1] else min(map(abs, ends))
    share = noticed_share(tally_of(method, count, n))

    assert share.value == pytest.approx(abs(2 * count / n - 1))
    assert (share.low, share.high) == pytest.approx((nearest, max(map(abs, ends))), abs=1e-9)


@given(counts, st.sampled_from([PAIRED, PREFERENCE]))
@settings(deadline=None)
def test_naming_the_samples_the_other_way_round_finds_the_same(count_n, method: Method) -> None:
    count, n = count_n
    one, other = (conclude(tally_of(method, x, n)) for x in (count, n - count))

    assert (one.p_value, one.shown) == (other.p_value, other.shown)
    assert one.noticed.value == pytest.approx(other.noticed.value)
    assert (one.noticed.low, one.noticed.high) == pytest.approx(
        (other.noticed.low, other.noticed.high)
    )


def test_the_example_of_twenty_out_of_thirty() -> None:
    """Triangle, 20 of 30: p = 1.9e-4 by scipy; p_d = 1.5 x 2/3 - 0.5 = 50 %."""
    found = conclude(tally_of(TRIANGLE, 20, 30))

    assert found.p_value == pytest.approx(binomtest(20, 30, 1 / 3, "greater").pvalue)
    assert found.noticed.value == pytest.approx(0.5)
    assert found.shown


def test_without_an_answer_there_is_nothing_to_conclude() -> None:
    with pytest.raises(InputError, match="no answer was given"):
        conclude(tally_of(TRIANGLE, 0, 0))


@pytest.mark.parametrize("alpha", [0, 0.5, -1, float("nan")])
def test_an_alpha_out_of_range_is_refused(alpha: float) -> None:
    with pytest.raises(InputError, match="alpha is"):
        conclude(tally_of(TRIANGLE, 5, 10, alpha=alpha))


def test_more_correct_answers_than_answers_are_refused() -> None:
    with pytest.raises(InputError, match="is 11 but only 10 were tasted"):
        conclude(tally_of(TRIANGLE, 11, 10))


@pytest.mark.parametrize("session", [planned("acid"), opened(planned("acid"))])
def test_a_session_that_is_not_closed_stays_sealed(session: Session) -> None:
    with pytest.raises(SealedError, match=f"'Session acid' is {session.state}: close it first"):
        finding(session)


def test_a_closed_session_is_concluded_from_its_answers() -> None:
    found = finding(closed(planned("acid"), 10, 2))

    assert (found.tally.count, found.tally.n, found.shown) == (10, 12, True)
    assert found == conclude(found.tally)


def test_sessions_without_an_answer_have_no_finding() -> None:
    assert [session.id for session, _ in findings(some_closed())] == [
        "acid",
        "syrup",
        "liking",
        "unknown",
    ]
