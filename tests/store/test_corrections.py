"""Corrections before unblinding: each is a new record beside the old one."""

from datetime import timedelta

import pytest
from sqlalchemy import Engine

from tasting.errors import InputError, LifeCycleError, NotFoundError
from tasting.panel.entries import Amendment, Exclusion
from tasting.panel.session import Session
from tasting.store import ballots, sessions
from tasting.store.documents import export_document
from tests.ui.workshop import START, answered, closed, keep, opened, planned

LATER = START + timedelta(days=32)
SECRET = b"of the host's passphrase"


@pytest.fixture
def session() -> Session:
    """An open triangle session with three right answers and one wrong one."""
    return answered(opened(planned("acid")), 3, 1)


@pytest.fixture
def running(engine: Engine, session: Session) -> Engine:
    """The session in a database."""
    keep(engine, session)
    return engine


def other_choice(session: Session, place: int = 0) -> str:
    """A code of this answer's set that was not chosen."""
    given = session.answers[place]
    return next(
        code
        for code in session.served[given.assessor, given.replicate].codes
        if code != given.choice
    )


def change(session: Session, **more: object) -> Amendment:
    fields = {"assessor": "Assessor 1", "replicate": 1, "choice": other_choice(session)}
    return Amendment(**{**fields, "reason": "misheard", "made_at": LATER, **more})


def exclusion(**more: object) -> Exclusion:
    fields = {"assessor": "Assessor 1", "reason": "had a cold", "made_at": LATER}
    return Exclusion(**{**fields, **more})


def ended(engine: Engine) -> Session:
    return sessions.close_session(engine, "acid", LATER, "Enough for the test")


def test_an_amended_answer_counts_and_the_first_one_stays(
    running: Engine, session: Session
) -> None:
    sessions.amend_answer(running, "acid", change(session))
    done = ended(running)

    assert done.answers == session.answers
    assert done.counted_answers[0].choice == other_choice(session)
    assert [kept.reason for kept in done.amendments] == ["misheard"]


def test_of_two_amendments_the_later_counts(running: Engine, session: Session) -> None:
    first = session.answers[0].choice
    sessions.amend_answer(running, "acid", change(session))
    again = change(session, choice=first, made_at=LATER + timedelta(seconds=1))
    sessions.amend_answer(running, "acid", again)
    done = sessions.close_session(running, "acid", LATER + timedelta(minutes=1), "Enough")

    assert len(done.amendments) == 2
    assert done.counted_answers[0].choice == first


def test_an_amendment_tells_its_reason_but_not_the_choice(
    running: Engine, session: Session
) -> None:
    sessions.amend_answer(running, "acid", change(session))
    event = sessions.events(running, "acid")[-1]

    assert event.detail == "Assessor 1: set 1, because: misheard"
    assert other_choice(session) not in event.detail


def test_the_longest_reasons_leave_the_session_readable(running: Engine, session: Session) -> None:
    """Its events say whose and of which set as well, and so are longer than a reason may be."""
    longest = "x" * 2000
    sessions.amend_answer(running, "acid", change(session, reason=longest))
    sessions.exclude_assessor(running, "acid", exclusion(assessor="Assessor 2", reason=longest))

    assert [event.detail[-2000:] for event in sessions.events(running, "acid")] == [longest] * 2
    assert ended(running).state == "closed"


@pytest.mark.parametrize(
    ("more", "match"),
    [
        ({"assessor": "Nobody"}, "there is no answer to amend"),
        ({"assessor": "Assessor 9"}, "there is no answer to amend"),
        ({"choice": "000"}, "'000' cannot be chosen there"),
    ],
)
def test_what_cannot_be_amended_is_said(
    running: Engine, session: Session, more: dict[str, str], match: str
) -> None:
    with pytest.raises(InputError, match=match):
        sessions.amend_answer(running, "acid", change(session, **more))
    assert ended(running).amendments == ()


def test_an_excluded_assessor_does_not_count_but_stays_on_record(
    running: Engine, session: Session
) -> None:
    sessions.exclude_assessor(running, "acid", exclusion())
    assert sessions.seats(running, "acid")[0].excluded
    done = ended(running)

    assert done.answers == session.answers
    assert [given.assessor for given in done.counted_answers] == [
        "Assessor 2",
        "Assessor 3",
        "Assessor 4",
    ]


@pytest.mark.parametrize(
    ("who", "match"),
    [("Nobody", "there is no such assessor"), ("Assessor 1", "is excluded already")],
)
def test_who_cannot_be_excluded_is_said(running: Engine, who: str, match: str) -> None:
    sessions.exclude_assessor(running, "acid", exclusion())
    with pytest.raises(InputError, match=match):
        sessions.exclude_assessor(running, "acid", exclusion(assessor=who))


def test_a_clock_that_was_set_back_after_a_correction_does_not_keep_it_open(
    running: Engine, session: Session
) -> None:
    """It is closed no earlier than the last correction, which has to come before unblinding."""
    ahead = LATER + timedelta(hours=1)
    sessions.exclude_assessor(running, "acid", exclusion(made_at=ahead))
    sessions.amend_answer(running, "acid", change(session))

    assert ended(running).closed_at == ahead


@pytest.mark.parametrize(
    "other", [planned("other"), opened(planned("other")).abandoned(LATER, "The bottle broke")]
)
def test_before_opening_and_after_giving_up_nothing_is_corrected(
    engine: Engine, session: Session, other: Session
) -> None:
    keep(engine, other)
    for correct, with_ in (
        (sessions.amend_answer, change(session)),
        (sessions.exclude_assessor, exclusion()),
    ):
        with pytest.raises(LifeCycleError, match=f"is {other.state}; that is done while it is"):
            correct(engine, "other", with_)


def test_after_unblinding_nothing_is_corrected(running: Engine, session: Session) -> None:
    ended(running)
    for correct, with_ in (
        (sessions.amend_answer, change(session)),
        (sessions.exclude_assessor, exclusion()),
    ):
        with pytest.raises(LifeCycleError, match="is closed; that is done while it is open"):
            correct(running, "acid", with_)


def test_an_abandoned_session_stays_on_record_with_its_reason(running: Engine) -> None:
    with pytest.raises(InputError, match="to abandon a session, say why"):
        sessions.abandon_session(running, "acid", LATER, " ")
    sessions.abandon_session(running, "acid", LATER, "The bottle broke")
    found = sessions.summary(running, "acid")

    assert (found.state, found.abandoned_reason) == ("abandoned", "The bottle broke")
    with pytest.raises(LifeCycleError, match="is abandoned already"):
        sessions.abandon_session(running, "acid", LATER, "again")
    with pytest.raises(LifeCycleError, match="is abandoned, so it cannot be closed"):
        ended(running)


def test_an_erased_pseudonym_leaves_the_counts_and_the_seal(engine: Engine) -> None:
    """Reading the session back checks its seal, which does not hold the pseudonyms."""
    keep(engine, closed(planned("acid"), 10, 2), opened(planned("next", assessors=("Ann",))))
    assert sessions.erase_pseudonym(engine, "Assessor 1") == 1
    (found,) = export_document(engine).sessions

    assert len(found.answers) == 12
    assert found.plan.assessors[0].startswith("erased ")
    assert '"Assessor 1"' not in found.model_dump_json()


@pytest.mark.parametrize(
    ("who", "fault", "match"),
    [
        ("Assessor 1", LifeCycleError, "is in an open session; close it first"),
        ("Nobody", NotFoundError, "no session has an assessor called 'Nobody'"),
    ],
)
def test_a_pseudonym_that_cannot_be_erased_is_said(
    running: Engine, who: str, fault: type[Exception], match: str
) -> None:
    with pytest.raises(fault, match=match):
        sessions.erase_pseudonym(running, who)


def test_who_tastes_alone_cannot_change_the_cup_after_seeing_its_code(engine: Engine) -> None:
    keep(engine, opened(planned("acid", assessors=("Ann",), alone=True)))
    token = ballots.links(engine, "acid", SECRET)["Ann"]
    assert ballots.ballot(engine, token).position is None
    for cup in (2, 3):
        ballots.record_position(engine, token, 1, cup, LATER)

    assert ballots.ballot(engine, token).position == 2


@pytest.mark.parametrize("cup", [0, 4])
def test_a_cup_that_is_not_there_is_said(engine: Engine, cup: int) -> None:
    keep(engine, opened(planned("acid", assessors=("Ann",), alone=True)))
    token = ballots.links(engine, "acid", SECRET)["Ann"]
    with pytest.raises(InputError, match=f"there is no cup {cup} in this set"):
        ballots.record_position(engine, token, 1, cup, LATER)
