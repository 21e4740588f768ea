"""What stands below a formula, one section at a time: its versions, an adjustment, a batch …"""

from collections.abc import Sequence

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.formula import Formula, Version
from tasting.drink.ice import as_served
from tasting.store import formulas, notes
from tasting.ui import page
from tasting.ui.drinks import adjust_panel, batch_panel, notes_panel, saving, tables, views
from tasting.ui.drinks import draft as drafting
from tasting.wording import day

_SECTIONS = ["Versions", "Notes and cost", "Adjust", "Batch", "All figures", "Label"]
_VERSIONS, _NOTES, _ADJUST, _BATCH, _FIGURES, _LABEL = _SECTIONS


def show(engine: Engine, kept: Sequence[Formula], formula: Formula, version: Version) -> None:
    """The section that is chosen; only that one is computed."""
    section = st.segmented_control("More about this version", _SECTIONS, key="section")
    if section == _VERSIONS:
        _versions(formula, version)
    elif section == _NOTES:
        notes_panel.show(engine, formula, version)
    elif section == _ADJUST:
        _adjust(engine, kept, formula, version)
    elif section == _BATCH:
        batch_panel.panel(engine, formula, version)
    elif section == _FIGURES:
        style = notes.melting(engine, formula.id)
        if style:
            st.caption(page.escape_markdown(f"As it is tasted. {style}"))
        views.show_composition(as_served(version, style)[1], version.label)
    elif section == _LABEL:
        _label(engine, formula, version)


def _versions(formula: Formula, version: Version) -> None:
    """The tree of versions, to choose from; the address follows the choice."""
    lines = {known.id: (known, level) for known, level in tables.tree(formula)}
    ids = list(lines)
    with st.container(height=320 if len(ids) > 5 else "content", border=False):
        chosen = st.radio(
            "Version",
            ids,
            index=ids.index(version.id),
            format_func=lambda id: _branch(lines[id][1]) + page.escape_markdown(lines[id][0].label),
            captions=[_caption(formula, lines[id][0]) for id in ids],
            key=f"version-{formula.id}-{len(ids)}-{version.id}",
        )
    if chosen != version.id:
        st.query_params.from_dict({"id": formula.id, saving.VERSION: chosen})
        st.rerun()


def _branch(level: int) -> str:
    """The room before a line of the tree, in spaces that Markdown leaves alone."""
    return "\u2003" * (level - 1) + "└\u2002" if level else ""


def _caption(formula: Formula, version: Version) -> str:
    """Where a version comes from, when and why."""
    origin = f"from {formula.version(version.parent).label}" if version.parent else "the first"
    said = [origin, day(version.created_at), version.reason]
    return page.escape_markdown(" · ".join(word for word in said if word))


def _adjust(engine: Engine, kept: Sequence[Formula], formula: Formula, version: Version) -> None:
    """Which pinch: a move that is saved becomes a child."""
    known = drafting.known_ingredients(kept, parts=version.parts)
    child = adjust_panel.panel(engine, formula, version, known)
    if child:
        with page.show_errors():
            formulas.add_version(engine, formula.id, child)
            saving.finish(formula, child)


def _label(engine: Engine, formula: Formula, version: Version) -> None:
    """A version, then all versions, against the label of a reference."""
    known = notes.still_out(engine, formulas.references(engine))
    chosen = st.session_state.get("reference")
    # A single one is no choice, and has no widget.
    reference = next((one for one in known if len(known) == 1 or one.id == chosen), None)
    style = notes.melting(engine, formula.id)
    if style:
        st.caption(page.escape_markdown(f"As it is tasted. {style}"))
    if reference:
        page.show_invented(reference.invented)
        views.show_against_label(version, as_served(version, style)[1], reference)
    if reference or len(formula.versions) > 1:
        st.subheader("Version by version")
        views.show_versions_against_label(formula, reference, style)
