"""Seats by pseudonym: an assessor's record finds its own without reading every seat."""

from alembic import op

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    """Add the index; no row changes."""
    op.create_index("ix_seat_assessor", "seat", ["assessor"])
