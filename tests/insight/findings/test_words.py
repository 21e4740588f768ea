"""Every sentence that a finding can say, word for word."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tasting.insight.findings.finding import Finding, conclude
from tasting.insight.findings.tally import Tally
from tasting.panel.methods import (
    A_NOT_A,
    METHODS,
    PAIRED,
    PREFERENCE,
    SAME_DIFFERENT,
    TETRAD,
    TETRAD_SPECIFIED,
    THREE_AFC,
    TRIANGLE,
    Method,
)
from tests.insight.tallies import contrasted, tally_by_assessor, tally_in_order, tally_of


def found(method: Method, count: int, n: int, **more: object) -> Finding:
    return conclude(tally_of(method, count, n, **more))


STRICT = {"p_d": 0.05}
"""With so small a share not to be missed, thirty answers show no similarity."""


@pytest.mark.parametrize(
    ("method", "more", "count", "headline"),
    [
        (TRIANGLE, STRICT, 18, "A difference was shown between v1 and v2"),
        (TRIANGLE, STRICT, 11, "v1 and v2 were not shown to differ"),
        (TETRAD, STRICT, 18, "A difference was shown between v1 and v2"),
        (THREE_AFC, STRICT, 21, "v2 was found more sour than v1"),
        (
            THREE_AFC,
            STRICT,
            18,
            "A difference was shown between v1 and v2 when asked which is more sour, but no common "
            "direction",
        ),
        (TETRAD_SPECIFIED, STRICT, 6, "v2 was not shown to be more sour than v1"),
        (PAIRED, {**STRICT, "expected": "B"}, 22, "v2 was found more sour than v1"),
        (PAIRED, {**STRICT, "expected": "A"}, 22, "v1 was found more sour than v2"),
        (PAIRED, {**STRICT, "expected": "B"}, 16, "v2 was not shown to be more sour than v1"),
        (PAIRED, {**STRICT, "expected": "A"}, 16, "v1 was not shown to be more sour than v2"),
        (PAIRED, {}, 24, "v2 was found more sour than v1"),
        (PAIRED, {}, 6, "v1 was found more sour than v2"),
        (PAIRED, {}, 16, "Neither v1 nor v2 was shown to be more sour"),
        (PREFERENCE, {}, 24, "v2 was preferred to v1"),
        (PREFERENCE, {}, 6, "v1 was preferred to v2"),
        (PREFERENCE, {}, 15, "No preference was shown between v1 and v2"),
        (
            TRIANGLE,
            {"similarity_aim": True},
            10,
            "Similarity was shown: fewer than 30 % notice a difference between v1 and v2, at a "
            "risk of β = 0.2",
        ),
        (
            TRIANGLE,
            {"p_d": 0.6, "similarity_aim": True},
            18,
            "A difference was shown between v1 and v2 (α = 0.05), but fewer than 60 % notice a "
            "difference between v1 and v2, at a risk of β = 0.2: small but real",
        ),
    ],
)
def test_the_headline(method: Method, more, count: int, headline: str) -> None:
    assert found(method, count, 30, **more).headline == headline


@pytest.mark.parametrize(
    ("method", "expected", "count", "n", "sentence"),
    [
        (
            TRIANGLE,
            None,
            15,
            30,
            "15 of 30 correct; 15 needed (α = 0.05, n = 30); one-sided p = 0.0435.",
        ),
        (
            PAIRED,
            "A",
            12,
            20,
            "v1 was called more sour in 12 of 20 tastings; 15 needed (α = 0.05, n = 20); "
            "one-sided p = 0.2517.",
        ),
        (
            PAIRED,
            None,
            5,
            20,
            "v1 was called more sour in 15 of 20 tastings; 15 needed (α = 0.05, n = 20); "
            "two-sided p = 0.0414.",
        ),
        (
            THREE_AFC,
            "B",
            8,
            30,
            "8 of 30 correct; 15 needed (α = 0.05, n = 30); one-sided p = 0.8332.",
        ),
        (
            PREFERENCE,
            None,
            10,
            20,
            "v1 and v2 were each preferred in 10 of 20 choices; 15 needed (α = 0.05, n = 20); "
            "two-sided p = 1.0000.",
        ),
        (
            PREFERENCE,
            None,
            4,
            4,
            "v2 was preferred in 4 of 4 choices; no score could show a difference (α = 0.05, "
            "n = 4); two-sided p = 0.1250.",
        ),
    ],
)
def test_the_test(method: Method, expected, count: int, n: int, sentence: str) -> None:
    """The p-values are those of scipy's binomtest, to four digits."""
    assert found(method, count, n, expected=expected).sentences[0] == sentence


@pytest.mark.parametrize(
    ("tally", "sentence"),
    [
        (
            contrasted(SAME_DIFFERENT, (12, 4), (5, 11)),
            "A difference was reported for 11 of 16 sets with one and for 4 of 16 sets with none; "
            "Fisher's exact test, one-sided: p = 0.0160 (α = 0.05, n = 32).",
        ),
        (
            contrasted(A_NOT_A, (6, 4, 3, 1), (2, 2, 4, 6), alpha=0.1),
            "A difference was reported for 10 of 14 sets with one and for 4 of 14 sets with none; "
            "Fisher's exact test, one-sided: p = 0.0285 (α = 0.1, n = 28).",
        ),
        (
            tally_in_order(TRIANGLE, "++++++++", sequential=True),
            "8 of 8 correct; Wald's sequential test (α = 0.05, β = 0.2, p_d = 0.3) decided for a "
            "difference after 6 of 8 answers.",
        ),
        (
            tally_in_order(TRIANGLE, "-----+", sequential=True, similarity_aim=True),
            "1 of 6 correct; Wald's sequential test (α = 0.05, β = 0.2, p_d = 0.3) decided for "
            "similarity after 5 of 6 answers.",
        ),
        (
            tally_in_order(TRIANGLE, "-----+", sequential=True),
            "1 of 6 correct; Wald's sequential test (α = 0.05, β = 0.2, p_d = 0.3) stopped at its "
            "lower line after 5 of 6 answers: they were not shown to differ (risk β = 0.2 of "
            "missing p_d = 30 %); the plan did not aim at similarity.",
        ),
        (
            tally_in_order(TRIANGLE, "+-", sequential=True),
            "1 of 2 correct; Wald's sequential test (α = 0.05, β = 0.2, p_d = 0.3) had not decided "
            "after 2 answers.",
        ),
        (
            tally_by_assessor(PREFERENCE, [(3, 3)] * 6 + [(1, 3)]),
            "v2 was preferred in 19 of 21 choices; tested over 7 assessors (21 "
            "answers), α = 0.05; two-sided p = 0.0312.",
        ),
        (
            tally_by_assessor(PAIRED, [(3, 3)] * 6 + [(1, 3)], expected="B"),
            "v2 was called more sour in 19 of 21 tastings; tested over 7 assessors (21 "
            "answers), α = 0.05; one-sided p = 0.0156.",
        ),
        (
            tally_by_assessor(PAIRED, [(3, 3)] * 4),
            "v2 was called more sour in 12 of 12 tastings; 4 assessors are too few to show a "
            "direction (α = 0.05); two-sided p = 0.1250.",
        ),
    ],
)
def test_the_test_where_it_is_another_one(tally: Tally, sentence: str) -> None:
    """Fisher's p by scipy's fisher_exact; 0.0312 is 4 of 2^7 ways to turn seven people round."""
    assert conclude(tally).sentences[0] == sentence


@pytest.mark.parametrize(
    ("method", "more", "count", "said"),
    [
        (
            TRIANGLE,
            STRICT,
            20,
            "About 50 % notice the difference (95 % interval 21–74 %). Sensory distance "
            "d′ = 2.32 (95 % interval 1.32–3.33).",
        ),
        (
            TRIANGLE,
            STRICT,
            15,
            "About 25 % notice the difference (95 % interval 0–53 %). One-sided at α = 0.05 the "
            "limit is 0.8 %; the interval is two-sided. Sensory distance d′ = 1.47 (95 % "
            "interval 0.00–2.43).",
        ),
        (
            TRIANGLE,
            STRICT,
            30,
            "About 100 % notice the difference (95 % interval 83–100 %). Sensory distance "
            "d′ = ∞ (95 % interval 3.85–∞).",
        ),
        (
            TRIANGLE,
            STRICT,
            10,
            "No more correct answers than guessing gives; up to 29 % may notice (95 % interval "
            "0–29 %). Sensory distance d′ = 0.00 (95 % interval 0.00–1.61). That is not evidence "
            "of no difference.",
        ),
        (
            TRIANGLE,
            {"alpha": 0.01},
            16,
            "About 30 % notice the difference (95 % interval 1–57 %). The interval excludes 0, "
            "but the plan asked for α = 0.01. Sensory distance d′ = 1.64 (95 % interval "
            "0.33–2.60). That is not evidence of no difference: the answers fit anything from "
            "1 % to 57 % noticing.",
        ),
        (TRIANGLE, STRICT, 1, "That is not evidence of no difference."),
        (
            PAIRED,
            {},
            6,
            "Lead of v1: 60 % of tastings (95 % interval 23–85 %). Sensory distance d′ = 1.19, "
            "in favour of v1 (95 % interval 0.41–2.01).",
        ),
        (
            PAIRED,
            {"expected": "A"},
            24,
            "80 % called v1 more sour, a lead of 60 % (95 % interval 23–85 %). Sensory distance "
            "d′ = 1.19 "
            "(95 % interval 0.41–2.01).",
        ),
        (
            PREFERENCE,
            {},
            24,
            "Lead of v2: 60 % of answers (95 % interval 23–85 %). Distance in liking d′ = 1.19, "
            "in favour of v2 (95 % interval 0.41–2.01).",
        ),
        (
            PREFERENCE,
            {},
            15,
            "Lead: 0 % of answers (95 % interval 0–37 %). Distance in liking d′ = 0.00 (95 % "
            "interval −0.69 – 0.69). That is not evidence of equal liking: a lead of up to "
            "37 % is possible.",
        ),
    ],
)
def test_the_extent(method: Method, more, count: int, said: str) -> None:
    """The intervals of shares are those of scipy's binomtest, exact, corrected for guessing."""
    assert found(method, count, 30, **more).sentences[1] == said


@pytest.mark.parametrize(
    ("tally", "said"),
    [
        (
            contrasted(SAME_DIFFERENT, (12, 4), (5, 11)),
            "Sensory distance d′ = 2.31 (95 % interval 0.35–3.85).",
        ),
        (contrasted(A_NOT_A, (6, 0, 0, 0), (6, 0, 0, 0)), "That is not evidence of no difference."),
        (
            tally_of(PREFERENCE, 4, 4),
            "Lead of v2: 100 % of answers (95 % interval 0–100 %). Distance in liking d′ = ∞, "
            "in favour of v2 (95 % interval −0.37 – ∞). That is not evidence of equal "
            "liking: a lead of up to 100 % is possible.",
        ),
        (
            contrasted(A_NOT_A, (6, 4, 3, 1), (2, 2, 4, 6)),
            "Sensory distance d′ = 1.09 (95 % interval 0.04–2.16) if assessors know "
            "what differs. Or d′ = 2.30 (95 % interval 0.00–3.93) if they judge by "
            "how far the cup is from the labelled reference.",
        ),
        (
            tally_of(PREFERENCE, 45, 75, undecided=60),
            "Lead of v2: 11 % of all 135 answers (95 % interval 0–27 %). Distance in liking of "
            "those who chose d′ = 0.36, in favour of v2 (95 % interval −0.07 – 0.79). "
            "That is not evidence of equal liking: a lead of up to 27 % is possible.",
        ),
    ],
)
def test_the_extent_where_less_can_be_said(tally: Tally, said: str) -> None:
    assert conclude(tally).sentences[1] == said


@pytest.mark.parametrize(
    ("count", "more", "said"),
    [
        (
            35,
            {"similarity_aim": True},
            "At a risk of β = 0.2 at most 9.5 % notice, fewer than the planned 30 %.",
        ),
        (
            45,
            {"similarity_aim": True},
            "At a risk of β = 0.2 at most 24.6 % notice, fewer than the planned 30 %. The 95 % "
            "interval ends at 33 %, not below 30 %: the claim rests on β = 0.2.",
        ),
        (
            40,
            {"similarity_aim": True, "p_d": 0.1, "beta": 0.05},
            "Similarity at p_d = 10 %, β = 0.05 was not shown.",
        ),
        (
            20,
            {"similarity_aim": True},
            "Fewer answers were correct than guessing gives: similarity is not concluded.",
        ),
    ],
)
def test_what_is_said_of_similarity(count: int, more, said: str) -> None:
    """The limits are those of scipy's beta distribution (Clopper and Pearson 1934)."""
    assert found(TRIANGLE, count, 100, **more).sentences[2] == said


def test_of_similarity_nothing_is_said_unless_it_was_aimed_at_or_shown() -> None:
    said = " ".join(found(TRIANGLE, 40, 100, p_d=0.1).sentences)

    assert "imilar" not in said


def test_answers_without_a_preference_are_told_three_ways() -> None:
    """By scipy: binomtest(20, 30), binomtest(25, 40), chi-squared of the likelihood ratio."""
    assert found(PREFERENCE, 20, 30, undecided=10).sentences[2] == (
        "10 of 40 answers preferred neither. Left out: p = 0.0987; split in half: p = 0.1539; "
        "modelled as answers of their own (Davidson 1970): p = 0.0653."
    )


def test_how_much_assessors_differ_is_told() -> None:
    said = conclude(tally_by_assessor(TRIANGLE, [(3, 3)] * 7 + [(0, 3)] * 13)).sentences[2]

    assert said.startswith("Variation between assessors: γ = ")
    assert "(0 = alike, 1 = all or nothing; 95 % interval " in said


FORBIDDEN = ("the same", "identical", "no difference was", "equivalent", "significant", "equal to")


def said(result: Finding) -> str:
    """All that is said, without the sources in brackets, which quote a title."""
    whole = " ".join([result.headline, *result.sentences, *result.cautions])
    return re.sub(r"\[.*?\]", "", whole).lower()


scores = st.integers(1, 60).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))
GUESSED = [method for method in METHODS.values() if method.psychometric]
rows = st.lists(st.integers(0, 9), min_size=4, max_size=4).map(tuple)


@given(st.sampled_from(GUESSED), scores, st.booleans(), st.booleans())
@settings(deadline=None, max_examples=40)
def test_no_finding_calls_two_samples_the_same(method, count_n, aim, sequential) -> None:
    """Not shown to differ is never "the same"; "significant" is never said."""
    one_sided = tally_of(method, 1, 1).design.sides == 1
    result = found(
        method,
        *count_n,
        similarity_aim=aim and one_sided,
        sequential=sequential and one_sided,
    )
    text = said(result).replace("the same person", "")
    verdict = result.evidence.verdict

    assert not [word for word in FORBIDDEN if word in text]
    unshown = any(word in text for word in ("not shown", "no preference was shown", "neither v1"))
    assert unshown or verdict.difference or verdict.similarity
    assert ("that is not evidence of" in text) is not (verdict.difference or verdict.similarity)


@given(st.sampled_from([SAME_DIFFERENT, A_NOT_A]), rows, rows)
@settings(deadline=None, max_examples=20)
def test_no_contrast_does_either(method: Method, none, some) -> None:
    options = len(method.options)
    if sum(none[:options]) + sum(some[:options]) == 0:
        return
    result = conclude(contrasted(method, none[:options], some[:options]))

    assert not [word for word in FORBIDDEN if word in said(result)]
    assert ("not shown to differ" in said(result)) is not result.shown
