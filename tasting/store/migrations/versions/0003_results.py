"""What a closed session's finding and the models rest on stands in columns.

Pages page, search and add up without reading any key. The tables are filled when the database is
opened next (`store/results.py`); the evidence itself stays as it is.
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"

TABLES = ("result", "score")
SAID = "results of a session are kept once it is closed, and not before"


def upgrade() -> None:
    """Make the tables, and the guards against results of a session that is not closed."""
    _result()
    _score()
    for table in TABLES:
        _refuse_before_closing(table)


def _result() -> None:
    op.create_table(
        "result",
        sa.Column("session_id", sa.String(length=64), nullable=False),
        sa.Column("reckoned", sa.Integer(), nullable=False),
        sa.Column("fault", sa.Text(), nullable=False),
        sa.Column("closed_at", sa.String(length=40), nullable=False),
        sa.Column("method", sa.String(length=40), nullable=False),
        sa.Column("a_kind", sa.String(length=10), nullable=False),
        sa.Column("a_id", sa.String(length=64), nullable=False),
        sa.Column("a_name", sa.String(length=120), nullable=False),
        sa.Column("b_kind", sa.String(length=10), nullable=False),
        sa.Column("b_id", sa.String(length=64), nullable=False),
        sa.Column("b_name", sa.String(length=120), nullable=False),
        sa.Column("pair", sa.String(length=160), nullable=False),
        sa.Column("planned", sa.Integer(), nullable=False),
        sa.Column("answers", sa.Integer(), nullable=False),
        sa.Column("excluded", sa.Integer(), nullable=False),
        sa.Column("given", sa.Text(), nullable=False),
        sa.Column("by_option", sa.Text(), nullable=False),
        sa.Column("looks", sa.Text(), nullable=False),
        sa.Column("n", sa.Integer(), nullable=False),
        sa.Column("counted", sa.Integer(), nullable=False),
        sa.Column("undecided", sa.Integer(), nullable=False),
        sa.Column("shown", sa.Boolean(), nullable=False),
        sa.Column("p_value", sa.Float(precision=53), nullable=True),
        sa.Column("headline", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["session_id"], ["session.id"]),
        sa.PrimaryKeyConstraint("session_id"),
    )
    for name in ("closed_at", "pair"):
        op.create_index(op.f(f"ix_result_{name}"), "result", [name], unique=False)


def _score() -> None:
    op.create_table(
        "score",
        sa.Column("session_id", sa.String(length=64), nullable=False),
        sa.Column("seat", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("n", sa.Integer(), nullable=False),
        sa.Column("counted", sa.Integer(), nullable=False),
        sa.Column("right", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["session_id"], ["result.session_id"]),
        sa.ForeignKeyConstraint(
            ["session_id", "seat"],
            ["seat.session_id", "seat.number"],
        ),
        sa.PrimaryKeyConstraint("session_id", "seat"),
    )


def _refuse_before_closing(table: str) -> None:
    closed = "SELECT 1 FROM session WHERE id = NEW.session_id AND closed_at IS NOT NULL"
    if op.get_bind().dialect.name == "sqlite":
        for act in ("INSERT", "UPDATE"):
            op.execute(
                f"CREATE TRIGGER {table}_closed_{act.lower()} BEFORE {act} ON {table} "
                f"WHEN NOT EXISTS ({closed}) BEGIN SELECT RAISE(ABORT, '{SAID}'); END"
            )
        return
    op.execute(
        f"CREATE FUNCTION {table}_closed() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        f"IF NOT EXISTS ({closed}) THEN RAISE EXCEPTION '{SAID}'; END IF; RETURN NEW; END $$"
    )
    op.execute(
        f"CREATE TRIGGER {table}_closed BEFORE INSERT OR UPDATE ON {table} "
        f"FOR EACH ROW EXECUTE FUNCTION {table}_closed()"
    )
