"""The tidy table from rows is the one from whole sessions."""

from datetime import timedelta

import pandas as pd
import pytest
from sqlalchemy import Engine

from tasting.errors import DamagedError
from tasting.panel.entries import Amendment, Exclusion
from tasting.report.answers import answers_table
from tasting.store import sessions
from tasting.store.all_answers import all_answers
from tests.store.damaging import file_of, spoil
from tests.store.test_results import EVERYTHING
from tests.ui.workshop import ASSESSORS, START, answered, keep, opened, planned

LATER = START + timedelta(days=60)


@pytest.fixture
def log(engine: Engine) -> Engine:
    """All methods, an answer that was corrected, an assessor who was left out, one open session."""
    going = answered(opened(planned("going")), 8, 4)
    keep(engine, *EVERYTHING, going, answered(opened(planned("now")), 3, 2))
    served = going.sets[0]
    given = next(one for one in going.answers if one.assessor == served.assessor)
    other = next(one for one in served.codes if one != given.choice)
    fields = {"assessor": served.assessor, "replicate": 1, "reason": "misread", "made_at": LATER}
    sessions.amend_answer(engine, "going", Amendment(choice=other, **fields))
    left_out = Exclusion(assessor=ASSESSORS[3], reason="had a cold", made_at=LATER)
    sessions.exclude_assessor(engine, "going", left_out)
    sessions.close_session(engine, "going", LATER)
    return engine


def test_it_is_the_same(log: Engine) -> None:
    wanted = answers_table(sessions.closed_sessions(log))

    pd.testing.assert_frame_equal(all_answers(log), wanted)
    assert len(wanted) > 250


HARMS = {
    "UPDATE answer SET choice = '999' WHERE session_id = 'acid' AND seat = 1": "could not be",
    "DELETE FROM answer WHERE session_id = 'acid' AND seat = 1": "do not add up",
    "DELETE FROM answer WHERE session_id = 'acid'": "do not add up",
    "UPDATE serving_set SET serving_order = 'BBA' WHERE session_id = 'acid'": "do not add up",
    "UPDATE session SET plan = '{' WHERE id = 'acid'": "cannot be read",
}


@pytest.mark.parametrize(("harm", "said"), HARMS.items())
def test_a_damaged_session_is_set_aside(log: Engine, harm: str, said: str) -> None:
    spoil(file_of(log), harm)
    aside: list[str] = []
    found = all_answers(log, aside)

    assert "Session acid" not in set(found["session"])
    assert len(aside) == 1
    assert "'Session acid' (acid) is damaged" in aside[0]
    assert said in aside[0]
    with pytest.raises(DamagedError):
        all_answers(log)
