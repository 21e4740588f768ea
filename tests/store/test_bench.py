"""A glass at the bench outlives pages and devices; its rows are only added."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import Engine, select

from tasting.drink.bench import Added, SavedAs, Tasted, TastedAway, Undone, saved
from tasting.drink.formula import Part, Version
from tasting.errors import DamagedError, InputError, NotFoundError
from tasting.records import now
from tasting.store import bench, formulas, schema
from tasting.store.backup import back_up
from tasting.store.check import misses
from tasting.store.database import file_address, open_database, reading, writing
from tasting.store.documents import export_document, write_document
from tests.ui.workshop import SPRITZ

V2 = SPRITZ.versions[1]
PINCH = Added(part=Part.model_validate({"ingredient": "citric-acid", "amount": "0.1 g"}))
SIP = TastedAway(volume_ml=10)


@pytest.fixture
def kept(engine: Engine) -> Engine:
    formulas.keep_formula(engine, SPRITZ)
    return engine


def rows(engine: Engine) -> list[tuple[object, ...]]:
    """All that is kept of steps."""
    table = schema.bench_step
    with reading(engine) as connection:
        return [tuple(row) for row in connection.execute(select(table).order_by(table.c.place))]


def child(glass: bench.BenchGlass, label: str = "v4") -> Version:
    return saved(glass.log, id="v4", label=label, reason="sharper", created_at=now())


def test_a_glass_is_found_as_it_was_left_by_whoever_opens_the_log(kept: Engine) -> None:
    id_ = bench.pour(kept, V2.id, 120)
    for seen, step in enumerate([PINCH, Tasted(note="flat"), SIP, Undone()]):
        bench.add_step(kept, id_, step, seen)
    other = open_database(str(kept.url))
    found = bench.glass(other, id_)
    other.dispose()

    assert found.log.start == V2
    assert found.log.poured_ml == 120
    assert found.log.steps == (PINCH, Tasted(note="flat"), SIP, Undone())
    assert (found.formula_id, len(found.made_at)) == (SPRITZ.id, 4)
    assert found.poured_at <= found.made_at[0] <= found.made_at[-1] <= now()


def test_undoing_adds_a_row_and_changes_none(kept: Engine) -> None:
    id_ = bench.pour(kept, V2.id, 120)
    bench.add_step(kept, id_, PINCH, 0)
    before = rows(kept)
    bench.add_step(kept, id_, Undone(), 1)

    assert rows(kept)[:-1] == before
    assert len(rows(kept)) == 2


def test_a_step_keeps_the_figures_that_its_ingredient_had(kept: Engine) -> None:
    """A better pantry does not rewrite what was in the glass."""
    richer = PINCH.part.ingredient.model_copy(update={"citric_g_per_100g": 50.0, "name": "old"})
    step = Added(part=PINCH.part.model_copy(update={"ingredient": richer}))
    id_ = bench.pour(kept, V2.id, 120)
    bench.add_step(kept, id_, step, 0)

    assert bench.glass(kept, id_).log.steps == (step,)


def test_nobody_undoes_what_they_have_not_seen(kept: Engine) -> None:
    """Two phones: the second one still shows the glass before the sip."""
    id_ = bench.pour(kept, V2.id, 120)
    bench.add_step(kept, id_, PINCH, 0)
    bench.add_step(kept, id_, SIP, 1)
    with pytest.raises(InputError, match="another device added a step"):
        bench.add_step(kept, id_, Undone(), 1)
    bench.add_step(kept, id_, PINCH, 1)

    assert bench.glass(kept, id_).log.steps == (PINCH, SIP, PINCH)


@pytest.mark.parametrize(
    ("step", "match"),
    [(TastedAway(volume_ml=120), "cannot be taken out"), (Undone(), "no step is left to undo")],
)
def test_a_step_that_cannot_be_made_is_not_kept(
    kept: Engine, step: TastedAway | Undone, match: str
) -> None:
    id_ = bench.pour(kept, V2.id, 120)
    with pytest.raises(InputError, match=match):
        bench.add_step(kept, id_, step, 0)

    assert rows(kept) == []


@pytest.mark.parametrize("poured_ml", [0, 4.9, 10_001, float("inf")])
def test_a_glass_that_nobody_pours_is_not_kept(kept: Engine, poured_ml: float) -> None:
    with pytest.raises(InputError, match="poured_ml"):
        bench.pour(kept, V2.id, poured_ml)

    assert bench.poured(kept, [V2.id]) == ()


def test_what_is_not_there_is_said(kept: Engine) -> None:
    with pytest.raises(NotFoundError, match="no version is saved under the id 'nothing'"):
        bench.pour(kept, "nothing", 100)
    with pytest.raises(NotFoundError, match="no glass at the bench is saved under the id 'x'"):
        bench.glass(kept, "x")
    with pytest.raises(NotFoundError):
        bench.add_step(kept, "x", PINCH, 0)


def test_a_saved_version_stands_on_the_log_of_its_glass(kept: Engine) -> None:
    id_ = bench.pour(kept, V2.id, 120)
    made = child(bench.add_step(kept, id_, PINCH, 0))
    bench.save_version(kept, id_, 1, made)

    assert formulas.formula(kept, SPRITZ.id).versions == (*SPRITZ.versions, made)
    assert bench.glass(kept, id_).log.steps == (
        PINCH,
        SavedAs(version_id="v4", label="v4", after=1),
    )


def test_a_version_that_is_refused_leaves_no_trace_on_the_log(kept: Engine) -> None:
    id_ = bench.pour(kept, V2.id, 120)
    made = child(bench.add_step(kept, id_, PINCH, 0), label="v1")
    with pytest.raises(InputError, match="two versions have the label 'v1'"):
        bench.save_version(kept, id_, 1, made)

    assert bench.glass(kept, id_).log.steps == (PINCH,)
    assert formulas.formula(kept, SPRITZ.id) == SPRITZ


def test_glasses_are_listed_the_newest_first(kept: Engine) -> None:
    first, second = bench.pour(kept, V2.id, 120), bench.pour(kept, "spritz-1", 50)
    bench.add_step(kept, first, PINCH, 0)
    listed = bench.poured(kept, [V2.id, "spritz-1"])

    assert [(one.id, one.version_id, one.poured_ml, one.steps) for one in listed] == [
        (second, "spritz-1", 50, 0),
        (first, V2.id, 120, 1),
    ]
    assert [one.id for one in bench.poured(kept, [V2.id])] == [first]
    assert bench.poured(kept, []) == ()


def test_an_evening_is_what_was_poured_since_a_moment(kept: Engine) -> None:
    bench.pour(kept, V2.id, 120)
    between = datetime.now(UTC)
    id_ = bench.pour(kept, V2.id, 50)

    assert [one.id for one in bench.poured_since(kept, between)] == [id_]
    assert len(bench.poured_since(kept, between - timedelta(hours=1))) == 2


def test_a_damaged_step_is_said_and_checked(kept: Engine) -> None:
    id_ = bench.pour(kept, V2.id, 120)
    bench.add_step(kept, id_, PINCH, 0)
    with writing(kept) as connection:
        connection.exec_driver_sql("UPDATE bench_step SET body = '{}'")
    with pytest.raises(DamagedError, match="glass at the bench 'v2' is damaged"):
        bench.glass(kept, id_)

    assert [str(miss) for miss in misses(kept)] == [
        f"glass at the bench {id_}: its row cannot be read any more"
    ]


def test_a_backup_holds_the_bench_and_a_document_does_not(kept: Engine, tmp_path: Path) -> None:
    id_ = bench.pour(kept, V2.id, 120)
    bench.add_step(kept, id_, PINCH, 0)
    back_up(tmp_path / "log.sqlite3", tmp_path / "copy")
    copy = open_database(file_address(tmp_path / "copy"))
    found = bench.glass(copy, id_)
    copy.dispose()

    assert found == bench.glass(kept, id_)
    assert "bench" not in write_document(export_document(kept))
