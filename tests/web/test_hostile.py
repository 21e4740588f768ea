"""Names that try something are shown as they were typed: on the ballot and at the pourer's door."""

import pytest
from sqlalchemy import Engine

from tasting.store import ballots
from tests.forms import Reader
from tests.ui.test_hostile import HOSTILE, evening, names
from tests.ui.workshop import keep, opened, planned
from tests.web.browsing import Browser
from tests.web.phone import ANSWER, BallotPhone

TAGS = ("<script>", "<img", "onerror=alert(1)>")


def seated(engine: Engine, phone: BallotPhone, name: str) -> BallotPhone:
    """The first screen of somebody of this name, in a session where all that is typed is this."""
    asked = {"attribute": name[:40].strip(), "allergens": (name,), "assessors": (name, "P02")}
    keep(engine, opened(planned("acid", "paired", expected="B", **asked)))
    return phone.open(ballots.links(engine, "acid", b"secret")[name])


@names
def test_a_ballot_shows_it_as_text(engine: Engine, phone: BallotPhone, name: str) -> None:
    for page in (seated(engine, phone, name), phone.begin()):
        assert not [tag for tag in TAGS if tag in page.reply.text]
        assert "998001" not in page.reply.text
        assert " ".join(name.split()) in page.page.text


@pytest.mark.parametrize("typed", [*HOSTILE.values(), '"><b>', "' onfocus=alert(1) x=\""])
def test_what_was_typed_comes_back_as_it_was(
    engine: Engine, phone: BallotPhone, typed: str
) -> None:
    seated(engine, phone, "P01").begin()
    phone.fill(ANSWER, remark=typed, choice="000", sure=typed)

    assert phone.form(ANSWER).values["remark"] == typed
    assert phone.form(ANSWER).values["sure"] == ""
    assert phone.form(ANSWER).options["sure"] == ["yes", "no", ""]


def test_at_the_pourers_door_too(browser: Browser, known: str, engine: Engine) -> None:
    keep(engine, evening("P01"))
    given = {"reader": HOSTILE["script"], "code": "wrong"}
    said = browser.post("/pour/acid", given, origin="http://testserver")

    assert "<script" not in said.text
    assert Reader(said.text).form("/pour/acid").values["reader"] == HOSTILE["script"]
