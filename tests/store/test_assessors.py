"""An assessor over closed sessions, from columns, against the sessions themselves."""

from datetime import timedelta

import pytest
from sqlalchemy import Engine

from tasting.insight.findings.assessor_record import TastedSession
from tasting.insight.findings.panel_checks import assessor_scores
from tasting.panel.entries import Exclusion
from tasting.panel.session import Session
from tasting.store import assessors, sessions
from tests.ui.workshop import ASSESSORS, START, answered, closed, keep, opened, planned, some_closed

WHO = "Assessor 3"


def without(session: Session, who: str) -> Session:
    """A closed session in which the answers of somebody are left out."""
    told = Exclusion(assessor=who, reason="a cold", made_at=START + timedelta(days=31, hours=3))
    changed = {**dict(answered(opened(session), 8, 4)), "exclusions": (told,)}
    return Session.model_validate(changed).closed(START + timedelta(days=40), "")


def test_scores_are_those_of_the_sessions(engine: Engine) -> None:
    twice = closed(planned("twice", replicates=2), 15, 9, day=38)
    kept = [*some_closed(), twice]
    keep(engine, *kept)
    expected = []
    for session in sorted(kept, key=lambda one: one.closed_at):
        scores = assessor_scores(session)
        own = [one for one in scores if one.assessor == WHO]
        if own:
            right = sum(one.right for one in scores) - own[0].right
            n = sum(one.n for one in scores) - own[0].n
            row = (session.closed_at, session.plan.method, own[0].n, own[0].right, right, n)
            expected.append(TastedSession(*row))
    found = assessors.scores(engine, WHO, assessors.totals(engine))

    assert len(expected) == 4
    assert [one for one in found if one.right is not None] == expected
    assert [one.method for one in found if one.right is None] == ["preference"]


def test_an_open_session_is_not_there(engine: Engine) -> None:
    keep(engine, answered(opened(planned("now")), 3, 2), planned("next"))

    assert assessors.names(engine) == ()
    assert assessors.scores(engine, WHO, assessors.totals(engine)) == ()


def test_names_are_in_the_order_of_the_alphabet(engine: Engine) -> None:
    keep(engine, *some_closed())

    assert assessors.names(engine) == tuple(sorted(ASSESSORS))


def test_who_is_left_out_has_no_score_but_a_reason(engine: Engine) -> None:
    keep(engine, without(planned("cold"), WHO), *some_closed())

    (told,) = assessors.left_out(engine, WHO)
    assert (told.session, told.reason) == ("Session cold", "a cold")
    assert told.closed_at == START + timedelta(days=40)
    assert assessors.left_out(engine, "Assessor 4") == ()
    assert (
        len(assessors.scores(engine, "Assessor 4", assessors.totals(engine)))
        == len(assessors.scores(engine, WHO, assessors.totals(engine))) + 1
    )


def test_whoever_was_erased_has_no_record(engine: Engine) -> None:
    keep(engine, *some_closed())
    sessions.erase_pseudonym(engine, WHO)

    assert WHO not in assessors.names(engine)
    assert not any(name.startswith("erased") for name in assessors.names(engine))
    assert assessors.scores(engine, WHO, assessors.totals(engine)) == ()
    assert assessors.left_out(engine, WHO) == ()


@pytest.mark.parametrize("name", ["' OR 1=1 --", "%", ""])
def test_an_unknown_name_has_nothing(engine: Engine, name: str) -> None:
    keep(engine, *some_closed())

    assert assessors.scores(engine, name, assessors.totals(engine)) == ()
