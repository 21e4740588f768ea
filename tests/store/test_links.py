"""Links are hashes in the database; answers from paper go in blind; the record tells no choice."""

import hashlib
import hmac
from base64 import urlsafe_b64encode
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from datetime import timedelta

import pytest
from sqlalchemy import Engine, select

from tasting.errors import InputError, LifeCycleError, NotFoundError
from tasting.panel.entries import Amendment, Exclusion
from tasting.panel.methods import METHODS
from tasting.panel.session import Session
from tasting.store import ballots, schema, sessions
from tasting.store.database import reading
from tests.giving import enter_answer, record_answer
from tests.ui.workshop import START, closed, keep, opened, planned

LATER = START + timedelta(days=31)
SECRET = b"of the host's passphrase"
FIRST, SECOND = "Assessor 1", "Assessor 2"


@pytest.fixture
def running(engine: Engine) -> Engine:
    """An open triangle session: twelve assessors, two sets each."""
    keep(engine, opened(planned("acid", replicates=2)))
    return engine


def seat_rows(engine: Engine) -> list[dict[str, object]]:
    with reading(engine) as connection:
        wanted = select(schema.seat).order_by(schema.seat.c.number)
        return [dict(row) for row in connection.execute(wanted).mappings()]


def test_until_the_host_asks_for_links_none_works(running: Engine) -> None:
    assert {row["token_hash"] for row in seat_rows(running)} == {None}
    with pytest.raises(NotFoundError, match="this link is not known"):
        ballots.ballot(running, ballots.link_token(SECRET, "acid", 0, 0))


def test_a_token_is_an_hmac_of_session_seat_and_issue() -> None:
    """HMAC-SHA-256 (RFC 2104), by the standard library's older interface."""
    whole = hmac.new(SECRET, b"acid|3|1", hashlib.sha256).digest()

    assert ballots.link_token(SECRET, "acid", 3, 1) == urlsafe_b64encode(whole[:24]).decode()


def test_a_row_holds_the_sha_256_of_its_token_and_nothing_to_make_it_from(running: Engine) -> None:
    tokens = ballots.links(running, "acid", SECRET)
    for row in seat_rows(running):
        token = tokens[row["assessor"]]

        assert row["token_hash"] == hashlib.sha256(token.encode()).hexdigest()
        assert token not in {str(value) for value in row.values()}


def test_what_a_stolen_row_holds_opens_no_ballot(running: Engine) -> None:
    ballots.links(running, "acid", SECRET)
    for value in seat_rows(running)[0].values():
        with pytest.raises(NotFoundError, match="this link is not known"):
            ballots.ballot(running, str(value))


def test_asking_again_gives_the_links_that_were_handed_out(running: Engine) -> None:
    before = ballots.links(running, "acid", SECRET)

    assert ballots.links(running, "acid", SECRET) == before
    assert [ballots.ballot(running, token).assessor for token in before.values()] == list(before)


def test_another_secret_makes_other_links_and_ends_the_old_ones(running: Engine) -> None:
    before = ballots.links(running, "acid", SECRET)
    after = ballots.links(running, "acid", b"of another passphrase")

    assert not set(before.values()) & set(after.values())
    with pytest.raises(NotFoundError):
        ballots.ballot(running, before[FIRST])


def test_a_new_link_ends_the_old_one_at_once_and_no_other(running: Engine) -> None:
    before = ballots.links(running, "acid", SECRET)
    ballots.new_link(running, "acid", 0, LATER)
    with pytest.raises(NotFoundError, match="this link is not known"):
        ballots.ballot(running, before[FIRST])
    after = ballots.links(running, "acid", SECRET)

    assert {who for who in before if before[who] != after[who]} == {FIRST}
    assert ("link replaced", FIRST) in told(running)


def test_a_seat_that_is_not_there_gets_no_link_and_leaves_no_line(running: Engine) -> None:
    with pytest.raises(NotFoundError, match="this session has no seat 12"):
        ballots.new_link(running, "acid", 12, LATER)
    assert told(running) == []


def test_a_new_link_leads_to_the_set_that_comes_next(running: Engine) -> None:
    token = ballots.links(running, "acid", SECRET)[FIRST]
    record_answer(running, token, 1, ballots.ballot(running, token).codes[0], LATER)
    ballots.new_link(running, "acid", 0, LATER)

    assert ballots.ballot(running, ballots.links(running, "acid", SECRET)[FIRST]).replicate == 2


def abandoned() -> Session:
    return opened(planned("acid")).abandoned(LATER, "The bottle broke")


@pytest.mark.parametrize(
    "session",
    [planned("acid"), closed(planned("acid"), 10, 2), abandoned()],
    ids=lambda session: session.state,
)
def test_only_an_open_session_has_links_and_takes_answers(engine: Engine, session: Session) -> None:
    keep(engine, session)
    for ask in (
        lambda: ballots.links(engine, "acid", SECRET),
        lambda: ballots.new_link(engine, "acid", 0, LATER),
        lambda: enter_answer(engine, "acid", FIRST, 1, "314", LATER),
    ):
        with pytest.raises(LifeCycleError, match=f"this session is {session.state}; it takes no"):
            ask()


# What the record tells.


def told(engine: Engine) -> list[tuple[str, str]]:
    return [(event.what, event.detail) for event in sessions.events(engine, "acid")]


def a_whole_evening(engine: Engine) -> Session:
    """Everything that leaves a line on record, from the plan to the end."""
    keep(engine)
    sessions.plan_session(engine, planned("acid", assessors=(FIRST, SECOND)))
    sessions.open_session(engine, "acid", LATER)
    token = ballots.links(engine, "acid", SECRET)[FIRST]
    ballots.consent(engine, token, LATER)
    codes = ballots.ballot(engine, token).codes
    record_answer(engine, token, 1, codes[0], LATER, remark="sharp", sure=True)
    change = {"assessor": FIRST, "replicate": 1, "choice": codes[1], "reason": "mistyped"}
    sessions.amend_answer(engine, "acid", Amendment(**change, made_at=LATER))
    gone = Exclusion(assessor=SECOND, reason="had a cold", made_at=LATER)
    sessions.exclude_assessor(engine, "acid", gone)
    ballots.withdraw(engine, token, LATER)
    sessions.pour_sheet(engine, "acid", LATER, "host")
    return sessions.close_session(engine, "acid", LATER, "One had a cold")


def test_everything_that_happened_is_on_record_in_order(engine: Engine) -> None:
    sealed = a_whole_evening(engine).sealed

    assert told(engine) == [
        ("planned", ""),
        ("opened", f"seal {sealed}"),
        ("consent given", FIRST),
        ("answer", f"{FIRST}: set 1"),
        ("answer amended", f"{FIRST}: set 1, because: mistyped"),
        ("assessor excluded", f"{SECOND}: had a cold"),
        ("assessor withdrew", FIRST),
        ("pour sheet shown", "to host"),
        ("closed", "One had a cold"),
    ]


def test_the_record_tells_neither_the_key_nor_a_choice(engine: Engine) -> None:
    done = a_whole_evening(engine)
    text = " ".join(detail for _, detail in told(engine)).replace(done.sealed, "")

    assert done.salt not in text
    for served in done.sets:
        assert not [code for code in served.codes if code in text]
        assert served.order not in text


# Answers on paper, typed in by the host.


def codes_of(engine: Engine, who: str) -> tuple[str, ...]:
    return ballots.ballot(engine, ballots.links(engine, "acid", SECRET)[who]).codes


def test_an_answer_from_paper_counts_like_any_other(running: Engine) -> None:
    code = codes_of(running, SECOND)[2]
    enter_answer(running, "acid", SECOND, 1, code, LATER)
    done = sessions.close_session(running, "acid", LATER, "Enough for the test")

    assert [(one.assessor, one.choice, one.given_at) for one in done.answers] == [
        (SECOND, code, LATER)
    ]


def test_what_was_answered_is_not_typed_in_over_it(running: Engine) -> None:
    codes = codes_of(running, FIRST)
    enter_answer(running, "acid", FIRST, 1, codes[0], LATER)
    with pytest.raises(InputError, match="'Assessor 1' answered set 1 already; amend it instead"):
        enter_answer(running, "acid", FIRST, 1, codes[1], LATER)
    assert sessions.summary(running, "acid").answered == 1


@pytest.mark.parametrize(
    ("who", "replicate", "choice", "fault", "match"),
    [
        ("Nobody", 1, "314", NotFoundError, "this session has no assessor called 'Nobody'"),
        (FIRST, 2, "314", InputError, "set 1 of 'Assessor 1' comes first; type that in"),
        (FIRST, 1, "000", InputError, "'000' cannot be chosen in set 1"),
        (FIRST, 0, "314", InputError, "answered set 0 already"),
    ],
)
def test_an_answer_that_does_not_fit_is_not_typed_in(
    running: Engine, who: str, replicate: int, choice: str, fault: type[Exception], match: str
) -> None:
    with pytest.raises(fault, match=match):
        enter_answer(running, "acid", who, replicate, choice, LATER)
    assert sessions.summary(running, "acid").answered == 0


def test_phone_and_paper_at_once_are_one_answer(running: Engine) -> None:
    token, codes = ballots.links(running, "acid", SECRET)[FIRST], codes_of(running, FIRST)

    def tap(turn: int) -> None:
        if turn % 2:
            record_answer(running, token, 1, codes[turn % 3], LATER)
            return
        with suppress(InputError):  # whoever comes later is told so
            enter_answer(running, "acid", FIRST, 1, codes[turn % 3], LATER)

    with ThreadPoolExecutor(8) as hands:
        list(hands.map(tap, range(8)))
    assert sessions.summary(running, "acid").answered == 1


@pytest.mark.parametrize("method", METHODS)
def test_a_ballot_of_every_method_offers_what_its_plan_does(engine: Engine, method: str) -> None:
    session = opened(planned("acid", method))
    keep(engine, session)
    ballot = ballots.ballot(engine, ballots.links(engine, "acid", SECRET)[FIRST])
    (served,) = [one for one in session.sets if one.assessor == FIRST]

    assert ballot.choices == session.plan.choices(served.codes)
    assert (ballot.codes, ballot.question) == (served.codes, session.plan.question)
    assert ballot.reference is (":" in served.order)
