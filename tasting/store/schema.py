"""The tables. Rows that are evidence are only ever added; KEPT and FIXED name them.

A pseudonym stands in `seat` alone, everything else names a seat by its number, so that a pseudonym
can be erased and all counts stay. Moments are ISO 8601 text in UTC, which sorts as it reads on
every database.
"""

from sqlalchemy import (
    Boolean,
    Column,
    Float,
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


def _text(
    name: str,
    length: int | None = None,
    *,
    primary_key: bool = False,
    nullable: bool = False,
    index: bool = False,
) -> Column[str]:
    kind = String(length) if length else Text()
    return Column(name, kind, primary_key=primary_key, nullable=nullable, index=index or None)


def _session_id(*, primary_key: bool = False) -> Column[str]:
    home = ForeignKey("session.id")
    return Column("session_id", String(64), home, primary_key=primary_key, nullable=False)


setting = Table("setting", metadata, _text("name", 40, primary_key=True), _text("value"))

attempt = Table(
    "attempt",
    metadata,
    Column("id", Integer, primary_key=True),
    _text("door", 80),
    _text("at", 40),
    Column("succeeded", Boolean, nullable=False),
)

host_session = Table(
    "host_session",
    metadata,
    _text("token_hash", 64, primary_key=True),
    _text("sealed_secret", 128),
    _text("ends_at", 40),
)

formula = Table(
    "formula",
    metadata,
    _text("id", 64, primary_key=True),
    _text("name", 120),
    _text("invented"),
)

version = Table(
    "version",
    metadata,
    _text("id", 64, primary_key=True),
    Column("formula_id", String(64), ForeignKey("formula.id"), nullable=False, index=True),
    _text("label", 120),
    Column("place", Integer, nullable=False),
    _text("body"),
    UniqueConstraint("formula_id", "label", name="version_label_once"),
    UniqueConstraint("formula_id", "place", name="version_place_once"),
)

reference = Table(
    "reference", metadata, _text("id", 64, primary_key=True), _text("name", 120), _text("body")
)

session = Table(
    "session",
    metadata,
    _text("id", 64, primary_key=True),
    _text("name", 120),
    _text("purpose"),
    _text("invented"),
    _text("plan"),
    _text("planned_at", 40),
    _text("opened_at", 40, nullable=True),
    _text("closed_at", 40, nullable=True),
    _text("early_reason"),
    _text("abandoned_at", 40, nullable=True),
    _text("abandoned_reason"),
    _text("sealed", 64),
    _text("salt", 32),
    _text("pourer_code", 200),
)

seat = Table(
    "seat",
    metadata,
    _session_id(primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    _text("assessor", 120, index=True),
    Column("issue", Integer, nullable=False),
    Column("token_hash", String(64), unique=True),
    _text("consented_at", 40, nullable=True),
    _text("withdrawn_at", 40, nullable=True),
    UniqueConstraint("session_id", "assessor", name="seat_assessor_once"),
)


def _place() -> tuple[Column[str], Column[int], Column[int]]:
    return (
        _text("session_id", 64, primary_key=True),
        Column("seat", Integer, primary_key=True, autoincrement=False),
        Column("replicate", Integer, primary_key=True, autoincrement=False),
    )


def _of_a_set() -> ForeignKeyConstraint:
    here, there = ["session_id", "seat", "replicate"], "serving_set"
    return ForeignKeyConstraint(here, [f"{there}.{name}" for name in here])


serving_set = Table(
    "serving_set",
    metadata,
    *_place(),
    Column("place", Integer, nullable=False),
    _text("serving_order", 16),
    _text("codes", 64),
    ForeignKeyConstraint(["session_id", "seat"], ["seat.session_id", "seat.number"]),
    UniqueConstraint("session_id", "place", name="serving_set_place_once"),
)

position = Table(
    "position",
    metadata,
    *_place(),
    Column("chosen", Integer, nullable=False),
    _text("given_at", 40),
    _of_a_set(),
)

answer = Table(
    "answer",
    metadata,
    *_place(),
    _text("choice", 40),
    Column("sure", Boolean),
    _text("remark"),
    _text("given_at", 40),
    _of_a_set(),
)

amendment = Table(
    "amendment",
    metadata,
    Column("id", Integer, primary_key=True),
    _text("session_id", 64),
    Column("seat", Integer, nullable=False),
    Column("replicate", Integer, nullable=False),
    _text("choice", 40),
    _text("reason"),
    _text("made_at", 40),
    _of_a_set(),
)

exclusion = Table(
    "exclusion",
    metadata,
    _text("session_id", 64, primary_key=True),
    Column("seat", Integer, primary_key=True, autoincrement=False),
    _text("reason"),
    _text("made_at", 40),
    ForeignKeyConstraint(["session_id", "seat"], ["seat.session_id", "seat.number"]),
)

event = Table(
    "event",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("session_id", String(64), ForeignKey("session.id"), nullable=False, index=True),
    Column("seat", Integer),
    _text("at", 40),
    _text("what", 120),
    _text("detail"),
)

draft = Table(
    "draft", metadata, _text("place", 80, primary_key=True), _text("body"), _text("saved_at", 40)
)
"""A recipe that is being written: `place` is the version that it starts from, or a name of its own.
It goes when it has become a version."""

note = Table(
    "note",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("drink_id", String(64), nullable=False, index=True),
    _text("version_id", 64),
    _text("kind", 20),
    _text("text"),
    _text("noted_at", 40),
)
"""What is said of a formula or a reference besides its recipe, by kind; of most the newest holds.
`version_id` is empty where it holds for all versions."""

price = Table(
    "price",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("ingredient", String(64), nullable=False, index=True),
    _text("pack", 60),
    _text("price", 40),
    _text("currency", 20),
    _text("noted_at", 40),
)
"""What a pack of an ingredient costs; the newest holds."""

bench = Table(
    "bench",
    metadata,
    _text("id", 64, primary_key=True),
    Column("version_id", String(64), ForeignKey("version.id"), nullable=False, index=True),
    Column("poured_ml", Float(53), nullable=False),
    _text("poured_at", 40),
)
"""A glass of a version at the bench."""

bench_step = Table(
    "bench_step",
    metadata,
    Column("bench_id", String(64), ForeignKey("bench.id"), primary_key=True, nullable=False),
    Column("place", Integer, primary_key=True, autoincrement=False),
    _text("body"),
    _text("made_at", 40),
)
"""What was added, tasted away, noted, undone or saved as a version, step by step; an ingredient
with the figures that it had. The maker's own notes: rows are only added, and none is evidence."""

result = Table(
    "result",
    metadata,
    _session_id(primary_key=True),
    Column("reckoned", Integer, nullable=False),
    _text("fault"),
    Column("closed_at", String(40), nullable=False, index=True),
    _text("method", 40),
    _text("a_kind", 10),
    _text("a_id", 64),
    _text("a_name", 120),
    _text("b_kind", 10),
    _text("b_id", 64),
    _text("b_name", 120),
    Column("pair", String(160), nullable=False, index=True),
    Column("planned", Integer, nullable=False),
    Column("answers", Integer, nullable=False),
    Column("excluded", Integer, nullable=False),
    _text("given"),
    _text("by_option"),
    _text("looks"),
    Column("n", Integer, nullable=False),
    Column("counted", Integer, nullable=False),
    Column("undecided", Integer, nullable=False),
    Column("shown", Boolean, nullable=False),
    Column("p_value", Float(53), nullable=True),
    _text("headline"),
    _text("words"),
)
"""One row for each closed session: what findings and models rest on, reckoned from its evidence at
closing, so that pages need not read any key. `results` writes it, `check` reckons it again.

reckoned: number of the way of reckoning; fault: why nothing could be reckoned, else empty
pair: both samples by kind and id, in the order of the alphabet
given: each answer that counts by its seat and a sign, in the order in which they came
by_option: counts of methods without a chance of guessing; looks: of a sequential test, where they
    are not as planned; words: what a search looks through
"""

score = Table(
    "score",
    metadata,
    Column(
        "session_id", String(64), ForeignKey("result.session_id"), primary_key=True, nullable=False
    ),
    Column("seat", Integer, primary_key=True, autoincrement=False),
    Column("n", Integer, nullable=False),
    Column("counted", Integer, nullable=False),
    Column("right", Integer, nullable=True),
    ForeignKeyConstraint(["session_id", "seat"], ["seat.session_id", "seat.number"]),
)
"""Answers of each seat of a closed session that chose a sample, those that counted, and those that
were right where an answer can be right."""

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
"""Tables whose rows the database itself refuses to change or delete."""

FIXED = ("session", "seat")
"""Tables whose rows the database refuses to delete, and to change but for what is set once: the
seal and the moments of a session, consent and withdrawal; and a pseudonym may be erased."""

RECKONED = ("result", "score")
"""Tables that follow from the others. The database refuses rows of sessions that are not closed."""
