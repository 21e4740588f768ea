"""Which of many versions is preferred, against choix."""

import choix
import numpy as np
import pytest

from tasting.errors import InputError, SealedError
from tasting.insight.findings.ranking import preferred
from tasting.panel.entries import Answer
from tasting.panel.plan import NO_PREFERENCE
from tasting.panel.session import Session
from tests.ui.workshop import START, closed, opened, planned


def liking(id: str, a: str, b: str, for_b: int, for_a: int) -> Session:
    return closed(planned(id, "preference", a, b), for_b, for_a)


ROUND = [
    liking("one", "spritz-1", "spritz-2", 8, 4),
    liking("two", "spritz-2", "spritz-3", 5, 7),
    liking("three", "spritz-1", "spritz-3", 9, 3),
]


def test_worths_agree_with_choix() -> None:
    """choix.opt_pairwise is another maximum-likelihood fit of Bradley and Terry's model."""
    found = preferred(ROUND)
    pairs = [(1, 0)] * 8 + [(0, 1)] * 4 + [(1, 2)] * 7 + [(2, 1)] * 5 + [(2, 0)] * 9 + [(0, 2)] * 3
    expected = choix.opt_pairwise(3, pairs)

    assert [sample.id for sample in found.samples] == ["spritz-1", "spritz-2", "spritz-3"]
    assert [worth.value for worth in found.worths.log_worths] == pytest.approx(
        expected - expected.mean(), abs=1e-4
    )
    assert (found.sessions, found.votes, found.undecided) == (3, 36, 0)
    assert found.worths.tie_weight is None


def test_two_versions_make_no_order() -> None:
    assert preferred(ROUND[:1]) is None
    assert preferred([]) is None
    assert preferred([closed(planned("acid"), 9, 3)]) is None


def test_only_the_largest_connected_group_is_put_in_order() -> None:
    apart = liking("apart", "R", "S", 6, 6)

    assert preferred([*ROUND, apart]).samples == preferred(ROUND).samples
    assert preferred([*ROUND, apart]).votes == 36


def test_a_version_that_always_won_has_no_place_and_is_named() -> None:
    always = [ROUND[0], liking("two", "spritz-2", "spritz-3", 12, 0)]

    with pytest.raises(InputError, match=r"Spritz, v3.*everyone chose the same side"):
        preferred(always)


def test_an_open_session_is_refused() -> None:
    with pytest.raises(SealedError, match="close it first"):
        preferred([opened(planned("now", "preference"))])


def given(session: Session, said: str) -> Session:
    """Set by set: "B" or "A" chosen, "=" neither."""
    sets = session.sets
    answers = tuple(
        Answer(
            assessor=served.assessor,
            replicate=served.replicate,
            choice=NO_PREFERENCE if one == "=" else served.codes[served.letters.index(one)],
            given_at=START.replace(month=3),
        )
        for served, one in zip(sets, said, strict=True)
    )
    done = Session.model_validate({**dict(session), "answers": answers})
    return done.closed(START.replace(month=4))


def test_undecided_people_are_modelled_as_ties() -> None:
    tied = given(opened(planned("one", "preference", no_preference=True)), "BBBBBBAAA===")
    found = preferred([tied, *ROUND[1:]])

    assert found.undecided == 3
    assert found.worths.tie_weight is not None


def test_repeated_answers_of_one_person_are_one_vote() -> None:
    """Three sets each: what a person chose twice or more counts once; one of each is no lead."""
    people = ("P1", "P2", "P3", "P4")
    session = opened(
        planned("one", "preference", assessors=people, replicates=3, no_preference=True)
    )
    by_person = {"P1": "BBA", "P2": "BBB", "P3": "AAB", "P4": "BA="}
    said = "".join(by_person[served.assessor][served.replicate - 1] for served in session.sets)
    found = preferred([given(session, said), *ROUND[1:]])

    assert found.votes == 4 + 24
    assert found.undecided == 1


def test_the_intervals_lie_around_the_worths() -> None:
    found = preferred(ROUND)

    assert found.worths.ranking == tuple(np.argsort(-np.array(found.worths.worths)))
    assert all(worth.low < worth.value < worth.high for worth in found.worths.log_worths)
