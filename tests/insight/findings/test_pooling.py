"""Many sessions together, against statsmodels, scipy and counting by hand."""

import pytest
from scipy.stats import binom, binomtest
from statsmodels.stats.multitest import multipletests

from tasting.errors import SealedError
from tasting.insight.findings.pooling import adjusted, expected_alarms, repeated
from tests.ui.workshop import closed, opened, planned, some_closed


def test_p_values_are_adjusted_as_statsmodels_does() -> None:
    rows = adjusted(some_closed())
    raw = [row.p_value for row in rows]

    assert [row.session.id for row in rows] == ["acid", "syrup", "liking", "unknown"]
    assert [row.holm for row in rows] == pytest.approx(multipletests(raw, method="holm")[1])
    assert [row.benjamini_hochberg for row in rows] == pytest.approx(
        multipletests(raw, method="fdr_bh")[1]
    )


def test_false_alarms_are_counted_by_the_actual_risk_of_each_test() -> None:
    """Scipy's tails: 8 of 12 and 6 of 8 in a triangle, 10 of 12 one-sided, 10 of 12 two-sided."""
    found = expected_alarms(some_closed())
    risks = [
        binom.sf(7, 12, 1 / 3),
        binom.sf(9, 12, 1 / 2),
        2 * binom.sf(9, 12, 1 / 2),
        binom.sf(5, 8, 1 / 3),
    ]

    assert found.tests == 4
    assert found.expected == pytest.approx(sum(risks))


def test_a_sequential_session_has_no_p_but_its_planned_risk() -> None:
    session = closed(planned("run", sequential=True, p_d=0.5, beta=0.1), 5, 0)

    assert adjusted([session]) == ()
    assert expected_alarms([session]).expected == pytest.approx(0.05)


def test_an_open_session_is_refused() -> None:
    for look in (adjusted, expected_alarms, repeated):
        with pytest.raises(SealedError, match="close it first"):
            look([opened(planned("now"))])


def test_the_same_comparison_is_taken_together() -> None:
    """7 and 9 of 12, one of them with the samples the other way round: 16 of 24 by scipy."""
    twice = [
        closed(planned("one"), 7, 5),
        closed(planned("two", a="spritz-2", b="spritz-1"), 9, 3),
        closed(planned("other", b="spritz-3"), 9, 3),
    ]
    (group,) = repeated(twice)
    ((method, found),) = group.by_method

    assert (method.key, found.correct, found.n) == ("triangle", 16, 24)
    assert found.p_value == pytest.approx(binomtest(16, 24, 1 / 3, "greater").pvalue)
    assert [session.id for session in group.sessions] == ["one", "two"]


def test_methods_that_ask_the_same_share_a_distance_but_no_count() -> None:
    pair = [closed(planned("one"), 7, 5), closed(planned("two", "duo-trio"), 9, 3)]
    (group,) = repeated(pair)

    assert [method.key for method, _ in group.by_method] == ["triangle", "duo-trio"]
    assert [found.n for _, found in group.by_method] == [12, 12]
    assert not group.pooled.disagree
    assert group.pooled.interval.low <= group.pooled.value <= group.pooled.interval.high


def test_directions_are_combined_only_if_the_same_one_was_expected() -> None:
    def paired(id: str, expected: str, a: str, b: str):
        return closed(planned(id, "paired", a, b, expected=expected), 8, 4)

    same = [paired("one", "B", "spritz-1", "spritz-2"), paired("two", "A", "spritz-2", "spritz-1")]
    other = [paired("one", "B", "spritz-1", "spritz-2"), paired("two", "B", "spritz-2", "spritz-1")]

    assert [group.question for group in repeated(same)] == ["Spritz, v2 more sour"]
    assert repeated(same)[0].by_method[0][1].correct == 16
    assert repeated(other) == ()


@pytest.mark.parametrize(
    ("method", "more"),
    [("preference", {}), ("paired", {}), ("triangle", {"sequential": True})],
)
def test_what_shares_no_count_is_left_out(method: str, more: dict[str, object]) -> None:
    pair = [closed(planned(id, method, **more), 8, 4) for id in ("one", "two")]

    assert repeated(pair) == ()


def test_without_sessions_there_is_nothing() -> None:
    assert adjusted([]) == ()
    assert repeated([]) == ()
    assert expected_alarms([]).expected == 0
