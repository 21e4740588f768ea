"""The page of formulas: their versions, what is in them, and how a new version is made."""

from collections.abc import Sequence

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.composition import compose
from tasting.drink.formula import Formula, Version
from tasting.drink.label import Reference
from tasting.drink.questions import questions
from tasting.errors import InputError
from tasting.records import checked, now
from tasting.store import formulas
from tasting.store.scale import scale_step_g
from tasting.ui import access, page, pages
from tasting.ui.drinks import (
    adjust_panel,
    batch_panel,
    before_saving,
    draft_form,
    find_ingredient,
    ingredient_forms,
    own_form,
    tables,
    views,
)
from tasting.ui.drinks import draft as drafting
from tasting.ui.drinks.draft import Draft, Known
from tasting.wording import day

# Streamlit shows a bare string in a page's script, so what they mean is said in comments.
_VERSION = "version"  # query parameter with the id of the version to show
_NEW = "new"  # stands for a formula that is not kept yet; also the place of its draft
_SECTIONS = ["Composition", "Reference", "Adjust", "Batch", "New version"]
COMPOSITION, AGAINST, ADJUST, BATCH, CHILD = _SECTIONS
_MANY = 5  # a tree of more versions is folded away, or it would push the rest out of sight


def _choose(kept: Sequence[Formula]) -> Formula | None:
    """The formula to show; None for a new one."""
    wanted = st.query_params.get(_VERSION)
    by_id = {formula.id: formula for formula in kept}
    home = [known.id for known in kept if wanted in [version.id for version in known.versions]]
    if wanted and not home:
        st.warning("No version is kept under the address that you opened; choose a formula here.")
    ids = [*by_id, _NEW]
    chosen = st.selectbox(
        "Formula",
        ids,
        index=ids.index(home[0]) if home else 0,
        format_func=lambda id: by_id[id].name if id in by_id else "Start a new formula",
        key=f"formula-{len(kept)}",
    )
    return by_id.get(chosen)


def _choose_version(formula: Formula) -> Version:
    """The tree of versions, to choose from; the address follows the choice."""
    lines = {version.id: (version, level) for version, level in tables.tree(formula)}
    ids, wanted = list(lines), st.query_params.get(_VERSION)
    chosen = st.radio(
        "Version",
        ids,
        index=ids.index(wanted if wanted in lines else formula.versions[-1].id),
        format_func=lambda id: _branch(lines[id][1]) + page.escape_markdown(lines[id][0].label),
        captions=[_caption(formula, lines[id][0]) for id in ids],
        key=f"version-{formula.id}-{len(ids)}",
    )
    st.query_params[_VERSION] = chosen
    return formula.version(chosen)


def _branch(level: int) -> str:
    """The room before a line of the tree, in spaces that Markdown leaves alone."""
    return "\u2003" * (level - 1) + "└\u2002" if level else ""


def _caption(formula: Formula, version: Version) -> str:
    """Where a version comes from, when and why."""
    origin = f"from {formula.version(version.parent).label}" if version.parent else "the first"
    said = [origin, day(version.created_at), version.reason]
    return page.escape_markdown(" · ".join(word for word in said if word))


def _choose_reference(engine: Engine) -> Reference | None:
    """The reference to compare with, if any is kept."""
    reference = views.choose_reference(formulas.references(engine), "reference")
    if reference:
        page.show_invented(reference.invented)
    else:
        st.write("No reference is kept yet. Write down the label of a drink to compare with.")
        st.page_link(pages.REFERENCES.script, label="Add a reference")
    return reference


def _compare(engine: Engine, formula: Formula, version: Version) -> None:
    """A version, then all versions, against the label of a reference."""
    reference = _choose_reference(engine)
    if reference:
        views.show_against_label(version, reference)
    elif len(formula.versions) == 1:
        return
    st.subheader("Version by version")
    views.show_versions_against_label(formula, reference)


def _write_draft(
    place: str, kept: Sequence[Formula], parent: Version | None
) -> tuple[Draft, Known]:
    """The draft as it stands in the widgets, and below it what it would be."""
    before = draft_form.current(place, drafting.draft_from(parent))
    known = drafting.known_ingredients(kept, before.own, parent.parts if parent else ())
    typed, beside = st.columns(2, gap="medium")
    with typed:
        draft = draft_form.recipe(place, before, known)
        find_ingredient.find(place, draft, known)
    with beside:
        views.show_draft(draft, known, parent)
    with st.expander("Measure a lot of an ingredient"):
        ingredient_forms.lot_form(place, draft, known)
    with st.expander("Use a version as a preparation"):
        ingredient_forms.preparation_form(place, draft, known, kept)
    with st.expander("Add an ingredient of your own"):
        own_form.own_ingredient_form(place, draft, known)
    return draft, known


def _make_child(engine: Engine, kept: Sequence[Formula], formula: Formula, parent: Version) -> None:
    """Edit: a child of the version that is shown, with a reason."""
    label = page.escape_markdown(parent.label)
    st.write(f"Change what you like; it is kept as a child of {label}, which itself never changes.")
    draft, known = _write_draft(parent.id, kept, parent)
    suggested = drafting.next_label([version.label for version in formula.versions])
    example = "For example: flat beside R, so 4 mL more lemon"
    draft = draft_form.words(parent.id, draft, suggested, "What was changed, and why?", example)
    pressed = st.button("Keep as a new version", type="primary", key=f"keep-{parent.id}")
    if _meant(engine, draft, known, parent, pressed):
        with page.show_errors():
            child = drafting.version_of(draft, known, parent, now())
            formulas.add_version(engine, formula.id, child)
            draft_form.forget(parent.id)
            _finish(child)


def _meant(
    engine: Engine, draft: Draft, known: Known, parent: Version | None, pressed: bool
) -> bool:
    """Whether to save the draft: what may be a slip is asked about first."""
    try:
        made = drafting.version_of(draft, known, parent, now())
    except InputError:  # said where the draft is saved
        return pressed
    asked = questions(made, parent, scale_step_g(engine))
    return before_saving.confirmed(parent.id if parent else _NEW, asked, pressed)


def _make_formula(engine: Engine, kept: Sequence[Formula]) -> None:
    """A new formula with its first version."""
    st.query_params.pop(_VERSION, None)
    name = st.text_input("Name of the formula", max_chars=120, key="formula_name")
    draft, known = _write_draft(_NEW, kept, None)
    draft = draft_form.words(_NEW, draft, "v1", "What is it meant to be? (optional)", "")
    pressed = st.button("Keep the formula", type="primary", key="keep-new")
    if _meant(engine, draft, known, None, pressed):
        with page.show_errors():
            first = drafting.version_of(draft, known, None, now())
            formulas.keep_formula(engine, _named(name, first, kept))
            draft_form.forget(_NEW)
            _finish(first)


def _named(name: str, first: Version, kept: Sequence[Formula]) -> Formula:
    """The formula with its first version. Raises InputError for no name, or one that is taken."""
    name = name.strip()
    if not name:
        raise InputError("the formula has no name; give it one")
    if name.casefold() in [formula.name.casefold() for formula in kept]:
        raise InputError(
            f"a formula is called {name!r} already; make a version of it, or choose another name"
        )
    return checked(Formula, {"id": formulas.new_id(), "name": name, "versions": (first,)})


def _make_move(engine: Engine, kept: Sequence[Formula], formula: Formula, version: Version) -> None:
    """Which pinch: a move that is kept becomes a child."""
    known = drafting.known_ingredients(kept, parts=version.parts)
    child = adjust_panel.panel(engine, formula, version, known)
    if child:
        with page.show_errors():
            formulas.add_version(engine, formula.id, child)
            _finish(child)


def _finish(version: Version) -> None:
    """After keeping: show the new version, and say so."""
    st.query_params[_VERSION] = version.id
    page.say_later(f"{version.label} is kept and shown here.")


def _show_formula(engine: Engine, kept: Sequence[Formula], formula: Formula) -> None:
    """The tree beside the chosen version and what can be done with it."""
    page.show_invented(formula.invented)
    if len(formula.versions) > _MANY:
        with st.popover(f"All {len(formula.versions)} versions", icon=":material/account_tree:"):
            version = _choose_version(formula)
        st.caption(_caption(formula, version))
        views.show_parts(version)
        return _show_section(engine, kept, formula, version)
    tree, beside = st.columns([2, 3], gap="medium")
    with tree:
        version = _choose_version(formula)
    with beside:
        views.show_parts(version)
    _show_section(engine, kept, formula, version)


def _show_section(
    engine: Engine, kept: Sequence[Formula], formula: Formula, version: Version
) -> None:
    """One of the sections; only that one is computed, and a chart never starts out of sight."""
    section = st.segmented_control(
        "Show",
        _SECTIONS,
        default=COMPOSITION,
        required=True,
        key="section",
        label_visibility="collapsed",
    )
    if section == COMPOSITION:
        made = compose(version)
        views.show_composition(made, version.label)
        views.show_cautions(version, made)
    elif section == AGAINST:
        _compare(engine, formula, version)
    elif section == ADJUST:
        _make_move(engine, kept, formula, version)
    elif section == BATCH:
        batch_panel.panel(engine, formula, version)
    else:
        _make_child(engine, kept, formula, version)


def _show(engine: Engine) -> None:
    """The page."""
    page.title("Formulas")
    page.say()
    kept = formulas.formulas(engine)
    if not kept:
        st.write("No formula is kept yet. Give the first one a name and its ingredients.")
    formula = _choose(kept) if kept else None
    if formula:
        _show_formula(engine, kept, formula)
    else:
        _make_formula(engine, kept)


access.require_host()
_show(page.engine())
