"""Which closed sessions there are and what they compared: enough to choose some, without loading
any answer."""

import json
from dataclasses import dataclass

from sqlalchemy import Engine, select

from tasting.panel.plan import Sample
from tasting.store import schema
from tasting.store.database import reading


@dataclass(frozen=True, slots=True)
class Compared:
    """A closed session by its id; `invented` says that its data are made up."""

    id: str
    invented: str
    a: Sample
    b: Sample


def closed(engine: Engine) -> tuple[Compared, ...]:
    """All closed sessions, oldest first, in one query."""
    table = schema.session
    wanted = (
        select(table.c.id, table.c.invented, table.c.plan)
        .where(table.c.closed_at.is_not(None))
        .order_by(table.c.closed_at, table.c.id)
    )
    with reading(engine) as connection:
        rows = connection.execute(wanted).all()
    return tuple(_compared(id_, invented, json.loads(plan)) for id_, invented, plan in rows)


def _compared(id_: str, invented: str, plan: dict[str, object]) -> Compared:
    a, b = (Sample.model_validate(plan[letter]) for letter in ("a", "b"))
    return Compared(id_, invented, a, b)
