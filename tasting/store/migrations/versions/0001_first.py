"""Formulas, references, sessions, answers; rows that are evidence cannot be changed."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

KEPT = ("version", "reference", "serving_set", "answer")


def upgrade() -> None:
    """Make the tables."""
    _drinks()
    _sessions()
    _answers()
    for table in KEPT:
        _refuse_changes(table)


def _text(
    name: str, length: int | None = None, *, primary_key: bool = False, unique: bool | None = None
) -> sa.Column[str]:
    kind = sa.String(length) if length else sa.Text()
    return sa.Column(name, kind, nullable=False, primary_key=primary_key, unique=unique)


def _drinks() -> None:
    op.create_table("setting", _text("name", 40, primary_key=True), _text("value"))
    op.create_table(
        "formula", _text("id", 64, primary_key=True), _text("name", 120), _text("invented")
    )
    op.create_table(
        "version",
        _text("id", 64, primary_key=True),
        sa.Column("formula_id", sa.String(64), sa.ForeignKey("formula.id"), nullable=False),
        _text("label", 120),
        sa.Column("place", sa.Integer(), nullable=False),
        _text("body"),
        sa.UniqueConstraint("formula_id", "label", name="version_label_once"),
        sa.UniqueConstraint("formula_id", "place", name="version_place_once"),
    )
    op.create_index("ix_version_formula_id", "version", ["formula_id"])
    op.create_table(
        "reference", _text("id", 64, primary_key=True), _text("name", 120), _text("body")
    )


def _sessions() -> None:
    op.create_table(
        "session",
        _text("id", 64, primary_key=True),
        _text("name", 120),
        _text("purpose"),
        _text("invented"),
        _text("plan"),
        _text("planned_at", 40),
        sa.Column("opened_at", sa.String(40)),
        sa.Column("closed_at", sa.String(40)),
        _text("early_reason"),
    )
    op.create_table(
        "seat",
        sa.Column("session_id", sa.String(64), sa.ForeignKey("session.id"), primary_key=True),
        _text("assessor", 120, primary_key=True),
        _text("token", 64, unique=True),
    )
    op.create_table(
        "sheet_view",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("session_id", sa.String(64), sa.ForeignKey("session.id"), nullable=False),
        _text("seen_at", 40),
    )


def _place() -> tuple[sa.Column[str], sa.Column[str], sa.Column[int]]:
    return (
        _text("session_id", 64, primary_key=True),
        _text("assessor", 120, primary_key=True),
        sa.Column("replicate", sa.Integer(), primary_key=True),
    )


def _answers() -> None:
    op.create_table(
        "serving_set",
        *_place(),
        sa.Column("place", sa.Integer(), nullable=False),
        _text("serving_order", 16),
        _text("codes", 64),
        sa.ForeignKeyConstraint(["session_id", "assessor"], ["seat.session_id", "seat.assessor"]),
        sa.UniqueConstraint("session_id", "place", name="serving_set_place_once"),
    )
    op.create_table(
        "answer",
        *_place(),
        _text("code", 3),
        _text("remark"),
        _text("given_at", 40),
        sa.ForeignKeyConstraint(
            ["session_id", "assessor", "replicate"],
            ["serving_set.session_id", "serving_set.assessor", "serving_set.replicate"],
        ),
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
