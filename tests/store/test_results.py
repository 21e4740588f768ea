"""What stands in the columns is what reading the sessions gives."""

import pytest
from sqlalchemy import Engine, insert, select

from tasting.errors import StoreError
from tasting.insight.findings.closed_session import ClosedSession
from tasting.insight.findings.finding import conclude, findings
from tasting.insight.findings.panel_checks import assessor_checks, check_assessors
from tasting.insight.findings.pooling import adjusted
from tasting.insight.findings.ranking import preferred
from tasting.insight.noticing.model import fit_thresholds
from tasting.panel.methods import METHODS
from tasting.stats.panel_check import AssessorCheck
from tasting.store import past, results, schema, session_index, sessions
from tasting.store.database import reading, writing
from tasting.store.documents import import_documents
from tasting.store.past import Search
from tasting.store.session_index import EVERY, Wanted
from tests.insight.findings.test_ranking import ROUND
from tests.insight.workshop import document
from tests.ui.workshop import SPRITZ, START, answered, closed, keep, opened, planned, some_closed

REPLICATED = [
    closed(planned(key, key, replicates=2, no_preference=key == "preference"), 13, 11)
    for key in METHODS
]
EVERYTHING = (*some_closed(), *REPLICATED, *ROUND)


@pytest.fixture
def log(engine: Engine) -> Engine:
    keep(engine, *EVERYTHING, answered(opened(planned("now")), 3, 2), planned("next"))
    return engine


def test_it_tells_the_same_of_every_session(log: Engine) -> None:
    read = {one.id: one for one in session_index.read(log).sessions}
    whole = {one.id: ClosedSession.of_session(one) for one in sessions.closed_sessions(log)}

    assert read.keys() == whole.keys()
    for id_, one in whole.items():
        kept, tally = read[id_], one.tally
        for field in ("id", "name", "invented", "closed_at", "a", "b", "answers"):
            assert getattr(kept, field) == getattr(one, field)
        assert kept.tally.scores == tally.scores
        assert kept.tally.by_option == tally.by_option
        assert kept.tally.planned == tally.planned
        if tally.n:
            assert conclude(kept.tally).headline == conclude(tally).headline
            assert conclude(kept.tally).evidence == conclude(tally).evidence


def test_many_sessions_say_the_same_together(log: Engine) -> None:
    light, whole = (
        session_index.read(log, people=True).sessions,
        list(sessions.closed_sessions(log)),
    )

    assert [(one.session.id, one.p_value, one.holm) for one in adjusted(light)] == [
        (one.session.id, one.p_value, one.holm) for one in adjusted(whole)
    ]
    assert preferred(light) == preferred(whole)
    assert len(findings(light)) == len(findings(whole))


def test_assessors_are_checked_from_their_scores(log: Engine) -> None:
    from_columns = _figures(check_assessors(session_index.assessor_scores(log)))
    from_answers = _figures(assessor_checks(list(sessions.closed_sessions(log))))

    assert from_columns.keys() == from_answers.keys()
    for who, figures in from_answers.items():
        assert from_columns[who] == pytest.approx(figures)


def _figures(found: tuple[AssessorCheck, ...]) -> dict[object, tuple[float, ...]]:
    return {one.assessor: (one.correct, one.n, one.expected, one.p_value) for one in found}


def test_the_model_is_the_same_and_knows_no_pseudonym(engine: Engine) -> None:
    """On the invented workshop, whose assessors come again."""
    import_documents(engine, [document()])
    read = session_index.read(engine, people=True).sessions
    drinks = {one.id: one for f in document().formulas for one in f.versions}
    drinks |= {one.id: one for one in document().references}
    found, wanted = (
        fit_thresholds(one, drinks) for one in (read, list(sessions.closed_sessions(engine)))
    )

    assert [one.weight for one in found.steps] == [one.weight for one in wanted.steps]
    assert found.character_gap == wanted.character_gap
    names = {name for one in document().sessions for name in one.plan.assessors}
    assert not {given.assessor for one in read for given in one.tally.given} & names


def test_columns_say_what_the_finding_says(log: Engine) -> None:
    with reading(log) as connection:
        kept = {
            row["session_id"]: row for row in connection.execute(select(schema.result)).mappings()
        }
    for session, found in findings(list(sessions.closed_sessions(log))):
        row = kept[session.id]

        assert (row["headline"], row["shown"]) == (found.headline, found.shown)
        assert (row["n"], row["counted"]) == (found.tally.n, found.tally.count)


@pytest.mark.parametrize("id_", ["now", "next"])
def test_before_closing_the_database_keeps_no_result(log: Engine, id_: str) -> None:
    row = results._faulty
    with writing(log) as connection:
        spare = row(connection, id_, "")
        for table in (schema.result, schema.score):
            here = select(table).where(table.c.session_id == id_)
            assert connection.execute(here).first() is None
    spare["closed_at"] = "2026"
    refused = pytest.raises(StoreError, match="once it is closed, and not before")
    with refused, writing(log) as connection:
        connection.execute(insert(schema.result), spare)


def test_closing_writes_them(log: Engine) -> None:
    sessions.close_session(log, "now", opened(planned("now")).opened_at, "enough")
    (row,) = [one for one in session_index.read(log).sessions if one.id == "now"]

    assert row.tally.scores == tuple((number < 3, 1) for number in range(5))


def test_sessions_are_chosen_by_what_they_compare(log: Engine) -> None:
    versions = tuple(version.id for version in SPRITZ.versions)
    for wanted in (
        EVERY,
        Wanted(versions),
        Wanted(versions, "R", True),
        Wanted(versions, "", True),
    ):
        found = {one.id for one in session_index.read(log, wanted).sessions}

        assert found == {one.id for one in EVERYTHING if _fits(one, wanted)}
        assert found == session_index.ids(log, wanted)
        assert session_index.index(log, wanted).count == len(found)


def _fits(session: object, wanted: Wanted) -> bool:
    pair = {(one.kind, one.id) for one in (session.plan.a, session.plan.b)}  # type: ignore[attr-defined]
    own = {("version", id_) for id_ in wanted.versions or ()}
    if wanted.versions is None:
        return True
    if not wanted.among:
        return bool(pair & own)
    return bool(pair & own) and pair <= own | {("reference", wanted.reference)}


def test_the_newest_come_in_order(log: Engine) -> None:
    newest = session_index.read(log, newest=3).sessions
    moments = [one.closed_at for one in session_index.read(log).sessions]

    assert [one.closed_at for one in newest] == sorted(moments)[-3:]
    assert [one.id for one in past.newest(log, 3)] == [one.id for one in reversed(newest)]


def test_when_two_drinks_were_compared(log: Engine) -> None:
    pair = (("version", "spritz-1"), ("reference", "S"))

    assert past.count(log, Search(drinks=pair)) == 1
    [(at, id_)] = past.moments(log, Search(drinks=pair), 5)
    assert (id_, (at - START).days) == ("unknown", 35)
