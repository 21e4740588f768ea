"""A finding as it stands today knows every closed session of the same two, and no open one."""

import pytest
from sqlalchemy import Engine

from tasting.report.session_report import summary
from tasting.store.todays_finding import todays_finding
from tests.ui.workshop import answered, closed, keep, opened, planned

FIRST = closed(planned("one"), 4, 8, day=32)
SECOND = closed(planned("two", "triangle", "spritz-2", "spritz-1"), 11, 1, day=34)
OTHER = closed(planned("three", b="spritz-3"), 9, 3, day=35)


@pytest.mark.parametrize(
    ("session", "said"),
    [
        (FIRST, "First test of these two: later 11 of 12, shown. Together 15 of 24, "),
        (SECOND, "Second test of these two: earlier 4 of 12, not shown. Together 15 of 24, "),
    ],
)
def test_earlier_and_later_sessions_are_named(engine: Engine, session, said: str) -> None:
    keep(engine, FIRST, SECOND, OTHER)
    found = todays_finding(engine, session)

    assert found.cautions[0].startswith(said)
    assert found.others == found.cautions[0]
    assert summary(session, found).endswith(found.others)


def test_what_was_asked_once_has_no_such_limitation(engine: Engine) -> None:
    keep(engine, FIRST, SECOND, OTHER)

    assert todays_finding(engine, OTHER).others == ""


def test_an_open_session_changes_nothing(engine: Engine) -> None:
    keep(engine, FIRST, answered(opened(planned("open")), 5, 1))

    assert todays_finding(engine, FIRST).others == ""
