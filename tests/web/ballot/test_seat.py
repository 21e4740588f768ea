"""Whose ballot a phone shows: the seat behind its cookie, its forms' keys, and their bounds."""

from datetime import UTC, datetime

import pytest
from sqlalchemy import Engine

from tasting.store import ballots, sessions
from tasting.web.ballot.seat import COOKIE
from tasting.web.guard import Guard
from tests.ui import workshop
from tests.web.ballot.test_routes import seated, tasting, token
from tests.web.browsing import Browser
from tests.web.phone import ANSWER, BEGIN, STOP, BallotPhone


def test_the_first_visit_takes_the_token_out_of_the_address(
    engine: Engine, browser: Browser
) -> None:
    workshop.keep(engine, workshop.opened(workshop.planned("blind")))
    said = browser.get(f"/?seat={token(engine)}", accept="text/html")

    assert (said.status, said.headers["location"]) == (303, "/ballot")
    name, *marks = said.headers["set-cookie"].split("; ")
    assert name == f"{COOKIE}={token(engine)}"
    assert {"HttpOnly", "SameSite=lax", "Path=/ballot"} <= set(marks)
    assert said.headers["referrer-policy"] == "no-referrer"


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_another_pages_link_takes_no_seat_unasked(
    engine: Engine, phone: BallotPhone, site: str
) -> None:
    """Attack: a link to the attacker's own seat, and these answers were counted as theirs."""
    tasting(engine, phone)
    theirs = f"/?seat={token(engine, 1)}"
    said = phone.browser.get(theirs, **{"sec-fetch-site": site})

    assert (said.status, "set-cookie" in said.headers) == (200, False)
    assert f"This link is the seat of {workshop.ASSESSORS[1]}." in said.text
    assert f"{workshop.ASSESSORS[0]} · set 1" in another_look(phone)
    asked = phone.browser.get(theirs, **{"sec-fetch-site": "same-origin"})
    assert (asked.status, phone.browser.cookies[COOKIE]) == (303, token(engine, 1))


def another_look(phone: BallotPhone) -> str:
    return BallotPhone(phone.browser).go("/ballot").page.text


def test_a_form_of_the_set_before_never_answers_this_one(
    engine: Engine, phone: BallotPhone
) -> None:
    tasting(engine, phone, replicates=2)
    before = phone.form(ANSWER).filled(choice=phone.codes[0])
    phone.answer(phone.codes[0])
    phone.send(ANSWER, {**before, "set": "2", "choice": phone.codes[1]})

    assert sessions.summary(engine, "blind").answered == 1
    assert "Nothing of it was recorded" in phone.warning


def test_a_phone_that_is_passed_on_answers_for_the_one_who_scanned_last(
    engine: Engine, phone: BallotPhone
) -> None:
    tasting(engine, phone, replicates=2)
    left_behind = phone.form(ANSWER).filled(choice=phone.codes[0])
    stop = phone.form(STOP).filled()
    phone.open(token(engine, 1)).begin()
    assert f"{workshop.ASSESSORS[1]} · set 1 of 2" in phone.page.text
    theirs = phone.codes
    for action, form in ((ANSWER, left_behind), (STOP, stop)):
        assert "another assessor's ballot" in phone.send(action, form).warning
        assert phone.codes == theirs, "going back comes to this seat, not to the one before"

    first, second = sessions.seats(engine, "blind")[:2]
    assert (first.answered, second.answered, first.withdrawn, second.withdrawn) == (0, 0) + (
        False,
        False,
    )


@pytest.mark.parametrize("key", ["", "nonsense", "é"])
def test_a_form_without_the_key_of_its_seat_is_not_taken(
    engine: Engine, phone: BallotPhone, key: str
) -> None:
    tasting(engine, phone)
    phone.send(ANSWER, {"set": "1", "choice": phone.codes[0], "key": key})

    assert sessions.summary(engine, "blind").answered == 0


def test_a_form_from_another_site_is_refused(engine: Engine, phone: BallotPhone) -> None:
    tasting(engine, phone)
    sent = phone.form(ANSWER).filled(choice=phone.codes[0])
    reply = phone.send(ANSWER, sent, origin="https://elsewhere.example").reply

    assert (reply.status, sessions.summary(engine, "blind").answered) == (403, 0)


def test_an_unknown_link_says_so_and_leaves_the_seat_alone(
    engine: Engine, phone: BallotPhone
) -> None:
    seated(engine, phone)
    for nonsense in ("nonsense", "a%0d%0ab", "x" * 4_000, ""):
        reply = phone.open(nonsense).reply
        assert reply.status in (403, 404)
        assert phone.heading in ("This link is not known", "This phone does not know your seat")
    assert phone.go("/ballot").has(BEGIN)


def test_a_lost_cookie_is_mended_by_the_qr_code(engine: Engine, phone: BallotPhone) -> None:
    tasting(engine, phone)
    here = phone.codes
    sent = phone.form(ANSWER).filled(choice=here[0])
    phone.browser.cookies.clear()
    assert phone.send(ANSWER, sent).reply.status == 403
    assert phone.heading == "This phone does not know your seat"
    assert "Scan the QR code" in phone.page.text
    assert sessions.summary(engine, "blind").answered == 0

    assert phone.open(token(engine)).codes == here


def test_a_new_link_ends_the_phone_that_was_lost(engine: Engine, phone: BallotPhone) -> None:
    tasting(engine, phone)
    ballots.new_link(engine, "blind", 0, datetime.now(UTC))

    assert phone.reload().heading == "This link is not known"


@pytest.mark.parametrize("asked", ["/ballot", "/ballot?late=1", "/ballot?late=x&other=", "/"])
def test_every_answer_is_strict_about_scripts_caches_and_referrers(
    engine: Engine, phone: BallotPhone, asked: str
) -> None:
    tasting(engine, phone)
    got = phone.go(asked if asked != "/" else f"/?seat={token(engine)}").reply
    policy = dict(part.split(" ", 1) for part in got.headers["content-security-policy"].split("; "))

    assert got.headers["cache-control"] == "no-store"
    assert got.headers["referrer-policy"] == "no-referrer"
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["form-action"] == "'self'"
    assert "<style" not in got.text
    assert " style=" not in got.text
    assert token(engine) not in got.text


def test_a_form_that_is_far_too_large_is_not_read(engine: Engine, phone: BallotPhone) -> None:
    tasting(engine, phone)
    phone.fill(ANSWER, choice=phone.codes[0], remark="x" * 9_000)

    assert phone.reply.status == 413
    assert sessions.summary(engine, "blind").answered == 0


def test_a_phone_that_asks_without_end_has_to_wait_and_no_other_does(
    engine: Engine, phone: BallotPhone, server: Guard
) -> None:
    seated(engine, phone)
    asked = [phone.browser.get("/ballot").status for _ in range(60)]

    assert asked[:30] == [200] * 30
    assert asked[-1] == 429
    assert phone.browser.get("/ballot").headers["retry-after"] == "2"
    assert BallotPhone(Browser(server)).open(token(engine, 1)).has(BEGIN)


def test_guessing_tokens_ends_soon_and_not_for_who_has_a_seat(
    engine: Engine, phone: BallotPhone
) -> None:
    seated(engine, phone)
    asked = [phone.browser.get(f"/?seat=guess-{turn}").status for turn in range(80)]

    assert (asked[0], asked[-1]) == (404, 429)
    assert phone.go("/ballot").has(BEGIN)
