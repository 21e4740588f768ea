"""One formula: a version's recipe and what is in it side by side, and what can be done with it."""

from collections.abc import Sequence

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.formula import Formula, Version
from tasting.drink.ice import as_served
from tasting.drink.label import Reference
from tasting.drink.recipe_text import Recipe
from tasting.errors import InputError
from tasting.records import now
from tasting.store import formulas, notes, session_index
from tasting.ui import page, pages
from tasting.ui.dashboard.choice import first_reference, versions_of
from tasting.ui.drinks import (
    depth,
    draft_form,
    drink_actions,
    saving,
    views,
    writing,
)
from tasting.ui.drinks import draft as drafting
from tasting.ui.drinks.composition_beside import beside
from tasting.ui.drinks.draft_form import Held
from tasting.ui.drinks.noticed_change import against_parent
from tasting.ui.page import escape_markdown
from tasting.wording import day


def show(engine: Engine, kept: Sequence[Formula], formula: Formula) -> None:
    """The page of a formula."""
    page.title(formula.name)
    version = _version(formula)
    suggested = drafting.next_label([known.label for known in formula.versions])
    start = drafting.draft_from(formula, version)
    held = draft_form.held(engine, version.id, start, suggested)
    page.show_invented(formula.invented)
    _say_state(formula, version, held, suggested)
    left, right = st.columns(2, gap="medium")
    with left, st.container(border=True):
        recipe = writing.recipe(engine, held, kept, version)
        _save(engine, formula, version, held, recipe, suggested)
    with right, st.container(border=True):
        st.header("What is in it")
        _composition(engine, formula, version, held, recipe)
    drink_actions.show(engine, formula, version)
    depth.show(engine, kept, formula, version)


def _version(formula: Formula) -> Version:
    """The version in the address, else the newest."""
    by_id = {version.id: version for version in formula.versions}
    wanted = st.query_params.get(saving.VERSION)
    if wanted and wanted not in by_id:
        st.warning("This formula has no such version; the newest is shown.")
    return by_id.get(wanted or "", formula.versions[-1])


def _say_state(formula: Formula, version: Version, held: Held, suggested: str) -> None:
    """Which version it is, or of which the draft is."""
    if held.saved_at:
        label = saving.labelled(held.draft, suggested).label
        return saving.say_saved(held, escape_markdown(f"Draft of {label}, from {version.label}"))
    origin = f"from {formula.version(version.parent).label}" if version.parent else "the first"
    said = [version.label, origin, day(version.created_at), version.reason]
    st.caption(escape_markdown(" · ".join(word for word in [*said, _TO_CHANGE] if word)))


_TO_CHANGE = "change a line to draft the next version"


def _save(
    engine: Engine,
    formula: Formula,
    version: Version,
    held: Held,
    recipe: Recipe,
    suggested: str,
) -> None:
    """Reason, version name and the button, once something differs from the version."""
    if not held.saved_at:
        return
    why, named = st.columns([3, 1])
    with why:
        st.text_input(
            "What did you change, and why?",
            held.draft.reason,
            max_chars=2000,
            key=held.key("reason"),
            placeholder="a little sharper, towards R",
        )
    with named:
        saving.version_name(held, suggested)
    draft = saving.labelled(held.draft, suggested)
    pressed = st.button(
        f"Save as {escape_markdown(draft.label)}", type="primary", key=f"save-{version.id}"
    )
    saving.offer_to_discard(engine, held)
    if saving.meant(engine, held, recipe, version, pressed):
        with page.show_errors():
            saving.check(recipe, [] if draft.reason.strip() else [_NO_REASON])
            child = drafting.version_of(draft, recipe, version, now())
            formulas.add_version(engine, formula.id, child)
            draft_form.end(engine, version.id)
            saving.finish(formula, child)


_NO_REASON = "the reason is missing; say in a few words what was changed and why"


def _composition(
    engine: Engine, formula: Formula, version: Version, held: Held, recipe: Recipe
) -> None:
    """What a litre holds, beside the parent and the label; then what to know of it."""
    table = st.container()
    references = notes.still_out(engine, formulas.references(engine))
    reference = _reference(engine, formula, references)
    shown, before = version, formula.version(version.parent) if version.parent else None
    if held.saved_at:
        try:
            shown, before = drafting.preview(recipe, now()), version
        except InputError as error:
            with table:
                views.say_none_yet(recipe, error)
            return
    style = notes.melting(engine, formula.id)
    tasted = {one.label: as_served(one, style)[1] for one in (shown, before) if one}
    with table:
        st.html(beside(tasted, reference, f"{formula.name}, {shown.label}"))
        if style:
            st.caption(escape_markdown(f"As it is tasted. {style}"))
        if before:
            _against(engine, formula, reference, shown, before)
        views.show_what_to_know(shown, tasted[shown.label], editable=True)


def _reference(
    engine: Engine, formula: Formula, references: Sequence[Reference]
) -> Reference | None:
    """The reference to compare with: at first the one that was compared with most often."""
    if not references:
        page.link_here(pages.DRINK, "Add a reference", {"new": "reference"}, "add-reference")
        return None
    usual = first_reference(references, session_index.times_compared(engine, versions_of(formula)))
    by_id = {reference.id: reference for reference in references}
    if len(by_id) == 1:
        return references[0]
    chosen = st.selectbox(
        "Compare with the label of",
        list(by_id),
        index=usual,
        format_func=lambda id: by_id[id].name,
        key="reference",
    )
    return by_id.get(chosen or "")


def _against(
    engine: Engine,
    formula: Formula,
    reference: Reference | None,
    shown: Version,
    before: Version,
) -> None:
    """The change in the recipe, without the ice, as the tastings that it is held against."""
    said = against_parent(engine, formula, reference, shown, before)
    if said:
        st.markdown(f"**Against {escape_markdown(before.label)}:** {escape_markdown(said)}")
