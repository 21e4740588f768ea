"""What all sessions of one pair allow to be claimed: never more than counts and plans do."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from scipy import stats

from tasting.insight.findings.closed_session import ClosedSession
from tasting.insight.findings.finding import conclude
from tasting.insight.findings.pair import Claim, of_pair
from tasting.panel.methods import METHODS
from tasting.panel.plan import Sample
from tests.insight.tallies import tally_of

DAY = datetime(2026, 3, 1, tzinfo=UTC)
A, B = (Sample(kind="version", id=id_, name=id_) for id_ in ("v1", "v2"))
SHOWN = (Claim.DIFFERS, Claim.SMALL)


def session(count, n, method="triangle", day=0, **more):
    tally = tally_of(METHODS[method], count, n, **more)
    made = ClosedSession(
        id=f"s{day}",
        name=f"session {day}",
        invented="",
        closed_at=DAY + timedelta(days=day),
        a=A,
        b=B,
        answers=n,
        tally=tally,
    )
    return made, conclude(tally)


def claimed(*known):
    return of_pair([one for one, _ in known])


def test_a_pair_that_nobody_compared_has_no_finding():
    assert of_pair([]) is None


@pytest.mark.parametrize(
    ("count", "n", "more", "claim"),
    [
        (15, 24, {}, Claim.DIFFERS),
        (10, 24, {}, Claim.OPEN),
        (2, 24, {}, Claim.CHECK),
        (20, 60, {"similarity_aim": True, "beta": 0.05}, Claim.SIMILAR),
    ],
)
def test_one_session_claims_what_its_finding_claims(count, n, more, claim):
    """13 of 24 and 25 of 60 are rows of the tables of ISO 4120:2004 (from memory)."""
    assert claimed(session(count, n, **more)).claim is claim


@given(some.integers(6, 60), some.data(), some.sampled_from(["triangle", "tetrad", "duo-trio"]))
def test_no_claim_of_one_session_goes_beyond_its_finding(n, data, method):
    aim = data.draw(some.booleans())
    one = session(data.draw(some.integers(0, n)), n, method, similarity_aim=aim)
    found, verdict = claimed(one), one[1].evidence.verdict

    assert found.claim not in SHOWN or verdict.difference
    assert found.claim not in (Claim.SIMILAR, Claim.SMALL) or verdict.similarity


@settings(max_examples=15)
@given(some.lists(some.tuples(some.integers(0, 24), some.just(24)), min_size=2, max_size=5))
def test_pooled_sessions_claim_by_all_answers_at_a_risk_shared_among_looks(scores):
    """By another way: the binomial distribution of scipy."""
    found = claimed(*(session(*score, day=day) for day, score in enumerate(scores)))
    count, n = sum(count for count, _ in scores), 24 * len(scores)
    p = stats.binom.sf(count - 1, n, 1 / 3)

    assert (found.count, found.n) == (count, n)
    assert found.claim not in SHOWN or p <= 0.05 / len(scores)
    assert found.claim is not Claim.SIMILAR
    assert (count >= found.needed) == (p <= 0.05 / len(scores))


def test_looking_again_until_something_shows_stays_within_alpha():
    """Exact, for two looks of 8 triangles each at chance: first alone, then both together."""
    chance = [stats.binom.pmf(x, 8, 1 / 3) for x in range(9)]
    risk = 0.0
    for first in range(9):
        for second in range(9):
            both = claimed(session(first, 8), session(second, 8, day=1))
            if both.claim in SHOWN:
                risk += chance[first] * chance[second]

    assert risk <= 0.025


def test_similarity_of_the_newest_is_withdrawn_where_all_answers_leave_room():
    aim = {"similarity_aim": True, "beta": 0.05}
    assert claimed(session(20, 60, day=1, **aim)).claim is Claim.SIMILAR
    both = claimed(session(33, 60, **aim), session(20, 60, day=1, **aim))

    assert both.claim is not Claim.SIMILAR
    assert both.disagree


def test_a_direction_that_is_shown_tells_where_a_difference_test_does_not():
    triangle = session(9, 24)
    paired = session(20, 24, "paired", day=1, expected="B")

    assert claimed(triangle).claim is Claim.OPEN
    found = claimed(triangle, paired)
    assert found.claim is Claim.DIFFERS
    assert found.finding is paired[1]
    assert found.distance is None


def test_similar_in_one_attribute_is_not_similar():
    paired = session(30, 60, "paired", expected="B", similarity_aim=True, beta=0.05)

    assert paired[1].evidence.verdict.similarity
    assert claimed(paired).claim is Claim.OPEN


def test_several_methods_are_pooled_by_distance():
    found = claimed(session(16, 24), session(20, 24, "tetrad", day=1))

    assert found.claim is Claim.DIFFERS
    assert found.needed is None
    assert found.distance.low > 0
