"""Closed sessions by what they compared."""

from sqlalchemy import Engine

from tasting.store.session_index import closed
from tests.ui.workshop import answered, keep, opened, planned, sample, some_closed
from tests.ui.workshop import closed as done


def test_closed_sessions_come_oldest_first_with_their_samples(engine: Engine) -> None:
    keep(engine, *reversed(some_closed()))
    found = closed(engine)

    assert [one.id for one in found] == ["acid", "syrup", "liking", "unknown", "nobody"]
    assert (found[2].a, found[2].b) == (sample("R"), sample("spritz-2"))


def test_sessions_that_are_not_closed_are_not_there(engine: Engine) -> None:
    keep(engine, planned("next"), answered(opened(planned("now")), 3, 2))

    assert closed(engine) == ()


def test_invented_data_say_so(engine: Engine) -> None:
    keep(engine, done(planned("acid"), 9, 3).model_copy(update={"invented": "by a script"}))

    assert closed(engine)[0].invented == "by a script"
