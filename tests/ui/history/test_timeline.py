"""The entries of the history, in time."""

from datetime import timedelta

import pytest
from sqlalchemy import Engine

from tasting.store import past, sessions
from tasting.store.past import Search
from tasting.ui.history import timeline
from tasting.ui.history.timeline import CLOSED, KINDS, Entry, matching
from tests.strategies import without_key
from tests.ui.workshop import SPRITZ, START, answered, closed, keep, opened, planned

GIVEN_UP = opened(planned("spilt")).abandoned(START + timedelta(days=35), "The bottle broke")
ALL = (
    planned("next"),
    answered(opened(planned("now")), 3, 2),
    closed(planned("acid"), 10, 2),
    without_key(GIVEN_UP),
)


def everything(engine: Engine) -> list[Entry]:
    """All entries in one page."""
    known = timeline.not_closed((SPRITZ,), sessions.not_closed(engine))
    slots = timeline.merged(known, past.moments(engine, Search(), 50), 0, 50)
    ids = [slot for slot in slots if isinstance(slot, str)]
    return timeline.told(slots, past.told(engine, ids))


@pytest.fixture
def entries(engine: Engine) -> list[Entry]:
    keep(engine, *ALL)
    return everything(engine)


def titled(entries: list[Entry], title: str) -> Entry:
    return next(entry for entry in entries if entry.title == title)


def test_the_newest_comes_first(entries: list[Entry]) -> None:
    moments = [entry.at for entry in entries]

    assert moments == sorted(moments, reverse=True)
    assert len(entries) == len(SPRITZ.versions) + len(ALL)


def test_a_version_is_told_with_its_reason(entries: list[Entry]) -> None:
    entry = titled(entries, "Rhubarb and bay spritz, v2")

    assert (entry.kind, entry.text) == ("Version", "More lemon: *flat* beside R")


def test_a_session_stands_at_its_latest_step(entries: list[Entry]) -> None:
    days = {
        session.id: (titled(entries, f"Session {session.id}").at - START).days for session in ALL
    }

    assert days == {"next": 30, "now": 31, "acid": 32, "spilt": 35}


def test_of_an_open_session_only_the_number_of_answers_is_told(entries: list[Entry]) -> None:
    entry = titled(entries, "Session now")

    assert entry.text == "Triangle test of Spritz, v1 and Spritz, v2: 5 of 12 answers are in."
    assert entry.id == "now"


def test_a_closed_session_has_its_headline_and_a_way_to_its_finding(entries: list[Entry]) -> None:
    entry = titled(entries, "Session acid")

    assert entry.text == "A difference was shown between Spritz, v1 and Spritz, v2."
    assert (entry.page.address, entry.id) == ("tasting", "acid")


def test_a_session_that_was_given_up_says_why(entries: list[Entry]) -> None:
    entry = titled(entries, "Session spilt")

    assert (entry.kind, entry.text) == ("Given up", "Given up: The bottle broke.")


def test_a_session_that_nobody_answered_says_so(engine: Engine) -> None:
    keep(engine, closed(planned("nobody"), 0, 0, "Nobody came"))
    (entry, *_) = everything(engine)

    assert entry.text == "Closed without an answer."


@pytest.mark.parametrize(
    ("text", "found"),
    [("", 7), ("LEMON flat", 1), ("spritz", 6), ("12 tastings", 1), ("nothing like it", 0)],
)
def test_every_word_has_to_be_found(entries: list[Entry], text: str, found: int) -> None:
    assert len(matching(entries, text.casefold().split(), [])) == found


@pytest.mark.parametrize(("kind", "found"), [*zip(KINDS, (3, 1, 1, 1, 1), strict=True)])
def test_a_kind_shows_only_itself(entries: list[Entry], kind: str, found: int) -> None:
    fitting = matching(entries, [], [kind])

    assert len(fitting) == found
    assert {entry.kind for entry in fitting} == {kind}


def test_later_by_a_minute_is_newer(engine: Engine) -> None:
    late = planned("late").model_copy(
        update={"planned_at": planned("next").planned_at + timedelta(minutes=1)}
    )
    keep(engine, planned("next"), late)

    assert everything(engine)[0].title == "Session late"


def test_pages_hold_every_entry_once_and_in_order(engine: Engine) -> None:
    keep(engine, *(closed(planned(f"s{day}"), 6, 6, day=40 + day) for day in range(9)), *ALL[:2])
    known = timeline.not_closed((SPRITZ,), sessions.not_closed(engine))
    found = []
    for first in range(0, 15, 4):
        moments = past.moments(engine, Search(), first + 4)
        slots = timeline.merged(known, moments, first, 4)
        ids = [slot for slot in slots if isinstance(slot, str)]
        found += timeline.told(slots, past.told(engine, ids))

    assert found == everything(engine)


def test_the_closed_ones_found_by_sql_are_those_found_by_reading(entries, engine: Engine) -> None:
    for words in (("acid",), ("DIFFERENCE", "v1"), ("spritz, v2",), ("100%",), ("_",), ("next",)):
        of_all = matching(entries, [word.casefold() for word in words], [CLOSED])

        assert past.count(engine, Search(words)) == len(of_all), words
