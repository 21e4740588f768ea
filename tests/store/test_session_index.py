"""Closed sessions by what they compared."""

from datetime import timedelta

from sqlalchemy import Engine

from tasting.store import session_index, sessions
from tests.ui.workshop import START, answered, closed, keep, opened, planned, some_closed


def test_sessions_that_are_not_closed_are_not_there(engine: Engine) -> None:
    keep(engine, planned("next"), answered(opened(planned("now")), 3, 2))

    assert session_index.read(engine).sessions == ()
    assert session_index.index(engine).count == 0


def test_invented_data_say_so(engine: Engine) -> None:
    keep(engine, closed(planned("acid"), 9, 3).model_copy(update={"invented": "by a script"}))

    assert session_index.invented(engine) == ("by a script",)


def test_what_was_compared_most_and_last(engine: Engine) -> None:
    keep(engine, *some_closed(), closed(planned("more", "triangle", "S", "spritz-1"), 9, 3, day=50))
    times = session_index.times_compared(engine, ("spritz-1", "spritz-2", "spritz-3"))

    assert times == {"R": 1, "S": 2}
    assert session_index.last_version(engine) == "spritz-1"


def test_the_same_two_compared_since(engine: Engine) -> None:
    first = closed(planned("first"), 9, 3, day=33)
    turned = closed(planned("turned", a="spritz-2", b="spritz-1"), 9, 3, day=35)
    other = closed(planned("other", a="spritz-3", b="spritz-1"), 9, 3, day=36)
    keep(engine, turned, first, other)

    assert session_index.compared_since(engine, first) == ("Session turned",)
    assert session_index.compared_since(engine, turned) == ()


def test_an_index_changes_with_every_session_that_closes(engine: Engine) -> None:
    keep(engine, *some_closed(), answered(opened(planned("now")), 3, 2))
    before = session_index.index(engine)
    assert before == session_index.index(engine)
    sessions.close_session(engine, "now", START + timedelta(days=50), "enough")

    assert session_index.index(engine) != before
