"""The panel that asks which pinch: goals, what may change, and the moves that come of it."""

from collections.abc import Sequence
from datetime import datetime

import streamlit as st
from sqlalchemy import Engine

from tasting.drink import words
from tasting.drink.adjust import Adjustment, Allowed, Move, adjust
from tasting.drink.composition import Composition, compose
from tasting.drink.formula import Formula, Version
from tasting.drink.label import Reference
from tasting.drink.mixture import NAMES
from tasting.drink.questions import questions, unweighable
from tasting.drink.shelf import Known
from tasting.drink.weighable import rounded
from tasting.errors import InputError
from tasting.records import now
from tasting.store import formulas, notes
from tasting.store.formulas import new_id
from tasting.ui import fields, page
from tasting.ui.drinks import adjust_tables, before_saving, draft, views
from tasting.ui.drinks.adjust_tables import BY, KINDS, LIKE, MOVE, TO, AdjustmentGoal
from tasting.ui.tables import show_table
from tasting.wording import short

_LAST = "adjustment"
_MOST_WISHED = 1e6


def panel(engine: Engine, formula: Formula, version: Version, known: Known) -> Version | None:
    """The panel; a child version when the host keeps a move."""
    before = compose(version)
    reference = views.choose_reference(
        notes.still_out(engine, formulas.references(engine)), "adjust-reference"
    )
    wishes = _choose_goals(version, before, reference)
    allowed = _choose_allowed(version, known)
    step_g = before_saving.scale_step(engine, f"adjust-scale-{version.id}")
    try:
        fields.require_read(step_g, *(wish.number for wish in wishes.values()))
        goals, hold = adjust_tables.asked(wishes, before, reference)
        if not allowed:
            raise InputError("nothing may change yet; allow at least one ingredient")
        items = [Allowed(ingredient=known[name]) for name in allowed]
        result = rounded(version, _computed(version, goals, hold, items), step_g)
    except InputError as error:
        st.info(page.escape_markdown(page.capital(f"{error}.")))
        return None
    _show_moves(result, version, allowed)
    return _keep_one(formula, version, result, step_g)


def _choose_goals(
    version: Version, before: Composition, reference: Reference | None
) -> dict[str, AdjustmentGoal]:
    """What is wanted of each figure."""
    st.caption("Set a target, hold within ±1 %, or leave free.")
    wishes, figures = {}, adjust_tables.GOALS
    for index in range(0, len(figures), 2):
        # A row for each two, so that they keep their order where columns stack on a phone.
        for figure, column in zip(figures[index : index + 2], st.columns(2), strict=False):
            with column:
                wishes[figure] = _wish(figure, version, before, reference)
    return wishes


def _wish(
    figure: str, version: Version, before: Composition, reference: Reference | None
) -> AdjustmentGoal:
    if figure in before.unknown:
        st.caption(page.escape_markdown(before.unknown[figure]))
        return AdjustmentGoal(adjust_tables.FREE)
    known = adjust_tables.like(figure, reference)
    kinds = [kind for kind in KINDS if kind != LIKE or known is not None]
    unit, now = NAMES[figure], before.known(figure)
    usual = adjust_tables.usual_kind(figure, now, known)
    kind = st.selectbox(
        f"{adjust_tables.title(figure)} (now {unit.bare(now)})",
        kinds,
        index=kinds.index(usual),
        format_func=lambda kind: f"{kind}: {short(known)}" if kind == LIKE else kind,
        key=f"wish-{figure}-{version.id}-{reference.id if reference else ''}",
    )
    if kind not in (TO, BY):
        return AdjustmentGoal(kind)
    start = round(now, unit.decimals) if kind == TO else 1.0
    label = "Value" if kind == TO else "Difference (below zero: less)"
    key = f"wish-{figure}-{kind}-{version.id}"
    number = fields.number(label, key, -_MOST_WISHED, _MOST_WISHED, start)
    return AdjustmentGoal(kind, number)


def _choose_allowed(version: Version, known: Known) -> list[str]:
    """Names of what may be added, or taken out as far as it is in."""
    names = {item.key: name for name, item in known.items()}
    usual = [name for name in adjust_tables.usually_allowed(version, names) if name in known]
    return st.multiselect(
        "Ingredients that may change",
        list(known),
        default=usual,
        key=f"allowed-{version.id}",
        help="They may be added, or taken out as far as the drink contains them.",
    )


def _computed(
    version: Version, goals: dict[str, float], hold: dict[str, float], allowed: list[Allowed]
) -> Adjustment:
    """The adjustment, computed again only when the question has changed."""
    question = (version.id, tuple(goals.items()), tuple(hold.items()), tuple(allowed))
    last = st.session_state.get(_LAST)
    if last is None or last[0] != question:
        last = (question, adjust(version, goals, allowed, hold=hold))
        st.session_state[_LAST] = last
    result: Adjustment = last[1]
    return result


def _show_moves(found: Adjustment, version: Version, allowed: Sequence[str]) -> None:
    """All moves in one table."""
    first, *others = found.goals
    if len(found.goals) > 1:
        st.caption(
            f"Moves with one ingredient aim at the first goal, {NAMES[first].name}; the best "
            f"combination aims at all {len(found.goals)}."
        )
    table = adjust_tables.moves_table(found, version.servings)
    show_table(table, f"Moves from {version.label}", [*table.columns[1:]])
    st.caption(
        "Amounts are rounded to your scale; 1 mL of a liquid weighs about 1 g. Each figure is the "
        "result; in brackets, the change. Scroll right for more."
    )
    for remark in adjust_tables.remarks(found):
        st.markdown(f"- {page.escape_markdown(remark)}")
    without = adjust_tables.useless(found, allowed)
    if without and found.singles:
        st.caption(f"Cannot reach it alone: {page.escape_markdown(', '.join(without))}.")


def _keep_one(
    formula: Formula, version: Version, found: Adjustment, step_g: float
) -> Version | None:
    """The child, when the host keeps one of the moves."""
    moves = adjust_tables.to_keep(found)
    if not moves:
        st.write("The drink is there already; nothing needs to change.")
        return None
    name = st.radio(
        MOVE,
        list(moves),
        format_func=lambda name: f"{name}: {page.escape_markdown(words.move(moves[name]))}",
        key=f"move-{version.id}-{len(moves)}",
    )
    usual = words.reason(found, moves[name])
    suggested = draft.next_label([kept.label for kept in formula.versions])
    label = st.text_input("Version name", suggested, max_chars=120, key=f"move-label-{suggested}")
    why = st.text_area("Reason", usual, max_chars=2000, height=80, key=f"move-reason-{usual}")
    place = f"move-keep-{version.id}"
    pressed = st.button("Save this move as a new version", type="primary", key=place)
    moved = version.model_copy(update={"parts": moves[name].parts})
    asked = (*questions(moved, version), *unweighable(moved, version, step_g))
    if before_saving.confirmed(place, asked, pressed):
        with page.show_errors():
            return _child_of(version, moves[name], label, why, now())
    return None


def _child_of(version: Version, move: Move, label: str, reason: str, moment: datetime) -> Version:
    """The move as a child of its version. Raises InputError for no label or no reason."""
    if not label.strip():
        raise InputError("the version has no name; give it a short one, such as v4")
    return version.child(
        id=new_id(),
        label=label.strip(),
        reason=reason.strip(),
        created_at=moment,
        parts=move.parts,
    )
