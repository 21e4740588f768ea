"""Documents: what is written is read back, and what cannot be read is said with its place."""

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from sqlalchemy import Engine

from tasting.errors import InputError, NotFoundError
from tasting.insight.findings.finding import finding
from tasting.insight.findings.tally import Tally
from tasting.panel.plan import Sample
from tasting.panel.session import Session
from tasting.store import documents, formulas, sessions
from tasting.store.database import open_database
from tasting.store.documents import (
    Document,
    export_document,
    export_texts,
    import_documents,
    parse_document,
    read_document,
    write_document,
    write_parts,
)
from tests import strategies
from tests.insight.workshop import document as sample_workshop
from tests.ui.workshop import (
    MEASURED,
    SPRITZ,
    UNMEASURED,
    closed,
    keep,
    opened,
    planned,
    some_closed,
)

WORKSHOP = Document(
    formulas=(SPRITZ,),
    references=(MEASURED, UNMEASURED),
    sessions=(closed(planned("acid"), 10, 2), planned("next")),
)


def by_id(kept: tuple[Session, ...]) -> dict[str, Session]:
    return {session.id: session for session in kept}


@given(strategies.documents())
@settings(max_examples=20, deadline=None)
def test_reading_what_was_written_gives_the_same(document: Document) -> None:
    assert parse_document(write_document(document)) == document


@given(strategies.documents())
@settings(max_examples=15, deadline=None)
def test_the_database_gives_back_all_that_is_not_open(document: Document) -> None:
    engine = open_database("sqlite://")
    documents.fill(engine, document)
    exported = export_document(engine)
    engine.dispose()

    assert (exported.formulas, exported.references) == (document.formulas, document.references)
    assert by_id(exported.sessions) == {
        id_: session for id_, session in by_id(document.sessions).items() if session.state != "open"
    }


@given(strategies.sessions(states=("closed",)).filter(lambda kept: Tally.of_session(kept).n))
@settings(max_examples=30, deadline=None)
def test_the_finding_is_the_same_when_recomputed_from_the_document(session: Session) -> None:
    text = write_document(Document(sessions=(session,)))

    assert finding(parse_document(text).sessions[0]) == finding(session)


def test_the_database_keeps_findings(engine: Engine) -> None:
    before_ = some_closed()
    keep(engine, *before_)
    exported = parse_document(write_document(export_document(engine)))

    for before, after in zip(before_[:4], sessions.closed_sessions(engine), strict=False):
        assert finding(before) == finding(after) == finding(by_id(exported.sessions)[before.id])


def test_a_chosen_session_brings_the_drinks_that_it_compares(engine: Engine) -> None:
    import_documents(engine, [WORKSHOP])
    keep_other = planned("bottles", "preference", "R", "S")
    sessions.plan_session(engine, keep_other)
    document = export_document(engine, ["bottles"])

    (kept,) = document.sessions

    assert kept.model_copy(update={"events": ()}) == keep_other
    assert (document.formulas, document.references) == ((), (MEASURED, UNMEASURED))


def test_an_unknown_session_is_not_exported(engine: Engine) -> None:
    with pytest.raises(NotFoundError, match="under the id 'nothing'"):
        export_document(engine, ["nothing"])


def test_an_import_is_all_or_nothing(engine: Engine) -> None:
    stray = planned("stray", a="spritz-9")
    bad = WORKSHOP.model_copy(update={"sessions": (*WORKSHOP.sessions, stray)})
    with pytest.raises(InputError, match="compares the version 'spritz-9', which is not saved"):
        import_documents(engine, [bad])

    assert formulas.samples(engine) == ()
    assert sessions.summaries(engine) == ()


def test_several_documents_are_all_or_nothing_too(engine: Engine) -> None:
    with pytest.raises(InputError, match="formula 'Rhubarb and bay spritz' is saved already"):
        import_documents(engine, [WORKSHOP, WORKSHOP])

    assert formulas.samples(engine) == ()


def test_sessions_may_come_before_their_drinks(engine: Engine) -> None:
    import_documents(
        engine,
        [Document(sessions=WORKSHOP.sessions), WORKSHOP.model_copy(update={"sessions": ()})],
    )

    assert {known.id for known in sessions.summaries(engine)} == {"acid", "next"}


def test_every_import_of_a_session_is_on_its_record(engine: Engine) -> None:
    when = datetime(2026, 5, 1, 12, 0, tzinfo=UTC)
    import_documents(engine, [WORKSHOP], at=when)

    for known in sessions.summaries(engine):
        came = sessions.events(engine, known.id)[-1]
        assert (came.at, came.what, came.detail) == (when, "imported", "from a document")


def test_a_forged_open_session_is_not_imported(engine: Engine) -> None:
    """Attack: its key is known to who wrote it, who then tastes in it."""
    forged = WORKSHOP.model_copy(update={"sessions": (opened(planned("forged")),)})
    with pytest.raises(InputError, match="'Session forged' is open, and whoever wrote the doc"):
        import_documents(engine, [forged])

    assert sessions.summaries(engine) == ()


def test_importing_again_leaves_what_is_kept_alone(engine: Engine) -> None:
    import_documents(engine, [WORKSHOP])
    with pytest.raises(InputError, match="is saved already"):
        import_documents(engine, [WORKSHOP])

    assert export_document(engine).formulas == WORKSHOP.formulas


def test_a_sample_leads_to_its_drink_inside_a_document() -> None:
    plan = WORKSHOP.sessions[0].plan

    assert WORKSHOP.drink(plan.b) == SPRITZ.version("spritz-2")
    with pytest.raises(InputError, match="contains no version with the id 'spritz-9'"):
        WORKSHOP.drink(Sample(kind="version", id="spritz-9", name="nowhere"))


def test_the_published_schema_names_every_field_and_its_version() -> None:
    schema = documents.json_schema()

    parts = {"formulas", "references", "sessions", "notes", "prices"}
    assert set(schema["properties"]) == {"schema", "invented", *parts}
    assert schema["properties"]["schema"]["const"] == 1
    assert schema["additionalProperties"] is False


def changed(path: str, value: object) -> str:
    """The workshop's text with one field set to another value."""
    values = json.loads(write_document(WORKSHOP))
    *steps, last = [int(step) if step.isdigit() else step for step in path.split(".")]
    inner = values
    for step in steps:
        inner = inner[step]
    inner[last] = value
    return json.dumps(values)


@pytest.mark.parametrize(
    ("path", "value", "match"),
    [
        ("sessions.0.plan.alpha", 0.5, "must be below 0.5"),
        ("sessions.0.plan.alpha", 0, "must be above 0"),
        ("sessions.0.plan.beta", 0.5, "must be below 0.5"),
        ("sessions.0.plan.p_d", 1, "must be below 1"),
        ("sessions.0.plan.method", "guess", "unknown method 'guess'; use one of: triangle"),
        ("sessions.0.plan.assessors", ["Ann", "ann"], "assessor 'ann' is listed twice"),
        ("sessions.0.plan.colour", "red", "this field is not known here"),
        ("sessions.0.plan.serving_ml", float("nan"), "finite number"),
        ("sessions.0.planned_at", "2026-03-01T18:00:00", "a moment such as .*, with its offset"),
        ("sessions.0.answers.3.choice", "", "is empty"),
        ("sessions.0.answers.3.sure", "perhaps", "must be true or false"),
        ("references.0.ta_g_per_l", -1, "must be 0 or more"),
        ("formulas.0.versions.0.parts.0.amount", "-3 mL", "above zero"),
        ("formulas.0.versions.0.parts.0.amount", "3 cups", "unknown unit 'cups'"),
        ("formulas.0.versions.0.parts.0.ingredient", "rubarb", "in the pantry; did you mean"),
        ("formulas.0.id", "a b", "write letters, digits"),
        ("formulas", "none", "must be a list"),
    ],
)
def test_a_fault_is_told_with_its_place(path: str, value: object, match: str) -> None:
    with pytest.raises(InputError, match=match) as caught:
        parse_document(changed(path, value))

    assert str(caught.value).startswith(path)


@pytest.mark.parametrize(
    ("path", "value", "match"),
    [
        ("sessions.0.answers.0.choice", "000", "'000' cannot be chosen there"),
        ("sessions.0.plan.alpha", 0.1, "the seal does not fit: the plan or the key was changed"),
        ("sessions.0.salt", "0" * 32, "the seal does not fit"),
        ("sessions.0.answers.0.assessor", "Nobody", "there is no such set"),
        ("sessions.0.answers.0.replicate", 2, "there is no such set"),
        ("sessions.0.sets.0.order", "AB", "'AB' is not a serving order of triangle"),
        ("sessions.0.sets.0.codes", ["111", "222"], "needs 3 three-digit codes"),
        ("sessions.0.sets.0.codes", ["314", "314", "512"], "a code occurs twice"),
        ("sessions.0.sets", [], "its sets do not fit its plan"),
        ("sessions.1.closed_at", "2026-03-01T18:00:00Z", "never opened"),
        ("sessions.0.opened_at", "2020-01-01T00:00:00Z", "in this order"),
    ],
)
def test_a_session_that_contradicts_itself_is_refused(path: str, value: object, match: str) -> None:
    with pytest.raises(InputError, match=match) as caught:
        parse_document(changed(path, value))

    assert str(caught.value).startswith(".".join(path.split(".")[:2]))


@pytest.mark.parametrize(
    ("text", "match"),
    [
        ("", "this is not JSON"),
        ("{", "this is not JSON"),
        ("[" * 100_000, "nested far deeper than any of our documents"),
        ('{"schema": ' + "1" * 5000 + "}", "a number in this has far more digits"),
        ("[]", 'it has no "schema" field'),
        ('{"formulas": []}', 'it has no "schema" field'),
        ('{"schema": 2}', "schema 2 is not known here; this program reads schema 1"),
        ('{"schema": "1"}', "schema '1' is not known here"),
        ('{"schema": 1, "x": 1}', "x: this field is not known here"),
    ],
)
def test_what_is_no_document_is_refused(text: str, match: str) -> None:
    with pytest.raises(InputError, match=match):
        parse_document(text)


def test_a_file_is_named_in_the_message(tmp_path: Path) -> None:
    file = tmp_path / "log.json"
    file.write_text("{")
    with pytest.raises(InputError, match=r"log\.json: this is not JSON"):
        read_document(file)


@pytest.mark.parametrize(
    ("content", "match"), [(None, "No such file"), (b"\xff\xfe\x00", "not text in UTF-8")]
)
def test_a_file_that_cannot_be_read_is_said(
    tmp_path: Path, content: bytes | None, match: str
) -> None:
    file = tmp_path / "log.json"
    if content is not None:
        file.write_bytes(content)
    with pytest.raises(InputError, match=rf"cannot read .*log\.json: .*{match}"):
        read_document(file)


def test_a_huge_file_is_not_even_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(documents, "LARGEST_BYTES", 10)
    file = tmp_path / "log.json"
    file.write_text('{"schema": 1}')
    with pytest.raises(InputError, match="larger than 10 bytes; split it"):
        read_document(file)


def test_a_document_too_large_to_be_read_is_written_in_parts_that_are_it_together() -> None:
    whole = sample_workshop()
    largest = len(write_document(whole).encode()) // 3
    texts = list(write_parts(whole, largest))
    parts = [parse_document(text) for text in texts]
    sizes = [len(text.encode()) for text in texts]

    assert len(texts) > 2
    assert all(
        size <= largest or len(part.sessions) == 1 for size, part in zip(sizes, parts, strict=True)
    )
    assert (parts[0].formulas, parts[0].references) == (whole.formulas, whole.references)
    assert not any(part.formulas or part.references for part in parts[1:])
    assert [one for part in parts for one in part.sessions] == list(whole.sessions)
    assert list(write_parts(whole)) == [write_document(whole)]


@pytest.mark.parametrize("together", [1, 2, 7])
def test_a_large_log_is_exported_in_documents_that_are_it_together(
    engine: Engine, together: int
) -> None:
    import_documents(engine, [sample_workshop()])
    told: list[tuple[float, float]] = []
    parts = [
        parse_document(text)
        for text in export_texts(engine, progress=lambda *now: told.append(now), together=together)
    ]
    whole = export_document(engine)

    many = len(whole.sessions)
    assert len(parts) == -(-many // together)
    assert [one for part in parts for one in part.sessions] == list(whole.sessions)
    assert parts[0].model_copy(update={"sessions": whole.sessions}) == whole
    assert not any(part.formulas or part.references or part.notes for part in parts[1:])
    assert told == [(done, many) for done in range(1, many + 1)]


def test_an_empty_log_is_exported_as_one_document_that_is_empty(engine: Engine) -> None:
    (text,) = export_texts(engine)

    assert parse_document(text) == Document()
