"""What a session was planned with, its seal and its moments are fixed, whoever writes past us.

Until now only the program kept to that; the rows of `session` and `seat` could be changed by hand.
On SQLite a row could also be replaced by REPLACE, which asks no trigger against deleting unless the
connection wants it (sqlite.org/lang_conflict.html): now a trigger before inserting refuses.
"""

from alembic import op

revision = "0002"
down_revision = "0001"

KEYS = {
    "session": (("id",),),
    "seat": (("session_id", "number"), ("session_id", "assessor"), ("token_hash",)),
    "version": (("id",), ("formula_id", "label"), ("formula_id", "place")),
    "reference": (("id",),),
    "serving_set": (("session_id", "seat", "replicate"), ("session_id", "place")),
    "position": (("session_id", "seat", "replicate"),),
    "answer": (("session_id", "seat", "replicate"),),
    "amendment": (("id",),),
    "exclusion": (("session_id", "seat"),),
    "event": (("id",),),
}
"""Tables whose rows nobody may delete, and what is unique in each."""

NEVER = {
    "session": ("id", "name", "purpose", "invented", "plan", "planned_at"),
    "seat": ("session_id", "number"),
}
"""Columns that never change."""

ONCE = {
    "session": ("opened_at", "closed_at", "abandoned_at"),
    "seat": ("consented_at", "withdrawn_at"),
}
"""Columns that are set once, and stay."""

TOGETHER = {
    "sealed": "opened_at",
    "salt": "opened_at",
    "early_reason": "closed_at",
    "abandoned_reason": "abandoned_at",
}
"""Columns of a session that are fixed as soon as another one is set."""

SAID = {
    "session": "what a session was planned, sealed and closed with never changes",
    "seat": "a seat stays, and so do its consent and withdrawal; a pseudonym can only be erased",
}


def upgrade() -> None:
    """Guard the rows of sessions and seats."""
    for table in NEVER:
        _refuse_change(table, " OR ".join(_changes(table)))
        _refuse_deletion(table)
    if op.get_bind().dialect.name == "sqlite":
        for table, keys in KEYS.items():
            _refuse_replacement(table, keys)


def _changes(table: str) -> list[str]:
    """What is refused, as conditions on the row before and after."""
    found = [_differs(name) for name in NEVER[table]]
    found += [f"OLD.{name} IS NOT NULL AND {_differs(name)}" for name in ONCE[table]]
    if table == "seat":
        return [*found, f"{_differs('assessor')} AND NEW.assessor NOT LIKE 'erased %'"]
    found += [f"OLD.{set_} IS NOT NULL AND {_differs(name)}" for name, set_ in TOGETHER.items()]
    found += ["NEW.closed_at IS NOT NULL AND NEW.abandoned_at IS NOT NULL"]
    return [*found, "NEW.closed_at IS NOT NULL AND NEW.opened_at IS NULL"]


def _differs(name: str) -> str:
    differ = "IS NOT" if op.get_bind().dialect.name == "sqlite" else "IS DISTINCT FROM"
    return f"NEW.{name} {differ} OLD.{name}"


def _refuse_change(table: str, condition: str) -> None:
    if op.get_bind().dialect.name == "sqlite":
        op.execute(
            f"CREATE TRIGGER {table}_fixed BEFORE UPDATE ON {table} WHEN {condition} "
            f"BEGIN SELECT RAISE(ABORT, '{SAID[table]}'); END"
        )
        return
    refusal = f"RAISE EXCEPTION '{SAID[table]}'"
    _function(f"{table}_fixed", f"IF {condition} THEN {refusal}; END IF; RETURN NEW;")
    _trigger(f"{table}_fixed", "UPDATE", table)


def _refuse_deletion(table: str) -> None:
    said = f"rows of {table} are never deleted"
    if op.get_bind().dialect.name == "sqlite":
        op.execute(
            f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{said}'); END"
        )
        return
    _function(f"{table}_no_delete", f"RAISE EXCEPTION '{said}';")
    _trigger(f"{table}_no_delete", "DELETE", table)


def _function(name: str, body: str) -> None:
    op.execute(
        f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {body} END $$"
    )


def _trigger(name: str, act: str, table: str) -> None:
    op.execute(
        f"CREATE TRIGGER {name} BEFORE {act} ON {table} FOR EACH ROW EXECUTE FUNCTION {name}()"
    )


def _refuse_replacement(table: str, keys: tuple[tuple[str, ...], ...]) -> None:
    same = " OR ".join(
        "(" + " AND ".join(f"{name} = NEW.{name}" for name in key) + ")" for key in keys
    )
    op.execute(
        f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} "
        f"WHEN EXISTS (SELECT 1 FROM {table} WHERE {same}) "
        f"BEGIN SELECT RAISE(ABORT, 'rows of {table} are only ever added'); END"
    )
