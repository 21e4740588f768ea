"""The tables. Rows of version, reference, serving_set and answer are only ever added.

Moments are kept as ISO 8601 text in UTC, which sorts as it reads on every database.
"""

from sqlalchemy import (
    Column,
    ForeignKey,
    ForeignKeyConstraint,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

metadata = MetaData()

setting = Table(
    "setting",
    metadata,
    Column("name", String(40), primary_key=True),
    Column("value", Text, nullable=False),
)

formula = Table(
    "formula",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("name", String(120), nullable=False),
    Column("invented", Text, nullable=False),
)

version = Table(
    "version",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("formula_id", ForeignKey("formula.id"), nullable=False, index=True),
    Column("label", String(120), nullable=False),
    Column("place", Integer, nullable=False),
    Column("body", Text, nullable=False),
    UniqueConstraint("formula_id", "label", name="version_label_once"),
    UniqueConstraint("formula_id", "place", name="version_place_once"),
)

reference = Table(
    "reference",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("name", String(120), nullable=False),
    Column("body", Text, nullable=False),
)

session = Table(
    "session",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("name", String(120), nullable=False),
    Column("purpose", Text, nullable=False),
    Column("invented", Text, nullable=False),
    Column("plan", Text, nullable=False),
    Column("planned_at", String(40), nullable=False),
    Column("opened_at", String(40)),
    Column("closed_at", String(40)),
    Column("early_reason", Text, nullable=False),
)

seat = Table(
    "seat",
    metadata,
    Column("session_id", ForeignKey("session.id"), primary_key=True),
    Column("assessor", String(120), primary_key=True),
    Column("token", String(64), nullable=False, unique=True),
)

serving_set = Table(
    "serving_set",
    metadata,
    Column("session_id", String(64), primary_key=True),
    Column("assessor", String(120), primary_key=True),
    Column("replicate", Integer, primary_key=True),
    Column("place", Integer, nullable=False),
    Column("serving_order", String(16), nullable=False),
    Column("codes", String(64), nullable=False),
    ForeignKeyConstraint(["session_id", "assessor"], ["seat.session_id", "seat.assessor"]),
    UniqueConstraint("session_id", "place", name="serving_set_place_once"),
)

answer = Table(
    "answer",
    metadata,
    Column("session_id", String(64), primary_key=True),
    Column("assessor", String(120), primary_key=True),
    Column("replicate", Integer, primary_key=True),
    Column("code", String(3), nullable=False),
    Column("remark", Text, nullable=False),
    Column("given_at", String(40), nullable=False),
    ForeignKeyConstraint(
        ["session_id", "assessor", "replicate"],
        ["serving_set.session_id", "serving_set.assessor", "serving_set.replicate"],
    ),
)

sheet_view = Table(
    "sheet_view",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("session_id", ForeignKey("session.id"), nullable=False),
    Column("seen_at", String(40), nullable=False),
)

KEPT = ("version", "reference", "serving_set", "answer")
"""Tables whose rows the database itself refuses to change or delete."""
