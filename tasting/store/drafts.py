"""Recipes and references that are being written: every device finds them, until they are saved."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field
from sqlalchemy import Engine, delete, insert, select

from tasting.drink.pantry import Ingredient
from tasting.records import checked, now
from tasting.store import schema
from tasting.store.database import reading, writing
from tasting.store.mapping import stamp

_Typed = Annotated[str, Field(max_length=20_000)]


class Draft(BaseModel):
    """What the host has typed so far, checked by nobody but for its length.

    formula: the id of the formula that it is for, empty for a new one; name: of a new one
    own: ingredients that so far only this draft knows
    typed: what stands in the form of a reference, by field
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    formula: str = ""
    name: _Typed = ""
    text: _Typed = ""
    label: _Typed = ""
    reason: _Typed = ""
    own: tuple[Ingredient, ...] = ()
    typed: Mapping[str, _Typed | list[_Typed]] = {}


@dataclass(frozen=True, slots=True)
class KeptDraft:
    """A draft and when it was last saved."""

    draft: Draft
    saved_at: datetime


def keep_draft(engine: Engine, place: str, draft: Draft) -> KeptDraft:
    """Save a draft over the one before in its place. Raises InputError for too much text."""
    kept = KeptDraft(checked(Draft, dict(draft)), now())
    body, moment = kept.draft.model_dump_json(), stamp(kept.saved_at)
    table = schema.draft
    with writing(engine) as connection:
        connection.execute(delete(table).where(table.c.place == place))
        connection.execute(insert(table).values({"place": place, "body": body, "saved_at": moment}))
    return kept


def drafts(engine: Engine) -> Mapping[str, KeptDraft]:
    """All drafts by their places, the newest first."""
    table = schema.draft
    with reading(engine) as connection:
        rows = connection.execute(select(table).order_by(table.c.saved_at.desc())).all()
    return {place: _kept(body, saved_at) for place, body, saved_at in rows}


def draft(engine: Engine, place: str) -> KeptDraft | None:
    """The draft in a place, if there is one."""
    table = schema.draft
    with reading(engine) as connection:
        row = connection.execute(
            select(table.c.body, table.c.saved_at).where(table.c.place == place)
        ).first()
    return _kept(*row) if row else None


def _kept(body: str, saved_at: str) -> KeptDraft:
    return KeptDraft(Draft.model_validate_json(body), datetime.fromisoformat(saved_at))


def drop_draft(engine: Engine, place: str) -> None:
    """Take a draft away: it has become a version, or nobody wants it."""
    table = schema.draft
    with writing(engine) as connection:
        connection.execute(delete(table).where(table.c.place == place))
