"""Glasses at the bench, and what was done to them step by step."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def _text(name: str, length: int | None = None) -> "sa.Column[str]":
    return sa.Column(name, sa.String(length) if length else sa.Text(), nullable=False)


def upgrade() -> None:
    """Add the two tables; neither is evidence."""
    op.create_table(
        "bench",
        sa.Column("id", sa.String(64), primary_key=True, nullable=False),
        sa.Column("version_id", sa.String(64), sa.ForeignKey("version.id"), nullable=False),
        sa.Column("poured_ml", sa.Float(53), nullable=False),
        _text("poured_at", 40),
    )
    op.create_index("ix_bench_version_id", "bench", ["version_id"])
    op.create_table(
        "bench_step",
        sa.Column(
            "bench_id", sa.String(64), sa.ForeignKey("bench.id"), primary_key=True, nullable=False
        ),
        sa.Column("place", sa.Integer(), primary_key=True, autoincrement=False, nullable=False),
        _text("body"),
        _text("made_at", 40),
    )
