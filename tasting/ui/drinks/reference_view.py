"""One reference: what its label declares, what somebody measured, and the formula beside it."""

from collections.abc import Sequence
from typing import Any

import pandas as pd
import streamlit as st
from sqlalchemy import Engine

from tasting.drink.ice import as_served
from tasting.drink.label import Reference
from tasting.store import drafts, formulas, notes, session_index
from tasting.ui import fields, page, pages
from tasting.ui.dashboard.choice import first_formula
from tasting.ui.drinks import instruments, reference_draft
from tasting.ui.drinks import reference_form as typed
from tasting.ui.drinks.composition_beside import beside
from tasting.ui.page import escape_markdown
from tasting.ui.tables import show_table
from tasting.wording import day, exact, short

_FORM = "reference_form"


def _as_table(reference: Reference) -> pd.DataFrame:
    """All that is known of a reference."""
    rows = [("Serving, mL", short(reference.serving_ml))]
    for field in typed.VALUES:
        unknown = typed.VALUES[field].unknown
        rows.append((typed.title(field, reference.rules), typed.text(reference, field) or unknown))
    rows.append(("Label rounding rules", reference.rules))
    rows.append(("Kind of drink", typed.KINDS[reference.kind]))
    rows.append(("Allergens", ", ".join(reference.allergens) or "none declared"))
    rows.append(("Where the figures come from", reference.source_note or "not said"))
    return pd.DataFrame(rows, columns=["What", "Value"])


def show(engine: Engine, reference: Reference) -> None:
    """The page of a reference."""
    page.title(reference.name)
    page.show_invented(reference.invented)
    if st.button("Find recipes from the label", type="primary", key="from-label"):
        st.switch_page(pages.LABEL.script, query_params={"id": reference.id})
    left, right = st.columns(2, gap="medium")
    with left, st.container(border=True):
        st.header("Label and measurements")
        show_table(_as_table(reference), f"What is known of {reference.name}")
        _show_history(reference)
    with right, st.container(border=True):
        _beside(engine, reference)
    instruments.show(reference, _form_of(reference))
    _correct(engine, reference, formulas.references(engine))
    _archive(engine, reference)


def _archive(engine: Engine, reference: Reference) -> None:
    away = reference.id in notes.archived(engine)
    if st.button("Take out of the archive" if away else "Archive", key="archive"):
        notes.archive(engine, reference.id, away=not away)
        page.say_later(f"{reference.name} is {'back in the list' if away else 'in the archive'}.")


def _beside(engine: Engine, reference: Reference) -> None:
    """The newest version of a formula beside it; at first of the formula that was tasted last."""
    kept = notes.still_out(engine, formulas.formulas(engine))
    st.header("Your formula beside it")
    if not kept:
        st.write("No formula is saved yet.")
        return
    by_id = {formula.id: formula for formula in kept}
    usual = first_formula(kept, session_index.last_version(engine))
    chosen = by_id[
        st.selectbox(
            "Formula",
            list(by_id),
            index=usual,
            format_func=lambda id: by_id[id].name,
            key="beside",
        )
    ]
    latest = chosen.versions[-1]
    style = notes.melting(engine, chosen.id)
    columns = {latest.label: as_served(latest, style)[1]}
    st.html(beside(columns, reference, f"{chosen.name}, {latest.label}"))
    st.caption(
        f"Small print: where the figure probably lies. Label rounding rules: {reference.rules}."
        + (f" As it is tasted. {escape_markdown(str(style))}" if style else "")
    )
    page.link_here(pages.DRINK, "Open the formula", {"id": chosen.id}, "open-formula")


def _show_history(reference: Reference) -> None:
    """What was known before each correction."""
    if not reference.earlier:
        return
    states = [*(before.was for before in reference.earlier), reference]
    rows = [
        (day(before.until), before.reason, "; ".join(typed.changes(was, after)))
        for before, was, after in zip(reference.earlier, states, states[1:], strict=False)
    ]
    table = pd.DataFrame(rows, columns=["When", "Reason", "Changed"])
    show_table(table, f"Corrections of {reference.name}")
    st.caption("Findings use the values known when their session was closed.")


def _form_of(reference: Reference) -> str:
    """What the keys of the form end with that corrects this state of a reference."""
    return f"{reference.id}-{len(reference.earlier)}"


def _correct(engine: Engine, reference: Reference, kept: Sequence[Reference]) -> None:
    """The form that completes or corrects a reference, once it is asked for."""
    form = _form_of(reference)
    place = f"{reference_draft.CORRECTION}{reference.id}"
    switch = instruments.correcting(form)
    st.session_state.setdefault(switch, drafts.draft(engine, place) is not None)
    if not st.toggle("Correct or complete it", key=switch):
        return
    kept_draft = reference_draft.fill_in(engine, place, form)
    values = _asked(form, reference)
    reason = st.text_input("Reason", max_chars=2000, key=f"reason-{form}")
    reference_draft.keep(engine, place, {**values, "reason": reason}, reference)
    reference_draft.say_saved(kept_draft)
    sent = st.button("Save the correction", type="primary", key=f"save-{form}")
    reference_draft.offer_to_discard(engine, place, form, kept_draft)
    if sent:
        with page.show_errors():
            others = [known for known in kept if known.id != reference.id]
            found = typed.values_of(values, [known.name for known in others], reference)
            after = formulas.correct_reference(engine, reference, found, reason)
            reference_draft.end(engine, place, form)
            page.say_later(f"{after.name} is corrected.")


def _asked(form: str, known: Reference | None = None) -> dict[str, Any]:
    """What is typed into a form; `known` fills it in."""
    values: dict[str, Any] = {
        "name": st.text_input(
            "Name",
            known.name if known else "",
            max_chars=120,
            key=f"name-{form}",
            help="Say which bottle it is, for example by its lot or year.",
        ),
        "serving_ml": fields.printed(
            "Serving, mL", f"serving_ml-{form}", exact(known.serving_ml) if known else ""
        ),
    }
    left, right = st.columns(2)
    for index, field in enumerate(typed.VALUES):
        before = typed.text(known, field) if known else ""
        with left if index < 3 else right:
            values[field] = fields.printed(typed.asked(field), f"{field}-{form}", before)
    return values | _asked_besides(form, known)


def _asked_besides(form: str, known: Reference | None) -> dict[str, Any]:
    """Rules, kind of drink, allergens, and where the figures come from."""
    rules, kinds = list(typed.RULES), list(typed.KINDS)
    return {
        "rules": st.radio(
            "Label rounding rules",
            rules,
            rules.index(known.rules) if known else 0,
            format_func=typed.RULES.__getitem__,
            horizontal=True,
            key=f"rules-{form}",
        ),
        "kind": st.selectbox(
            "Kind of drink",
            kinds,
            kinds.index(known.kind) if known else 0,
            format_func=typed.KINDS.__getitem__,
            key=f"kind-{form}",
            help="Sets how far the alcohol may be from the label.",
        ),
        "allergens": fields.allergens(f"allergens-{form}", known.allergens if known else ()),
        "source_note": st.text_area(
            "Where the figures come from",
            known.source_note if known else "",
            max_chars=2000,
            key=f"source-{form}",
            height=80,
            placeholder="For example: back label; TA titrated twice on 3 March",
        ),
    }


def make(engine: Engine) -> None:
    """The form for a new one; what is typed stays until it is saved."""
    page.title("New reference")
    form = str(st.session_state.setdefault(_FORM, 0))
    st.caption(
        "Only name and serving are needed. Leave empty what is not declared or measured. Type "
        "numbers as they are printed: 4.5 and 4.50 do not mean the same. A measured value may "
        "carry its uncertainty: 6.2 ± 0.15."
    )
    place = st.query_params["draft"]
    kept = reference_draft.fill_in(engine, place, form)
    values = _asked(form)
    reference_draft.keep(engine, place, values)
    reference_draft.say_saved(kept)
    sent = st.button("Save", type="primary", key=f"save-{form}")
    reference_draft.offer_to_discard(engine, place, form, kept)
    if sent:
        with page.show_errors():
            taken = [known.name for known in formulas.references(engine)]
            reference = typed.new_reference(values, taken)
            formulas.keep_reference(engine, reference)
            reference_draft.end(engine, place, form)
            st.session_state[_FORM] = int(form) + 1
            st.query_params.from_dict({"id": reference.id})
            page.say_later(f"{reference.name} is saved.")
