"""The assessor's page without a script: one set at a time, and nothing that tells the key."""

from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import Engine

from tasting.errors import StoreError
from tasting.panel.methods import METHODS
from tasting.store import ballots, sessions
from tasting.store.database import writing
from tasting.web.guard import Guard
from tests.giving import record_answer
from tests.ui import workshop
from tests.web.browsing import Browser
from tests.web.phone import ANSWER, BEGIN, PLACE, STOP, BallotPhone

SECRET = b"a secret of these tests, 32 bytes"
LATE = "Set 1 was already answered, on another screen or on paper; the first answer counts."


def token(engine: Engine, seat: int = 0) -> str:
    """An assessor's."""
    return list(ballots.links(engine, "blind", SECRET).values())[seat]


def seated(engine: Engine, phone: BallotPhone, **more: object) -> BallotPhone:
    """The page of the first assessor of an open session."""
    workshop.keep(engine, workshop.opened(workshop.planned("blind", **more)))
    return phone.open(token(engine))


def tasting(engine: Engine, phone: BallotPhone, **more: object) -> BallotPhone:
    """The same after consent."""
    return seated(engine, phone, **more).begin()


def another(phone: BallotPhone) -> BallotPhone:
    """A second screen on the same seat: a tab, which shares the cookies."""
    return BallotPhone(phone.browser).go("/ballot")


def answers(engine: Engine) -> list[str]:
    """What is kept, after closing."""
    sessions.close_session(engine, "blind", datetime.now(UTC), "enough")
    return [given.choice for given in sessions.closed_session(engine, "blind").answers]


def test_the_first_screen_tells_allergens_and_alcohol(engine: Engine, phone: BallotPhone) -> None:
    text = seated(engine, phone, allergens=("sulphites",), alcohol_percent_vol=5.5).page.text

    assert "sulphites" in text
    assert "5.5 % vol" in text
    assert "3 cups, 90 mL in all: at most 3.9 g of ethanol" in text
    assert "I am of legal age to drink alcohol" in text
    assert f"You are {workshop.ASSESSORS[0]} " in text
    assert phone.codes == []


def test_codes_stand_in_serving_order(engine: Engine, phone: BallotPhone) -> None:
    tasting(engine, phone)

    assert phone.codes == list(ballots.ballot(engine, token(engine)).codes)


def test_a_choice_says_so_in_words_and_the_browser_wants_one(
    engine: Engine, phone: BallotPhone
) -> None:
    tasting(engine, phone)

    assert phone.page.texts.count("✓ chosen") == 3
    assert "choice" in phone.form(ANSWER).must
    assert "choice" not in phone.form(ANSWER).values, "nothing is chosen beforehand"


def test_nothing_can_be_recorded_before_a_choice(engine: Engine, phone: BallotPhone) -> None:
    tasting(engine, phone).fill(ANSWER, remark="too sour")

    assert (phone.reply.status, phone.warning) == (
        422,
        "Choose one first; if you are not sure, choose all the same.",
    )
    assert phone.form(ANSWER).values["remark"] == "too sour", "what was typed is still there"
    assert sessions.summary(engine, "blind").answered == 0


def test_without_consent_there_is_nothing_to_taste(engine: Engine, phone: BallotPhone) -> None:
    seated(engine, phone).fill(BEGIN)

    assert "Tick the box" in phone.warning
    assert phone.has(BEGIN)
    assert "agreed" in phone.form(BEGIN).must
    assert phone.codes == []


def test_who_stops_keeps_what_was_given(engine: Engine, phone: BallotPhone) -> None:
    tasting(engine, phone, replicates=2).answer(phone.codes[0])
    phone.fill(STOP)

    assert "You stopped this tasting" in phone.page.text
    assert sessions.summary(engine, "blind").answered == 1


@pytest.mark.parametrize("pause", [0, 600])
def test_a_clock_set_back_an_hour_makes_nobody_rest(
    engine: Engine,
    phone: BallotPhone,
    monkeypatch: pytest.MonkeyPatch,
    pause: int,
) -> None:
    """Attack by a wrong clock: all rested for an hour, also without a pause in the plan."""
    tasting(engine, phone, replicates=2, pause_seconds=pause).answer(phone.codes[0])
    hour_ago = datetime.now(UTC) - timedelta(hours=1)
    monkeypatch.setattr("tasting.web.ballot.routes.now", lambda: hour_ago)
    phone.reload()

    assert phone.heading != "Rest your palate"
    assert len(phone.codes) == 3


def test_the_next_set_waits_for_the_planned_rest(engine: Engine, phone: BallotPhone) -> None:
    tasting(engine, phone, replicates=2, pause_seconds=600).answer(phone.codes[0])

    assert phone.heading == "Rest your palate"
    assert phone.page.roles["timer"] == "600 s"
    assert '<meta http-equiv="refresh" content="600;url=/ballot">' in phone.reply.text
    assert phone.codes == []


@pytest.mark.parametrize("key", sorted(set(METHODS) - {"paired"}))
def test_every_method_can_be_answered(engine: Engine, phone: BallotPhone, key: str) -> None:
    directed = METHODS[key].question_kind == "direction"
    asked = {"attribute": "more sour", "expected": "B"} if directed else {}
    tasting(engine, phone, method=key, **asked)
    shown = ballots.ballot(engine, token(engine))
    assert phone.codes == list(shown.choices)
    assert all(code in phone.page.text for code in shown.codes)
    phone.answer(phone.codes[0])

    assert sessions.summary(engine, "blind").answered == 1


def test_who_tastes_alone_chooses_a_place_before_the_code(
    engine: Engine, phone: BallotPhone
) -> None:
    tasting(engine, phone, assessors=("me",), alone=True)
    under = ballots.ballot(engine, token(engine)).codes
    assert not [code for code in under if code in phone.reply.text]
    phone.fill(PLACE, place="2")
    assert "You chose cup 2" in phone.page.text
    assert not [code for code in under if code in phone.reply.text]
    assert not phone.warning
    phone.answer("000")
    assert "look at the codes on the cups again" in phone.warning
    phone.answer(under[1])

    assert answers(engine) == [under[1]]


def test_a_place_counts_once_and_a_second_screen_is_told(
    engine: Engine, phone: BallotPhone
) -> None:
    tasting(engine, phone, assessors=("me",), alone=True)
    other, same = another(phone), another(phone)
    phone.fill(PLACE, place="2")

    assert other.fill(PLACE, place="3").warning == (
        "You had already chosen a place; the first one counts."
    )
    assert "You chose cup 2" in other.page.text
    assert not same.fill(PLACE, place="2").warning, "the same again is no other choice"


def test_remark_and_sureness_are_kept(engine: Engine, phone: BallotPhone) -> None:
    tasting(engine, phone).answer(phone.codes[0], remark=" rounder ", sure="no")
    sessions.close_session(engine, "blind", datetime.now(UTC), "enough")
    (given,) = sessions.closed_session(engine, "blind").answers

    assert (given.remark, given.sure) == ("rounder", False)


def test_an_answer_leads_to_the_next_set(engine: Engine, phone: BallotPhone) -> None:
    first = tasting(engine, phone, replicates=2).codes
    phone.answer(first[1])

    assert sessions.summary(engine, "blind").answered == 1
    assert phone.codes != first
    assert "· set 2 of 2" in phone.page.text
    assert phone.addresses[-1] == "/ballot"


def test_the_last_screen_thanks_and_tells_nothing(engine: Engine, phone: BallotPhone) -> None:
    tasting(engine, phone).answer(phone.codes[0])

    assert phone.heading == "Thank you"
    assert "correct" not in phone.reply.text


def test_no_page_of_an_assessor_names_a_sample(engine: Engine, phone: BallotPhone) -> None:
    pages = seated(engine, phone).reply.text
    pages += phone.begin().reply.text
    pages += phone.answer(phone.codes[0]).reply.text

    assert not [name for name in ("Spritz", "spritz", "v1", "v2", "blind") if name in pages]


def test_a_reload_and_another_phone_come_back_to_the_same_set(
    engine: Engine, phone: BallotPhone, server: Guard
) -> None:
    tasting(engine, phone, replicates=2).answer(phone.codes[0])
    here = phone.codes

    assert phone.reload().codes == here
    assert BallotPhone(Browser(server)).open(token(engine)).codes == here


def test_a_second_screen_is_told_that_the_first_answer_counts(
    engine: Engine, phone: BallotPhone
) -> None:
    tasting(engine, phone, replicates=3)
    other = another(phone)
    first, second, _ = phone.codes
    assert not phone.answer(first).warning
    assert other.answer(second).warning == LATE
    assert "· set 2 of 3" in other.page.text
    assert not other.answer(other.codes[0]).warning, "told once, on the next screen alone"
    assert not phone.reload().warning, "the screen that answered is not told"
    assert answers(engine)[0] == first


def test_the_end_tells_it_too(engine: Engine, phone: BallotPhone) -> None:
    tasting(engine, phone)
    other = another(phone)
    first, second, _ = phone.codes
    phone.answer(first)

    assert phone.heading == "Thank you"
    assert not phone.warning
    assert other.answer(second).warning == LATE


@pytest.mark.parametrize(("change", "told"), [({}, ""), ({"remark": "x"}, LATE)])
def test_the_same_answer_sent_again_is_kept_once_and_nothing_is_said(
    engine: Engine, phone: BallotPhone, change: dict[str, str], told: str
) -> None:
    """Its receipt was lost on the way, or a finger was hasty."""
    tasting(engine, phone, replicates=2)
    sent = phone.form(ANSWER).filled(choice=phone.codes[0], remark="round", sure="yes")
    for _ in range(3):
        assert not phone.send(ANSWER, sent).warning
    assert phone.send(ANSWER, {**sent, **change}).warning == told
    assert answers(engine) == [sent["choice"]]


def test_a_closed_session_takes_no_more_answers(engine: Engine, phone: BallotPhone) -> None:
    tasting(engine, phone)
    sessions.close_session(engine, "blind", workshop.START.replace(year=2027), "tired")
    phone.answer(phone.codes[0])

    assert "takes no more answers" in phone.page.text


def spoil(engine: Engine) -> None:
    """Nothing that reads or adds answers works any more."""
    with writing(engine) as connection:
        connection.exec_driver_sql("ALTER TABLE answer RENAME TO gone")


def test_a_database_that_fails_tells_an_assessor_what_to_do(
    engine: Engine, phone: BallotPhone
) -> None:
    tasting(engine, phone)
    sent = phone.form(ANSWER).filled(choice=phone.codes[0])
    spoil(engine)
    for reply in (phone.send(ANSWER, sent).reply, phone.reload().reply):
        assert reply.status == 503
        assert "That didn't save" in phone.page.text
        assert "sqlite" not in reply.text


def test_a_tap_that_cannot_be_written_is_said_and_can_be_repeated(
    engine: Engine, phone: BallotPhone, monkeypatch: pytest.MonkeyPatch
) -> None:
    def locked(*_: object, **__: object) -> None:
        raise StoreError("the database sqlite:////home/kim/log does not answer as it should")

    tasting(engine, phone, replicates=2)
    sent = phone.form(ANSWER).filled(choice=phone.codes[0])
    with monkeypatch.context() as failing:
        failing.setattr(ballots, "answer_and_go_on", locked)
        phone.send(ANSWER, sent)
    assert "That didn't save" in phone.page.text
    assert "/home/kim" not in phone.reply.text
    phone.send(ANSWER, sent)
    assert "· set 2 of 2" in phone.page.text


def test_the_address_is_believed_only_where_it_can_be_true(
    engine: Engine, phone: BallotPhone
) -> None:
    tasting(engine, phone, replicates=3)
    for late in ("1", "2", "0", "-1", "place", "<b>"):
        assert not phone.go(f"/ballot?late={late}").warning


def test_the_rest_ends_by_itself(engine: Engine, phone: BallotPhone) -> None:
    tasting(engine, phone, replicates=2, pause_seconds=30)
    long_ago = datetime.now(UTC) - timedelta(seconds=31)
    record_answer(engine, token(engine), 1, phone.codes[0], long_ago)

    assert "· set 2 of 2" in phone.reload().page.text


@pytest.mark.parametrize(("method", "guesses"), [("triangle", True), ("preference", False)])
def test_in_a_preference_no_answer_is_a_guess(
    engine: Engine, phone: BallotPhone, method: str, guesses: bool
) -> None:
    told = seated(engine, phone, method=method).page.text
    told += phone.begin().page.text

    assert ("guess" in told.lower()) is guesses
    assert ("Not sure" in phone.page.texts) is not guesses
