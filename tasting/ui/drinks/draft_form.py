"""A draft while it is being typed: kept in the database with every change.

What this browser typed last wins over what another device saved; where it typed nothing new, it
shows what the other device saved. A draft that was not typed on the sheet (a choice, another
device) has a new edition, under which every field starts afresh.
"""

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

import streamlit as st
from sqlalchemy import Engine

from tasting.records import tidy
from tasting.store.drafts import Draft, KeptDraft, draft, drop_draft, keep_draft
from tasting.store.formulas import new_id
from tasting.ui.drinks import recipe_paper

_FIELDS: Final = ("name", "label", "reason")


@dataclass(frozen=True, slots=True)
class Held:
    """The draft of a place; `saved_at` is None where nothing differs from the start."""

    place: str
    draft: Draft
    saved_at: datetime | None
    edition: str

    @property
    def sheet(self) -> str:
        """The key of the sheet: the same for every edition, so that there is ever only one."""
        return f"sheet-{self.place}"

    def key(self, field: str) -> str:
        """The key of the widget in which a field of this edition is typed."""
        return f"{field}-{self.place}-{self.edition}"


def held(engine: Engine, place: str, start: Draft, suggested: str) -> Held:
    """The draft as it stands now: as typed here, as saved anywhere, or the one to start with.

    suggested: the version name that is no part of the draft until another one is typed, because it
        may be taken when the host comes back
    """
    before: Held | None = st.session_state.get(_key(place))
    if before:
        typed = _typed(before, suggested)
        if typed != before.draft:
            return _keep(engine, before, typed, start)
    kept = draft(engine, place)
    if before and before.saved_at == (kept.saved_at if kept else None):
        return before
    return _put(place, kept or start, new_id())


def _key(place: str) -> str:
    return f"draft-{place}"


def _typed(before: Held, suggested: str) -> Draft:
    """The draft with what the widgets say in this run."""
    texts = {field: st.session_state.get(before.key(field)) for field in _FIELDS}
    texts["text"] = recipe_paper.typed(before.sheet, before.edition)
    found = {field: tidy(text) for field, text in texts.items() if text is not None}
    if found.get("label") == suggested:
        found["label"] = ""
    return before.draft.model_copy(update=found)


def _keep(engine: Engine, before: Held, after: Draft, start: Draft) -> Held:
    if after == start:
        drop_draft(engine, before.place)
        return _put(before.place, after, before.edition)
    return _put(before.place, keep_draft(engine, before.place, after), before.edition)


def _put(place: str, known: KeptDraft | Draft, edition: str) -> Held:
    kept = known if isinstance(known, KeptDraft) else None
    now = Held(place, kept.draft if kept else known, kept.saved_at if kept else None, edition)  # type: ignore[arg-type]
    st.session_state[_key(place)] = now
    return now


def change(engine: Engine, place: str, after: Draft) -> None:
    """Save a draft that was not typed: the fields start afresh with it."""
    _put(place, keep_draft(engine, place, after), new_id())


def start_afresh(held: Held) -> None:
    """The same draft in fields that begin with it, because what they held is no longer shown."""
    st.session_state[_key(held.place)] = replace(held, edition=new_id())


def rewrite(engine: Engine, held: Held, text: str) -> None:
    """Save the draft with what the table says; the table goes on as it is."""
    after = held.draft.model_copy(update={"text": text})
    _put(held.place, keep_draft(engine, held.place, after), held.edition)


def end(engine: Engine, place: str) -> None:
    """The draft has become a version, or nobody wants it."""
    drop_draft(engine, place)
    st.session_state.pop(_key(place), None)
