"""What a tally weighs, branch by branch, against scipy and against counting by brute force."""

from fractions import Fraction
from itertools import product
from math import comb

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import beta, binom, binomtest, fisher_exact

from tasting.errors import InputError
from tasting.insight.findings.estimates import share_noticed
from tasting.insight.findings.evidence import evaluate
from tasting.insight.findings.verdict import Verdict
from tasting.panel.methods import (
    A_NOT_A,
    METHODS,
    PAIRED,
    PREFERENCE,
    SAME_DIFFERENT,
    TRIANGLE,
    Method,
)
from tests.insight.tallies import contrasted, tally_by_assessor, tally_of

counts = st.integers(1, 80).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))
alphas = st.sampled_from([0.2, 0.1, 0.05, 0.01, 0.001])
GUESSED = [method for method in METHODS.values() if method.psychometric]
few = settings(max_examples=25, deadline=None)


def scipys_p(method: Method, count: int, n: int, sides: int) -> float:
    alternative = "greater" if sides == 1 else "two-sided"
    return float(binomtest(count, n, method.chance, alternative).pvalue)


def clopper_pearson(count: int, n: int) -> tuple[float, float]:
    interval = binomtest(count, n).proportion_ci(confidence_level=0.95, method="exact")
    return interval.low, interval.high


@given(st.sampled_from(GUESSED), counts, alphas)
@few
def test_p_is_scipys_and_decides_as_the_critical_number_does(method, count_n, alpha) -> None:
    tally = tally_of(method, *count_n, alpha=alpha)
    found = evaluate(tally)

    assert found.p_value == pytest.approx(scipys_p(method, *count_n, tally.design.sides), rel=1e-9)
    assert found.verdict.difference is (found.p_value <= alpha * (1 + 1e-9))


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
    critical = evaluate(tally_of(method, 0, n, **more)).critical

    assert (critical.value, critical.row.n, critical.row.alpha) == (value, n, 0.05)
    assert critical.row.source.startswith(source)


@pytest.mark.parametrize(("method", "n"), [(PAIRED, 20), (PREFERENCE, 20), (TRIANGLE, 2)])
def test_without_a_printed_row_the_number_is_computed(method: Method, n: int) -> None:
    """No two-sided table was read, and the triangle's begins at n = 3."""
    assert evaluate(tally_of(method, 0, n)).critical.row is None


@given(counts.filter(lambda pair: 3 * pair[0] >= pair[1]))
@few
def test_one_sided_the_share_is_that_above_guessing(count_n) -> None:
    """p_d = (p_c - 1/3) / (2/3) (ISO 4120, from memory) of scipy's Clopper-Pearson interval."""
    count, n = count_n
    low, high = (max(0.0, 1.5 * end - 0.5) for end in clopper_pearson(count, n))
    share = share_noticed(tally_of(TRIANGLE, count, n))

    assert share.value == pytest.approx(1.5 * count / n - 0.5, abs=1e-12)
    assert (share.low, share.high) == pytest.approx((low, high), abs=1e-9)


@given(counts, st.sampled_from([PAIRED, PREFERENCE]))
@few
def test_two_sided_the_share_is_the_lead_of_one_over_the_other(count_n, method) -> None:
    """|2p - 1| of scipy's Clopper-Pearson interval; 0 belongs to it if both directions do."""
    count, n = count_n
    ends = [2 * end - 1 for end in clopper_pearson(count, n)]
    nearest = 0.0 if ends[0] < 0 < ends[1] else min(map(abs, ends))
    share = share_noticed(tally_of(method, count, n))

    assert share.value == pytest.approx(abs(2 * count / n - 1))
    assert (share.low, share.high) == pytest.approx((nearest, max(map(abs, ends))), abs=1e-9)


@given(counts, st.sampled_from([PAIRED, PREFERENCE]))
@few
def test_naming_the_samples_the_other_way_round_finds_the_same(count_n, method) -> None:
    count, n = count_n
    one, other = (evaluate(tally_of(method, x, n)) for x in (count, n - count))

    assert (one.p_value, one.verdict) == (other.p_value, other.verdict)
    shares = [found.lead if method is PREFERENCE else found.noticed for found in (one, other)]
    assert shares[0].value == pytest.approx(shares[1].value)
    assert one.distance.value == pytest.approx(-other.distance.value, abs=1e-6)


@pytest.mark.parametrize(("count", "n"), [(10, 30), (18, 40), (30, 60)])
def test_what_was_missed_is_what_the_panel_shows_with_the_planned_power(count, n) -> None:
    """At that p_d, scipy's binomial reaches the critical number with probability 1 - β."""
    found = evaluate(tally_of(TRIANGLE, count, n))
    p_c = 1 / 3 + found.detectable_p_d * 2 / 3

    assert binom.sf(found.critical.value - 1, n, p_c) == pytest.approx(0.8, abs=1e-6)


def test_where_no_score_could_show_anything_nothing_is_said_of_what_was_missed() -> None:
    assert evaluate(tally_of(TRIANGLE, 2, 2)).detectable_p_d is None


# Similarity: the exact one-sided limit of Clopper and Pearson (1934) by scipy's beta distribution.


def limit(count: int, n: int, chance: float, risk: float) -> float:
    p_c = beta.ppf(1 - risk, count + 1, n - count) if count < n else 1.0
    return max(0.0, (p_c - chance) / (1 - chance))


@given(st.sampled_from([m for m in GUESSED if m.question_kind == "difference"]), counts)
@few
def test_similarity_is_shown_when_the_exact_limit_lies_below_the_planned_share(m, count_n) -> None:
    count, n = count_n
    found = evaluate(tally_of(m, count, n, p_d=0.3, beta=0.1, similarity_aim=True))
    expected = limit(count, n, m.chance, 0.1)

    assert found.limit.p_d == pytest.approx(expected, abs=1e-9)
    above = count >= n * m.chance * (1 - 1e-12)
    assert found.verdict.similarity is bool(above and expected < 0.3)


@pytest.mark.parametrize(
    ("count", "n", "p_d", "verdict"),
    [
        (35, 100, 0.3, Verdict.SIMILARITY),
        (45, 100, 0.3, Verdict.SMALL),  # at least 42 show a difference; the limit is 25 %
        (60, 100, 0.3, Verdict.DIFFERENCE),
        (40, 100, 0.1, Verdict.NEITHER),
        (33, 100, 0.3, Verdict.NEITHER),  # below chance nothing is concluded (ISO 4120 8.2)
        (34, 100, 0.3, Verdict.SIMILARITY),
        (10, 30, 0.3, Verdict.SIMILARITY),  # exactly at chance
    ],
)
def test_the_verdict_on_similarity(count: int, n: int, p_d: float, verdict: Verdict) -> None:
    aimed = tally_of(TRIANGLE, count, n, p_d=p_d, similarity_aim=True)
    assert evaluate(aimed).verdict is verdict


def test_a_plan_that_aims_at_a_difference_concludes_no_similarity() -> None:
    found = evaluate(tally_of(TRIANGLE, 35, 100, p_d=0.3))
    assert found.verdict is Verdict.NEITHER
    assert found.limit is not None


@pytest.mark.parametrize(
    ("verdict", "difference", "similarity"),
    [
        (Verdict.DIFFERENCE, True, False),
        (Verdict.SIMILARITY, False, True),
        (Verdict.SMALL, True, True),
        (Verdict.NEITHER, False, False),
    ],
)
def test_a_small_difference_is_both(verdict: Verdict, difference: bool, similarity: bool) -> None:
    assert (verdict.difference, verdict.similarity) == (difference, similarity)


def test_two_sided_nothing_is_said_of_similarity() -> None:
    found = evaluate(tally_of(PAIRED, 50, 100))

    assert (found.verdict, found.limit) == (Verdict.NEITHER, None)


def test_a_preference_has_no_limit_to_be_similar_by() -> None:
    found = evaluate(tally_of(PREFERENCE, 50, 100))

    assert found.verdict is Verdict.NEITHER
    assert "limit" not in found.__slots__


ALIKE = [(1, 3)] * 20
"""Twenty people with one correct answer of three: at chance, and no spread."""
APART = [(3, 3)] * 7 + [(0, 3)] * 13
"""As many correct answers, all by seven people who never missed."""


def test_repeated_answers_are_similar_only_if_the_spread_between_people_allows_it() -> None:
    together, apart = (
        evaluate(tally_by_assessor(TRIANGLE, each, similarity_aim=True)) for each in (ALIKE, APART)
    )

    assert together.verdict is Verdict.SIMILARITY
    assert apart.verdict is Verdict.NEITHER
    assert apart.limit.p_d > 0.3 > together.limit.p_d
    assert apart.replicates.gamma.value > 0.5 > together.replicates.gamma.value


def test_unevenly_repeated_answers_give_no_limit() -> None:
    found = evaluate(tally_by_assessor(TRIANGLE, [(1, 3)] * 15 + [(1, 2)] * 5))

    assert (found.limit, found.replicates, found.verdict) == (None, None, Verdict.NEITHER)


def test_one_persons_repeated_answers_are_taken_as_independent() -> None:
    found = evaluate(tally_by_assessor(TRIANGLE, [(12, 35)]))

    assert found.limit.p_d == pytest.approx(limit(12, 35, 1 / 3, 0.2))
    assert found.replicates is None


@pytest.mark.parametrize("method", [PAIRED, PREFERENCE, TRIANGLE])
def test_how_far_repeated_answers_hang_together_is_told(method: Method) -> None:
    found = evaluate(tally_by_assessor(method, [(4, 4)] * 6 + [(1, 4)] * 6))

    assert (found.replicates.assessors, found.replicates.replicates) == (12, 4)
    assert found.replicates.chance == (1 / 3 if method is TRIANGLE else 0)


# Preference.


def turned_round(scores: list[tuple[int, int]]) -> Fraction:
    """Every way to turn whole assessors round; how many lead at least as far."""
    excesses = [2 * counted - tastings for counted, tastings in scores]
    ways = [
        abs(sum(sign * size for sign, size in zip(signs, excesses, strict=True)))
        for signs in product((1, -1), repeat=len(excesses))
    ]
    return Fraction(sum(way >= abs(sum(excesses)) for way in ways), len(ways))


@given(st.lists(st.sampled_from([(0, 3), (1, 3), (2, 3), (3, 3), (1, 2)]), max_size=5))
@few
def test_repeated_preferences_turn_round_whole_assessors(more) -> None:
    scores = [(2, 2), (3, 3), *more]
    found = evaluate(tally_by_assessor(PREFERENCE, scores))
    p = turned_round(scores)

    assert found.p_value == pytest.approx(float(p))
    assert found.verdict is (Verdict.DIFFERENCE if p <= Fraction(1, 20) else Verdict.NEITHER)
    assert (found.critical, found.detectable_p_d) == (None, None)


def test_one_persons_repeated_preferences_speak_for_that_person() -> None:
    """Turning one person round never shows anything; their answers are taken as independent."""
    found = evaluate(tally_by_assessor(PREFERENCE, [(9, 10)]))

    assert found.p_value == pytest.approx(binomtest(9, 10).pvalue)
    assert found.verdict is Verdict.DIFFERENCE


def test_answers_without_a_preference_are_left_out_of_the_test_and_shown_three_ways() -> None:
    found = evaluate(tally_of(PREFERENCE, 20, 30, undecided=11))

    assert found.p_value == pytest.approx(binomtest(20, 30).pvalue)
    assert (found.undecided.for_a, found.undecided.for_b, found.undecided.none) == (10, 20, 11)
    assert found.undecided.dropped_p_value == pytest.approx(binomtest(20, 30).pvalue)
    # Halved, the odd one to the less chosen: 25 of 41.
    assert found.undecided.split_p_value == pytest.approx(binomtest(25, 41).pvalue)


def test_without_undecided_answers_there_is_one_way_to_look() -> None:
    assert evaluate(tally_of(PREFERENCE, 20, 30)).undecided is None


# Answers to sets with a difference against answers to sets without.


def hypergeometric(none: tuple[int, int], some: tuple[int, int]) -> Fraction:
    """P(at least so many reports among the sets with a difference), all margins fixed, counted."""
    sets, reports = sum(some), none[1] + some[1]
    every = sum(none) + sets
    ways = [comb(sets, x) * comb(every - sets, reports - x) for x in range(some[1], reports + 1)]
    return Fraction(sum(ways), comb(every, reports))


pairs = st.tuples(st.integers(0, 12), st.integers(0, 12))


@given(pairs, pairs, alphas)
@few
def test_same_different_is_weighed_by_fishers_exact_test(none, some, alpha) -> None:
    if sum(none) + sum(some) == 0:
        return
    found = evaluate(contrasted(SAME_DIFFERENT, none, some, alpha=alpha))
    by_scipy = fisher_exact([[some[1], some[0]], [none[1], none[0]]], alternative="greater")

    assert found.p_value == pytest.approx(float(hypergeometric(none, some)), rel=1e-9)
    assert found.p_value == pytest.approx(by_scipy.pvalue, rel=1e-9)
    assert found.verdict.difference is (found.p_value <= alpha)
    assert not {"critical", "noticed", "detectable_p_d"} & set(found.__slots__)


@given(*[st.lists(st.integers(0, 6), min_size=4, max_size=4).map(tuple)] * 2)
@few
def test_a_not_a_counts_both_grades_of_not_like_it(none, some) -> None:
    if sum(none) + sum(some) == 0:
        return
    found = evaluate(contrasted(A_NOT_A, none, some))
    merged = [(sum(row[:2]), sum(row[2:])) for row in (none, some)]

    assert found.p_value == pytest.approx(float(hypergeometric(*merged)), rel=1e-9)


def test_the_lady_tasting_tea() -> None:
    """Fisher 1935, The Design of Experiments, ch. 2: 3 of 4 right is 17 in 70 (from memory)."""
    found = evaluate(contrasted(SAME_DIFFERENT, (3, 1), (1, 3)))

    assert found.p_value == pytest.approx(17 / 70)
    assert found.verdict is Verdict.NEITHER


@pytest.mark.parametrize(
    ("method", "none", "some"),
    [
        (SAME_DIFFERENT, (0, 0), (3, 9)),
        (SAME_DIFFERENT, (5, 3), (0, 0)),
        (A_NOT_A, (6, 0, 0, 0), (6, 0, 0, 0)),
        (A_NOT_A, (0, 0, 0, 0), (1, 2, 3, 4)),
    ],
)
def test_where_all_answers_are_of_one_kind_the_distance_stays_open(method, none, some) -> None:
    found = evaluate(contrasted(method, none, some))

    assert (found.distance, found.p_value) == (None, pytest.approx(1.0))


def test_the_distance_of_a_contrast_is_that_of_its_method() -> None:
    found = evaluate(contrasted(A_NOT_A, (6, 4, 3, 1), (2, 2, 4, 6)))

    assert found.distance.value == pytest.approx(
        A_NOT_A.criterion_model((6, 4, 3, 1), (2, 2, 4, 6), 0.95).value
    )
    assert found.distance.low < found.distance.value < found.distance.high


@pytest.mark.parametrize("alpha", [0, 0.5, -1, float("nan")])
def test_an_alpha_out_of_range_is_refused(alpha: float) -> None:
    with pytest.raises(InputError, match="alpha is"):
        evaluate(tally_of(TRIANGLE, 5, 10, alpha=alpha))
