"""Every sentence that a finding can say, word for word."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tasting.insight.finding import Finding, conclude
from tasting.panel.methods import METHODS, PAIRED, PREFERENCE, TRIANGLE, Method
from tests.insight.tallies import tally_of


def found(method: Method, count: int, n: int, **more: object) -> Finding:
    return conclude(tally_of(method, count, n, **more))


@pytest.mark.parametrize(
    ("method", "expected", "count", "headline"),
    [
        (TRIANGLE, None, 18, "A difference was shown between v1 and v2"),
        (TRIANGLE, None, 9, "v1 and v2 were not shown to differ"),
        (PAIRED, "B", 22, "v2 was found more sour than v1"),
        (PAIRED, "A", 22, "v1 was found more sour than v2"),
        (PAIRED, "B", 16, "v2 was not shown to be more sour than v1"),
        (PAIRED, "A", 16, "v1 was not shown to be more sour than v2"),
        (PAIRED, None, 24, "v2 was found more sour than v1"),
        (PAIRED, None, 6, "v1 was found more sour than v2"),
        (PAIRED, None, 16, "Neither v1 nor v2 was shown to be more sour"),
        (PREFERENCE, None, 24, "v2 was preferred to v1"),
        (PREFERENCE, None, 6, "v1 was preferred to v2"),
        (PREFERENCE, None, 15, "No preference was shown between v1 and v2"),
    ],
)
def test_the_headline(method: Method, expected, count: int, headline: str) -> None:
    assert found(method, count, 30, expected=expected).headline == headline


FAO = "FAO document V7180E, Appendix A (http://www.fao.org/docrep/v7180e/V7180E12.HTM)"
ISO_5495 = "ISO 5495:2005, Table A.1 (read in part in the identical GOST R 53161-2008)"


@pytest.mark.parametrize(
    ("method", "expected", "count", "n", "sentence"),
    [
        (
            TRIANGLE,
            None,
            15,
            30,
            "15 of 30 answers were correct; at least 15 were needed at α = 0.05, n = 30 "
            f"[{FAO}, row n = 30, α = 0.05] (exact one-sided p = 0.0435).",
        ),
        (
            PAIRED,
            "A",
            12,
            20,
            "v1 was called more sour in 12 of 20 answers; at least 15 were needed at α = 0.05, "
            f"n = 20 [{ISO_5495}, row n = 20, α = 0.05] (exact one-sided p = 0.2517).",
        ),
        (
            PAIRED,
            None,
            5,
            20,
            "v1 was called more sour in 15 of 20 answers; at least 15 were needed at α = 0.05, "
            "n = 20 [by the exact binomial] (exact two-sided p = 0.0414).",
        ),
        (
            PREFERENCE,
            None,
            10,
            20,
            "v2 was preferred in 10 of 20 answers; at least 15 were needed at α = 0.05, "
            "n = 20 [by the exact binomial] (exact two-sided p = 1.0000).",
        ),
        (
            PREFERENCE,
            None,
            4,
            4,
            "v2 was preferred in 4 of 4 answers; with n = 4 no score could show a difference "
            "at α = 0.05 (exact two-sided p = 0.1250).",
        ),
        (
            TRIANGLE,
            None,
            30,
            30,
            "30 of 30 answers were correct; at least 15 were needed at α = 0.05, n = 30 "
            f"[{FAO}, row n = 30, α = 0.05] (exact one-sided p < 0.0001).",
        ),
    ],
)
def test_the_evidence(method: Method, expected, count: int, n: int, sentence: str) -> None:
    """The p-values are those of scipy's binomtest, to four digits."""
    assert found(method, count, n, expected=expected).sentences[0] == sentence


@pytest.mark.parametrize(
    ("method", "expected", "count", "sentence"),
    [
        (
            TRIANGLE,
            None,
            20,
            "The difference was noticed in about 50 % of tastings "
            "(95 % interval 21 to 74 %, two-sided).",
        ),
        (
            TRIANGLE,
            None,
            10,
            "The difference was noticed in about 0 % of tastings "
            "(95 % interval 0 to 29 %, two-sided). That is not evidence of no difference: "
            "one noticed in up to 29 % of tastings would fit these answers.",
        ),
        (
            PAIRED,
            None,
            6,
            "The difference was noticed in about 60 % of tastings "
            "(95 % interval 23 to 85 %, two-sided).",
        ),
        (
            PREFERENCE,
            None,
            24,
            "The lead of one sample over the other was 60 % of answers "
            "(95 % interval 23 to 85 %, two-sided).",
        ),
        (
            PREFERENCE,
            None,
            15,
            "The lead of one sample over the other was 0 % of answers "
            "(95 % interval 0 to 37 %, two-sided). That is not evidence of equal liking: "
            "a lead of up to 37 % of answers would fit these answers.",
        ),
    ],
)
def test_the_extent(method: Method, expected, count: int, sentence: str) -> None:
    """The intervals are those of scipy's binomtest, exact method, corrected for guessing."""
    assert found(method, count, 30, expected=expected).sentences[1] == sentence


@pytest.mark.parametrize(
    ("method", "count", "more", "sentence"),
    [
        (TRIANGLE, 20, {}, "Next: ask in which direction with a paired comparison"),
        (PAIRED, 25, {}, "Next: move the formula towards the reference by less than this step"),
        (PREFERENCE, 25, {}, "Next: keep the preferred version as the parent of the next one."),
        (TRIANGLE, 9, {}, "Next: if a smaller difference matters, plan a session with a smaller"),
        (TRIANGLE, 9, {"planned": 40}, "Next: run it again with all the tastings that were"),
        (PREFERENCE, 25, {"planned": 40}, "Next: keep the preferred version as the parent"),
    ],
)
def test_one_thing_to_do_next(method: Method, count: int, more, sentence: str) -> None:
    assert found(method, count, 30, **more).sentences[2].startswith(sentence)


EARLY = "Closed early, with 30 of 36 planned answers: The bottle broke"
ALONE = "All answers are by one assessor: this speaks for that person only."
REPEATED = (
    "10 assessors gave 30 answers: repeated answers of one person are not independent, so the "
    "interval speaks for these assessors, not for others."
)
LIKING = (
    "Repeated preferences count one person's liking several times: do not read the p-value as "
    "evidence about other people."
)


@pytest.mark.parametrize(
    ("method", "more", "cautions"),
    [
        (TRIANGLE, {}, ()),
        (TRIANGLE, {"planned": 36, "early_reason": "The bottle broke"}, (EARLY,)),
        (TRIANGLE, {"assessors": 1}, (ALONE,)),
        (TRIANGLE, {"assessors": 10}, (REPEATED,)),
        (PREFERENCE, {}, ()),
        (PREFERENCE, {"assessors": 10}, (REPEATED, LIKING)),
        (PREFERENCE, {"assessors": 1}, (ALONE, LIKING)),
        (
            PAIRED,
            {"planned": 36, "early_reason": "The bottle broke", "assessors": 10},
            (EARLY, REPEATED),
        ),
    ],
)
def test_what_limits_the_finding_is_said(method: Method, more, cautions: tuple[str, ...]) -> None:
    assert found(method, 20, 30, **more).cautions == cautions


@given(
    st.sampled_from(list(METHODS.values())),
    st.integers(1, 60).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))),
)
@settings(deadline=None)
def test_no_finding_calls_two_samples_alike(method: Method, count_n: tuple[int, int]) -> None:
    """Not shown to differ is never "the same"; "significant" is never said."""
    result = found(method, *count_n)
    said = " ".join([result.headline, *result.sentences, *result.cautions]).lower()

    for word in ("the same", "identical", "no difference was", "equivalent", "significant"):
        assert word not in said
    assert ("not shown" in said or "no preference was shown" in said or "neither" in said) is (
        not result.shown
    )
