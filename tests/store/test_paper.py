"""Paper beside phones: slips that tell no sample; answers typed in, all of them or none."""

from datetime import timedelta

import pytest
from sqlalchemy import Engine

from tasting.errors import InputError, LifeCycleError
from tasting.panel.ballots import TypedAnswer
from tasting.panel.entries import Amendment
from tasting.panel.session import Session
from tasting.store import ballots, paper, sessions
from tests.ui.workshop import START, answered, keep, opened, planned

LATER = START + timedelta(days=31, hours=1)
WHO = "Assessor 1"


@pytest.fixture
def running(engine: Engine) -> Engine:
    """An open triangle session: twelve assessors, two sets each."""
    keep(engine, opened(planned("acid", replicates=2)))
    return engine


def typed(engine: Engine, *places: tuple[str, int, int]) -> list[tuple[int, TypedAnswer]]:
    """Assessor, set and place of the cup, typed as lines 2, 3, ..."""
    known = {(slip.assessor, slip.replicate): slip for slip in paper.slips(engine, "acid")}
    return [
        (line, TypedAnswer(assessor=who, set=turn, choice=known[who, turn].codes[cup]))
        for line, (who, turn, cup) in enumerate(places, start=2)
    ]


def enter(engine: Engine, lines: list[tuple[int, TypedAnswer]]) -> int:
    """Type these lines in."""
    return paper.enter_typed(engine, "acid", lines, LATER)


def kept(engine: Engine) -> Session:
    """The session, closed."""
    return sessions.close_session(engine, "acid", LATER, "enough for the test")


def test_slips_come_assessor_by_assessor_with_the_codes_of_the_key(running: Engine) -> None:
    slips = paper.slips(running, "acid")
    session = kept(running)

    assert [(slip.assessor, slip.replicate) for slip in slips[:3]] == [
        (WHO, 1),
        (WHO, 2),
        ("Assessor 2", 1),
    ]
    assert all(slip.codes == session.served[slip.assessor, slip.replicate].codes for slip in slips)


@pytest.mark.parametrize("method", ["triangle", "duo-trio", "same-different"])
def test_slips_tell_neither_a_sample_nor_a_serving_order(engine: Engine, method: str) -> None:
    session = opened(planned("acid", method))
    keep(engine, session)
    shown = repr(paper.slips(engine, "acid"))

    assert not any(f"'{served.order}'" in shown for served in session.sets)
    assert "Spritz" not in shown


def test_a_session_that_is_not_open_has_no_slips(engine: Engine) -> None:
    keep(engine, planned("acid"))
    with pytest.raises(LifeCycleError, match="is planned; that needs an open one"):
        paper.slips(engine, "acid")


def test_who_stopped_gives_no_more_answers_on_paper_either(running: Engine) -> None:
    token = ballots.links(running, "acid", b"secret")[WHO]
    ballots.withdraw(running, token, LATER)
    with pytest.raises(InputError, match="line 2: 'Assessor 1' stopped this tasting"):
        enter(running, typed(running, (WHO, 1, 0)))
    assert sessions.summary(running, "acid").answered == 0


def test_typed_answers_are_kept_in_the_order_of_their_sets(running: Engine) -> None:
    lines = typed(running, (WHO, 2, 0), (WHO, 1, 1), ("Assessor 2", 1, 2))

    assert enter(running, lines) == 3
    assert [seat.answered for seat in sessions.seats(running, "acid")][:3] == [2, 1, 0]
    given = {(one.assessor, one.replicate): one.choice for one in kept(running).answers}
    assert given == {(one.assessor, one.replicate): one.choice for _, one in lines}


def test_one_fault_keeps_everything_out(running: Engine) -> None:
    lines = typed(running, (WHO, 1, 0), ("Assessor 2", 1, 0))
    stranger = TypedAnswer(assessor="Nobody", set=1, choice="482")

    with pytest.raises(InputError, match="line 9: this session has no assessor called 'Nobody'"):
        enter(running, [*lines, (9, stranger)])
    assert sessions.summary(running, "acid").answered == 0


def test_a_code_that_is_not_in_the_set_is_told_with_its_line(running: Engine) -> None:
    wrong = TypedAnswer(assessor=WHO, set=1, choice="000")
    with pytest.raises(InputError, match="line 2: '000' cannot be chosen in set 1"):
        enter(running, [(2, wrong)])


def test_a_set_cannot_be_skipped(running: Engine) -> None:
    with pytest.raises(InputError, match="line 2: set 1 of 'Assessor 1' comes first"):
        enter(running, typed(running, (WHO, 2, 0)))


def test_what_was_answered_is_amended_and_not_typed_again(running: Engine) -> None:
    enter(running, typed(running, (WHO, 1, 0)))
    with pytest.raises(InputError, match="line 2: 'Assessor 1' answered set 1 already; amend it"):
        enter(running, typed(running, (WHO, 1, 1)))


def test_the_record_says_that_they_came_from_paper_and_not_which(running: Engine) -> None:
    lines = typed(running, (WHO, 1, 0))
    enter(running, lines)
    last = sessions.events(running, "acid")[-1]

    assert (last.what, last.detail) == ("answers typed from paper", "1")
    assert lines[0][1].choice not in repr(sessions.events(running, "acid"))


def test_an_amendment_may_be_typed_in_any_order(engine: Engine) -> None:
    session = opened(planned("acid", "tetrad"))
    first = session.sets[0]
    keep(engine, session)
    right = session.plan.choices(first.codes)[1]
    slip = TypedAnswer(assessor=first.assessor, set=1, choice=" ".join(first.codes[:2]))
    paper.enter_typed(engine, "acid", [(1, slip)], LATER)
    change = Amendment(
        assessor=first.assessor,
        replicate=1,
        choice=", ".join(reversed(right.split("+"))),
        reason="misread",
        made_at=LATER,
    )
    paper.amend_typed(engine, "acid", change)

    assert [one.choice for one in kept(engine).counted_answers] == [right]


def test_an_answer_that_was_not_given_cannot_be_amended(engine: Engine) -> None:
    keep(engine, answered(opened(planned("acid")), 1, 0))
    change = Amendment(
        assessor="Assessor 2", replicate=1, choice="482", reason="misread", made_at=LATER
    )
    with pytest.raises(InputError, match="there is no answer to amend"):
        paper.amend_typed(engine, "acid", change)
