"""The first schema: drinks, sessions, their key, what was given; evidence cannot be changed."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

KEPT = (
    "version",
    "reference",
    "serving_set",
    "position",
    "answer",
    "amendment",
    "exclusion",
    "event",
)


def upgrade() -> None:
    """Make the tables, and the guards of those that are only added to."""
    _access()
    _drinks()
    _session()
    _seats()
    _events()
    _given()
    _corrections()
    for table in KEPT:
        _refuse_changes(table)


def _access() -> None:
    op.create_table(
        "setting",
        sa.Column("name", sa.String(length=40), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("name"),
    )
    op.create_table(
        "attempt",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("door", sa.String(length=80), nullable=False),
        sa.Column("at", sa.String(length=40), nullable=False),
        sa.Column("succeeded", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_table(
        "host_session",
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("sealed_secret", sa.String(length=128), nullable=False),
        sa.Column("ends_at", sa.String(length=40), nullable=False),
        sa.PrimaryKeyConstraint("token_hash"),
    )


def _drinks() -> None:
    op.create_table(
        "formula",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("invented", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_table(
        "version",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("formula_id", sa.String(length=64), nullable=False),
        sa.Column("label", sa.String(length=120), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["formula_id"],
            ["formula.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("formula_id", "label", name="version_label_once"),
        sa.UniqueConstraint("formula_id", "place", name="version_place_once"),
    )
    op.create_index(op.f("ix_version_formula_id"), "version", ["formula_id"], unique=False)
    op.create_table(
        "reference",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )


def _session() -> None:
    op.create_table(
        "session",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("purpose", sa.Text(), nullable=False),
        sa.Column("invented", sa.Text(), nullable=False),
        sa.Column("plan", sa.Text(), nullable=False),
        sa.Column("planned_at", sa.String(length=40), nullable=False),
        sa.Column("opened_at", sa.String(length=40), nullable=True),
        sa.Column("closed_at", sa.String(length=40), nullable=True),
        sa.Column("early_reason", sa.Text(), nullable=False),
        sa.Column("abandoned_at", sa.String(length=40), nullable=True),
        sa.Column("abandoned_reason", sa.Text(), nullable=False),
        sa.Column("sealed", sa.String(length=64), nullable=False),
        sa.Column("salt", sa.String(length=32), nullable=False),
        sa.Column("pourer_code", sa.String(length=200), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )


def _seats() -> None:
    op.create_table(
        "seat",
        sa.Column("session_id", sa.String(length=64), nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("assessor", sa.String(length=120), nullable=False),
        sa.Column("issue", sa.Integer(), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=True),
        sa.Column("consented_at", sa.String(length=40), nullable=True),
        sa.Column("withdrawn_at", sa.String(length=40), nullable=True),
        sa.ForeignKeyConstraint(["session_id"], ["session.id"]),
        sa.PrimaryKeyConstraint("session_id", "number"),
        sa.UniqueConstraint("session_id", "assessor", name="seat_assessor_once"),
        sa.UniqueConstraint("token_hash"),
    )
    op.create_table(
        "serving_set",
        sa.Column("session_id", sa.String(length=64), nullable=False),
        sa.Column("seat", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("replicate", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("serving_order", sa.String(length=16), nullable=False),
        sa.Column("codes", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(
            ["session_id", "seat"],
            ["seat.session_id", "seat.number"],
        ),
        sa.PrimaryKeyConstraint("session_id", "seat", "replicate"),
        sa.UniqueConstraint("session_id", "place", name="serving_set_place_once"),
    )


def _events() -> None:
    op.create_table(
        "event",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("session_id", sa.String(length=64), nullable=False),
        sa.Column("seat", sa.Integer(), nullable=True),
        sa.Column("at", sa.String(length=40), nullable=False),
        sa.Column("what", sa.String(length=120), nullable=False),
        sa.Column("detail", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["session_id"], ["session.id"]),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index(op.f("ix_event_session_id"), "event", ["session_id"], unique=False)


def _given() -> None:
    op.create_table(
        "position",
        sa.Column("session_id", sa.String(length=64), nullable=False),
        sa.Column("seat", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("replicate", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("chosen", sa.Integer(), nullable=False),
        sa.Column("given_at", sa.String(length=40), nullable=False),
        sa.ForeignKeyConstraint(
            ["session_id", "seat", "replicate"],
            ["serving_set.session_id", "serving_set.seat", "serving_set.replicate"],
        ),
        sa.PrimaryKeyConstraint("session_id", "seat", "replicate"),
    )
    op.create_table(
        "answer",
        sa.Column("session_id", sa.String(length=64), nullable=False),
        sa.Column("seat", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("replicate", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("choice", sa.String(length=40), nullable=False),
        sa.Column("sure", sa.Boolean(), nullable=True),
        sa.Column("remark", sa.Text(), nullable=False),
        sa.Column("given_at", sa.String(length=40), nullable=False),
        sa.ForeignKeyConstraint(
            ["session_id", "seat", "replicate"],
            ["serving_set.session_id", "serving_set.seat", "serving_set.replicate"],
        ),
        sa.PrimaryKeyConstraint("session_id", "seat", "replicate"),
    )


def _corrections() -> None:
    op.create_table(
        "amendment",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("session_id", sa.String(length=64), nullable=False),
        sa.Column("seat", sa.Integer(), nullable=False),
        sa.Column("replicate", sa.Integer(), nullable=False),
        sa.Column("choice", sa.String(length=40), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("made_at", sa.String(length=40), nullable=False),
        sa.ForeignKeyConstraint(
            ["session_id", "seat", "replicate"],
            ["serving_set.session_id", "serving_set.seat", "serving_set.replicate"],
        ),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_table(
        "exclusion",
        sa.Column("session_id", sa.String(length=64), nullable=False),
        sa.Column("seat", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("made_at", sa.String(length=40), nullable=False),
        sa.ForeignKeyConstraint(
            ["session_id", "seat"],
            ["seat.session_id", "seat.number"],
        ),
        sa.PrimaryKeyConstraint("session_id", "seat"),
    )


def _refuse_changes(table: str) -> None:
    if op.get_bind().dialect.name == "sqlite":
        for act in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_no_{act.lower()} BEFORE {act} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, 'rows of {table} are only ever added'); END"
            )
        return
    op.execute(
        f"CREATE FUNCTION {table}_kept() RETURNS trigger LANGUAGE plpgsql AS $$ "
        f"BEGIN RAISE EXCEPTION 'rows of {table} are only ever added'; END $$"
    )
    op.execute(
        f"CREATE TRIGGER {table}_kept BEFORE UPDATE OR DELETE ON {table} "
        f"FOR EACH ROW EXECUTE FUNCTION {table}_kept()"
    )
