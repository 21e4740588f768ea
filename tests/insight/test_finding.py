"""Findings of sessions, and their numbers against scipy's exact tests and the printed tables."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binomtest, fisher_exact

from tasting.errors import InputError, SealedError
from tasting.insight.evidence import Verdict, noticed_share
from tasting.insight.finding import conclude, finding, findings
from tasting.panel import methods
from tasting.panel.methods import METHODS, PAIRED, PREFERENCE, TRIANGLE, Method
from tasting.panel.session import Session
from tests.insight.tallies import contrasted, tally_of
from tests.ui.workshop import START, closed, opened, planned, some_closed

counts = st.integers(1, 120).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))
alphas = st.sampled_from([0.2, 0.1, 0.05, 0.01, 0.001])
GUESSED = st.sampled_from([method for method in METHODS.values() if method.psychometric])
EITHER_WAY = st.sampled_from([PAIRED, PREFERENCE])


@given(GUESSED, counts, alphas)
@settings(max_examples=40, deadline=None)
def test_p_is_scipys_and_decides_as_the_critical_number_does(
    method: Method, count_n, alpha
) -> None:
    count, n = count_n
    tally = tally_of(method, count, n, alpha=alpha)
    found = conclude(tally)
    alternative = "greater" if tally.sides == 1 else "two-sided"
    p = float(binomtest(count, n, method.chance, alternative).pvalue)

    assert found.evidence.p_value == pytest.approx(p, rel=1e-9)
    assert found.shown is (p <= alpha * (1 + 1e-9))


@pytest.mark.parametrize(
    ("method", "more", "n", "value", "source"),
    [
        # FAO document V7180E, Appendix A, triangle at 5 %: 15 of 30 (seen).
        (TRIANGLE, {}, 30, 15, "FAO"),
        # ISO 5495:2005, Table A.1, at 5 %: 15 of 20 (seen in GOST R 53161-2008).
        (PAIRED, {"expected": "B"}, 20, 15, "ISO 5495"),
        # ISO 10399:2004, Table A.1, at 5 %: 20 of 30 (seen in GOST ISO 10399-2015).
        (methods.DUO_TRIO, {}, 30, 20, "ISO 10399"),
    ],
)
def test_the_number_needed_is_cited_by_its_row(method, more, n, value, source) -> None:
    critical = conclude(tally_of(method, 0, n, **more)).evidence.critical

    assert (critical.value, critical.row.n, critical.row.alpha) == (value, n, 0.05)
    assert critical.row.source.startswith(source)


@pytest.mark.parametrize(("method", "n"), [(PAIRED, 20), (PREFERENCE, 20), (TRIANGLE, 2)])
def test_without_a_printed_row_the_number_is_computed(method: Method, n: int) -> None:
    """No two-sided table was read, and the triangle's begins at n = 3."""
    assert conclude(tally_of(method, 0, n)).evidence.critical.row is None


def clopper_pearson(count: int, n: int) -> tuple[float, float]:
    interval = binomtest(count, n).proportion_ci(confidence_level=0.95, method="exact")
    return interval.low, interval.high


@given(counts.filter(lambda pair: 3 * pair[0] >= pair[1]))
@settings(max_examples=50, deadline=None)
def test_one_sided_the_share_is_that_above_guessing(count_n) -> None:
    """p_d = (p_c - 1/3) / (2/3) (ISO 4120, from memory) of scipy's Clopper-Pearson interval."""
    count, n = count_n
    low, high = (max(0.0, 1.5 * end - 0.5) for end in clopper_pearson(count, n))
    share = noticed_share(tally_of(TRIANGLE, count, n))

    assert share.value == pytest.approx(1.5 * count / n - 0.5, abs=1e-12)
    assert (share.low, share.high) == pytest.approx((low, high), abs=1e-9)


@given(counts, EITHER_WAY)
@settings(max_examples=50, deadline=None)
def test_two_sided_the_share_is_the_lead_of_one_sample(count_n, method: Method) -> None:
    """|2p - 1| of scipy's Clopper-Pearson interval; 0 belongs to it if both directions do."""
    count, n = count_n
    ends = [2 * end - 1 for end in clopper_pearson(count, n)]
    nearest = 0.0 if ends[0] < 0 < ends[1] else min(map(abs, ends))
    share = noticed_share(tally_of(method, count, n))

    assert share.value == pytest.approx(abs(2 * count / n - 1))
    assert (share.low, share.high) == pytest.approx((nearest, max(map(abs, ends))), abs=1e-9)


@given(counts, EITHER_WAY)
@settings(max_examples=30, deadline=None)
def test_naming_the_samples_the_other_way_round_finds_the_same(count_n, method: Method) -> None:
    count, n = count_n
    one, other = (conclude(tally_of(method, x, n)) for x in (count, n - count))

    assert (one.evidence.p_value, one.shown) == (other.evidence.p_value, other.shown)
    assert one.evidence.distance.value == pytest.approx(-other.evidence.distance.value, abs=1e-6)


def test_repeated_preferences_are_tested_by_whole_people() -> None:
    """Nine of ten people lean to B and one to A by as much: 2 (1 + 10) / 2^10 by hand."""
    dealt = tally_of(PREFERENCE, 18, 20, assessors=10)
    assert dealt.scores == ((2, 2),) * 8 + ((1, 2),) * 2

    # The two who lean to neither side drop out: all eight others lean to B, 2 / 2^8.
    assert conclude(dealt).evidence.p_value == pytest.approx(2 / 2**8)


@pytest.mark.parametrize(
    ("method", "none", "some"),
    [
        (methods.SAME_DIFFERENT, (14, 6), (5, 15)),
        (methods.A_NOT_A, (8, 5, 4, 3), (3, 4, 5, 8)),
    ],
)
def test_without_a_chance_of_guessing_the_sets_are_contrasted(method, none, some) -> None:
    """Fisher's exact test by scipy: sets with a difference against sets without."""
    half = len(none) // 2
    table = [[sum(row[half:]), sum(row[:half])] for row in (some, none)]
    found = conclude(contrasted(method, none, some)).evidence

    assert found.p_value == pytest.approx(fisher_exact(table, "greater").pvalue)


@pytest.mark.parametrize(
    ("count", "n", "verdict"),
    [
        (18, 30, Verdict.DIFFERENCE),
        (48, 110, Verdict.SMALL),
        (40, 100, Verdict.SIMILARITY),
        (14, 30, Verdict.NEITHER),
        (9, 30, Verdict.NEITHER),  # below chance nothing is concluded
    ],
)
def test_difference_and_similarity_are_two_questions(count: int, n: int, verdict: Verdict) -> None:
    """Similar: scipy's exact one-sided upper limit of p_c is below that of p_d = 0.3."""
    found = conclude(tally_of(TRIANGLE, count, n, p_d=0.3, beta=0.2)).evidence
    upper = binomtest(count, n, alternative="less").proportion_ci(0.8, method="exact").high
    similar = upper < 0.3 + 0.7 / 3 and count >= n / 3

    assert found.verdict is verdict
    assert found.verdict.similarity is similar


def test_without_an_answer_there_is_nothing_to_conclude() -> None:
    with pytest.raises(InputError, match="no answer was given that counts"):
        conclude(tally_of(TRIANGLE, 0, 0))


@pytest.mark.parametrize("alpha", [0, 0.5, -1, float("nan")])
def test_an_alpha_out_of_range_is_refused(alpha: float) -> None:
    with pytest.raises(InputError, match="alpha is"):
        conclude(tally_of(TRIANGLE, 5, 10, alpha=alpha))


@pytest.mark.parametrize(
    "session",
    [
        planned("acid"),
        opened(planned("acid")),
        planned("acid").abandoned(START.replace(year=2027), "no bottle"),
    ],
    ids=["planned", "open", "abandoned"],
)
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
