"""The running decision of a sequential test: whether, never which way."""

from collections import defaultdict
from collections.abc import Callable, Sequence
from datetime import timedelta
from itertools import product

import pytest
from sqlalchemy import Engine

from tasting.errors import InputError, LifeCycleError
from tasting.insight.findings.tally import Tally
from tasting.panel.entries import Amendment, Answer
from tasting.panel.session import Session
from tasting.stats import sequential
from tasting.stats.sequential import Decision
from tasting.store import sessions, stopping
from tests.giving import enter_answer
from tests.ui.workshop import START, answered, keep, opened, planned

PLAN = {"sequential": True, "p_d": 0.5, "beta": 0.1}
"""ISO 16820 example: lines -1.624 + 0.5 n and 2.085 + 0.5 n (read in the identical GOST R)."""

LOOKS = {"first_look": 5, "look_every": 2}


def kept(engine: Engine, right: int, wrong: int, **more: object) -> None:
    keep(engine, answered(opened(planned("run", **{**PLAN, **more})), right, wrong))


@pytest.mark.parametrize(
    ("right", "wrong", "enough"),
    [(2, 2, False), (5, 0, True), (0, 5, True), (4, 3, False), (0, 0, False), (7, 2, True)],
)
def test_it_says_whether_and_nothing_else(
    engine: Engine, right: int, wrong: int, enough: bool
) -> None:
    """Counts against the lines, worked out by hand."""
    kept(engine, right, wrong)

    assert stopping.enough_answers(engine, "run") is enough


def test_as_long_as_only_one_decision_is_possible_it_says_go_on(engine: Engine) -> None:
    """Four wrong ones are below 0.5 x 4 - 1.624; four right ones are not above 4.085."""
    kept(engine, 0, 4)

    assert stopping.enough_answers(engine, "run") is False
    with pytest.raises(InputError, match="8 answers are missing"):
        sessions.close_session(engine, "run", START.replace(month=5))


@pytest.mark.parametrize(("right", "wrong"), [(5, 0), (0, 5)])
def test_once_decided_it_closes_without_a_reason(engine: Engine, right: int, wrong: int) -> None:
    kept(engine, right, wrong)
    done = sessions.close_session(engine, "run", START.replace(month=5))

    assert (done.state, done.early, done.early_reason) == ("closed", True, "")
    assert sessions.closed_session(engine, "run") == done


def test_without_a_decision_it_still_needs_one(engine: Engine) -> None:
    kept(engine, 2, 2)

    with pytest.raises(InputError, match="to close early, say why"):
        sessions.close_session(engine, "run", START.replace(month=5))


def test_a_test_of_fixed_size_has_no_running_decision(engine: Engine) -> None:
    kept(engine, 5, 0, sequential=False)

    with pytest.raises(LifeCycleError, match="no sequential test"):
        stopping.enough_answers(engine, "run")


def bits(engine: Engine, tried: Callable[[int], object], times: int) -> list[bool]:
    """What the run page says after each of so many tries."""
    told = [stopping.enough_answers(engine, "run")]
    for number in range(times):
        tried(number)
        told.append(stopping.enough_answers(engine, "run"))
    return told


@pytest.mark.parametrize("plan", [PLAN, {**PLAN, **LOOKS}], ids=["as before", "with looks"])
@pytest.mark.parametrize("right", [4, 5])
@pytest.mark.parametrize("seed", range(5))
def test_amending_the_last_answer_to_each_code_in_turn_tells_nothing(
    engine: Engine, plan: dict[str, object], right: int, seed: int
) -> None:
    """Attack: the code with which the sentence appears was the odd sample's, 5 of 5 times."""
    session = answered(opened(planned("run", **plan), seed), right, 5 - right)
    keep(engine, session)
    last = session.answers[-1]
    codes = session.served[last.assessor, last.replicate].codes

    def amend(number: int) -> None:
        fields = {"assessor": last.assessor, "replicate": 1, "reason": "a slip of the pen"}
        when = START.replace(month=4, minute=number)
        sessions.amend_answer(
            engine, "run", Amendment(**fields, choice=codes[number], made_at=when)
        )

    assert bits(engine, amend, len(codes)) == [right == 5] * 4
    if right < 5:
        with pytest.raises(InputError, match="7 answers are missing; to close early, say why"):
            sessions.close_session(engine, "run", START.replace(month=5))


@pytest.mark.parametrize("plan", [PLAN, {**PLAN, **LOOKS}], ids=["as before", "with looks"])
def test_excluding_one_after_the_other_tells_nothing(
    engine: Engine, plan: dict[str, object]
) -> None:
    """Attack: leaving out the one who was wrong made the sentence appear."""
    session = answered(opened(planned("run", **plan)), 5, 1)
    keep(engine, session)

    def exclude(number: int) -> None:
        who, when = session.answers[number].assessor, START.replace(month=4)
        sessions.exclude_assessor(
            engine, "run", sessions.Exclusion(assessor=who, reason="a cold", made_at=when)
        )

    assert bits(engine, exclude, 6) == [True] * 7


@pytest.mark.parametrize("plan", [PLAN, {**PLAN, **LOOKS}], ids=["as before", "with looks"])
def test_what_was_told_stays_when_the_clock_is_set_back(
    engine: Engine, plan: dict[str, object]
) -> None:
    """Attack: later answers that were dated before the others changed what had been decided."""
    session = answered(opened(planned("run", **plan)), 5, 0)
    keep(engine, session)

    def add(number: int) -> None:
        served = session.sets[5 + number]
        wrong = next(
            one
            for one in session.plan.choices(served.codes)
            if not session.plan.is_counted(served, one)
        )
        enter_answer(engine, "run", served.assessor, 1, wrong, START)

    assert bits(engine, add, 4) == [True] * 5
    done = sessions.close_session(engine, "run", START.replace(month=5))
    assert [one.assessor for one in done.first_given] == [
        served.assessor for served in session.sets[:9]
    ], "as they came"


@pytest.mark.parametrize("plan", [PLAN, {**PLAN, **LOOKS}], ids=["as before", "with looks"])
def test_the_moment_of_the_sentence_does_not_give_the_direction(plan: dict[str, object]) -> None:
    """Attack: at each of 35 moments only one of the decisions was possible. All ways to answer."""
    session = opened(planned("run", **plan))
    directions: dict[int, set[Decision]] = defaultdict(set)
    for score in product((True, False), repeat=9):
        given = scored(session, score)
        if given.told_after is not None:
            run = sequential.run(session.plan.design.wald_test, score)
            directions[given.told_after].add(run.decision)

    assert sorted(directions) == [5, 7, 9]
    assert all(ways == {Decision.DIFFERENT, Decision.SIMILAR} for ways in directions.values())


def scored(session: Session, score: Sequence[bool]) -> Session:
    """The open session with answers that count, or do not, in this order; unchecked."""
    given = []
    for place, (served, counts) in enumerate(zip(session.sets, score, strict=False)):
        choices = session.plan.choices(served.codes)
        choice = next(one for one in choices if session.plan.is_counted(served, one) == counts)
        fields = {"assessor": served.assessor, "replicate": 1, "choice": choice}
        given.append(Answer(**fields, given_at=START + timedelta(days=31, minutes=place)))
    return session.model_copy(update={"answers": tuple(given)})


@pytest.mark.parametrize("plan", [PLAN, {**PLAN, **LOOKS}], ids=["as before", "with looks"])
def test_between_two_looks_nothing_changes(plan: dict[str, object]) -> None:
    """6 of 7 decide, and nothing is told before the seventh; the eighth changes nothing."""
    score = (False, *[True] * 8)
    told = [
        scored(opened(planned("run", **plan)), score[:n]).told_after for n in range(len(score) + 1)
    ]

    assert told == [None] * 7 + [7] * 3


def test_a_session_closed_before_looks_were_fixed_is_read_for_ever() -> None:
    """Four wrong answers and a fifth amended to a wrong one had decided, by the rule of then."""
    session = answered(opened(planned("run", **PLAN)), 0, 5)
    closed = Session.model_validate({**dict(session), "closed_at": START.replace(month=5)})

    assert (closed.early, closed.early_reason) == (True, "")


def test_a_document_whose_answers_are_out_of_order_decides_as_they_came() -> None:
    """Five right, then five wrong: the first five decide, in whatever order they are written."""
    session = answered(opened(planned("run", **PLAN)), 5, 5)
    shuffled = session.model_copy(update={"answers": session.answers[::-1]})

    assert shuffled.counted_answers == session.counted_answers
    assert Tally.of_session(shuffled).given == Tally.of_session(session).given
