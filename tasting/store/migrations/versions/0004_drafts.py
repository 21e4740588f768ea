"""Drafts of recipes, notes on drinks, and what a pack of an ingredient costs."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def _text(name: str, length: int | None = None) -> "sa.Column[str]":
    return sa.Column(name, sa.String(length) if length else sa.Text(), nullable=False)


def upgrade() -> None:
    """Add the three tables; none of them is evidence."""
    op.create_table(
        "draft",
        sa.Column("place", sa.String(80), primary_key=True, nullable=False),
        _text("body"),
        _text("saved_at", 40),
    )
    op.create_table(
        "note",
        sa.Column("id", sa.Integer(), primary_key=True),
        _text("drink_id", 64),
        _text("version_id", 64),
        _text("kind", 20),
        _text("text"),
        _text("noted_at", 40),
    )
    op.create_index("ix_note_drink_id", "note", ["drink_id"])
    op.create_table(
        "price",
        sa.Column("id", sa.Integer(), primary_key=True),
        _text("ingredient", 64),
        _text("pack", 60),
        _text("price", 40),
        _text("currency", 20),
        _text("noted_at", 40),
    )
    op.create_index("ix_price_ingredient", "price", ["ingredient"])
