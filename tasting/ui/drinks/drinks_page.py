"""The list of drinks: formulas and references, and what was last found of each."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.formula import Formula
from tasting.drink.label import Reference
from tasting.store import drafts, formulas, notes, past
from tasting.store.past import Past
from tasting.ui import access, page, pages
from tasting.ui.drinks import reference_draft
from tasting.ui.page import escape_markdown
from tasting.wording import day

_AT_FIRST = 10
# So many rows before the rest is asked for.


@dataclass(frozen=True, slots=True)
class _Row:
    """A drink in the list; `at` is when anything last happened to it."""

    id: str
    name: str
    kind: str
    found: str
    at: datetime
    invented: bool


def _rows(engine: Engine) -> list[_Row]:
    """All drinks, the newest first."""
    last = past.last_of_each(engine)
    kept = [_of_formula(formula, last) for formula in formulas.formulas(engine)]
    kept += [_of_reference(reference, last) for reference in formulas.references(engine)]
    return sorted(kept, key=lambda row: row.at, reverse=True)


def _of_formula(formula: Formula, last: Mapping[str, Past]) -> _Row:
    latest = formula.versions[-1]
    found = [last[one.id] for one in formula.versions if one.id in last]
    newest = max(found, key=lambda one: one.closed_at, default=None)
    at = max([latest.created_at, *(one.closed_at for one in found)])
    kind = f"{latest.label}, {day(latest.created_at)}"
    return _Row(formula.id, formula.name, kind, _found(newest), at, bool(formula.invented))


def _of_reference(reference: Reference, last: Mapping[str, Past]) -> _Row:
    newest = last.get(reference.id)
    corrected = [before.until for before in reference.earlier]
    at = max([*corrected, newest.closed_at if newest else datetime.min.replace(tzinfo=UTC)])
    return _Row(
        reference.id, reference.name, "reference", _found(newest), at, bool(reference.invented)
    )


def _found(newest: Past | None) -> str:
    """What was found last, and when."""
    if newest is None:
        return "Not tasted blind yet."
    return f"{day(newest.closed_at)}: {newest.headline or newest.fault}"


def _show_rows(rows: list[_Row], key: str) -> None:
    """One line a drink on a desktop, three on a phone."""
    shown = rows if st.session_state.get(f"all-{key}") else rows[:_AT_FIRST]
    for row in shown:
        with st.container(key=f"{key}-{row.id}", gap="xxsmall"):
            name, kind, found = st.columns([4, 2, 6], vertical_alignment="center")
            with name:
                st.page_link(
                    pages.DRINK.script,
                    label=f"**{escape_markdown(row.name)}**",
                    query_params={"id": row.id},
                )
            kind.caption(escape_markdown(row.kind))
            found.markdown(escape_markdown(row.found))
    if len(rows) > len(shown):
        st.button(
            f"Show all {len(rows)}",
            on_click=st.session_state.__setitem__,
            args=(f"all-{key}", True),
        )


def _unfinished(engine: Engine) -> Iterator[tuple[str, dict[str, str]]]:
    """Drafts, as a sentence and the address where each goes on."""
    names = {kept.id: kept.name for kept in formulas.formulas(engine)}
    for place, kept in drafts.drafts(engine).items():
        draft = kept.draft
        when = day(kept.saved_at)
        if draft.formula in names:
            address = {"id": draft.formula, "version": place}
            yield f"Draft of {names[draft.formula]}, saved {when}", address
        elif place.startswith(reference_draft.CORRECTION):
            address = {"id": place.removeprefix(reference_draft.CORRECTION)}
            yield f"Draft of a correction of {draft.name}, saved {when}", address
        elif place.startswith(reference_draft.NEW):
            address = {"new": "reference", "draft": place}
            yield f"Draft of {draft.name or 'a new reference'}, saved {when}", address
        elif not draft.formula:
            yield f"Draft of {draft.name or 'a new formula'}, saved {when}", {"draft": place}


def _show(engine: Engine) -> None:
    """The page."""
    page.title("Drinks")
    page.say()
    with st.container(horizontal=True, gap="small"):
        if st.button("New formula", type="primary", key="new-formula"):
            st.switch_page(pages.DRINK.script, query_params={"new": "formula"})
        if st.button("New reference", key="new-reference"):
            st.switch_page(pages.DRINK.script, query_params={"new": "reference"})
    for label, address in _unfinished(engine):
        st.page_link(
            pages.DRINK.script,
            label=escape_markdown(label),
            query_params=address,
            icon=":material/edit_note:",
        )
    rows, away = _rows(engine), notes.archived(engine)
    if not rows:
        st.write("No drink is saved yet. Write your first recipe, or the label of a bottle.")
    if any(row.invented for row in rows):
        page.show_invented("some of these drinks are made up; their pages say so.")
    _show_rows([row for row in rows if row.id not in away], "drinks")
    put_away = [row for row in rows if row.id in away]
    if put_away:
        with st.expander(f"Archive ({len(put_away)})"):
            _show_rows(put_away, "archive")


access.require_host()
_show(page.engine())
