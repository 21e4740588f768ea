"""The page of references: what labels declare and what somebody measured."""

from collections.abc import Sequence
from typing import Any

import pandas as pd
import streamlit as st
from sqlalchemy import Engine

from tasting.drink.label import Reference
from tasting.errors import InputError
from tasting.records import checked
from tasting.store import formulas
from tasting.ui import access, fields, page
from tasting.ui.tables import show_table
from tasting.wording import short

# What may be known of a reference: its title, the largest value, and the words for unknown.
_VALUES = {
    "alcohol_percent_vol": ("Declared alcohol, % vol", 100.0, "not declared"),
    "energy_kcal_per_100ml": ("Declared energy, kcal/100 mL", 900.0, "not declared"),
    "sugar_g_per_100ml": ("Declared sugar, g/100 mL", 150.0, "not declared"),
    "ta_g_per_l": ("Measured TA, g/L", 200.0, "not measured"),
    "ph": ("Measured pH", 14.0, "not measured"),
    "brix": ("Measured °Brix (refractometer)", 100.0, "not measured"),
}
_RULES = {"EU": "EU, per 100 mL", "US": "US, per serving"}
_FORM = "reference_form"


def _as_table(reference: Reference) -> pd.DataFrame:
    """All that is known of a reference."""
    rows = [("Serving, mL", short(reference.serving_ml))]
    for field, (title, _, unknown) in _VALUES.items():
        value = getattr(reference, field)
        rows.append((title, unknown if value is None else short(value)))
    rows.append(("Rounded after the rules of", reference.rules))
    rows.append(("Allergens", ", ".join(reference.allergens) or "none declared"))
    rows.append(("Where the figures come from", reference.source_note or "not said"))
    return pd.DataFrame(rows, columns=["What", "Value"])


def _show_kept(kept: Sequence[Reference]) -> None:
    """The references, each to be unfolded; a single one is unfolded already."""
    for reference in kept:
        with st.expander(page.escape_markdown(reference.name), expanded=len(kept) == 1):
            page.show_invented(reference.invented)
            show_table(_as_table(reference), f"What is known of {reference.name}")


def _asked(form: str) -> dict[str, Any]:
    """What is typed into the form."""
    values: dict[str, Any] = {
        "name": st.text_input(
            "Name",
            max_chars=120,
            key=f"name-{form}",
            help="With what tells this bottle from the next one, such as the lot or the year.",
        ),
        "serving_ml": fields.optional_number("Serving, mL", f"serving_ml-{form}", 5000.0),
    }
    left, right = st.columns(2)
    for index, (field, (title, largest, _)) in enumerate(_VALUES.items()):
        with left if index < 3 else right:
            values[field] = fields.optional_number(title, f"{field}-{form}", largest)
    values["rules"] = st.radio(
        "Rounded after the rules of",
        list(_RULES),
        format_func=_RULES.__getitem__,
        horizontal=True,
        key=f"rules-{form}",
        help="Give the values of a US label per 100 mL, divided by the serving and not rounded.",
    )
    values["allergens"] = fields.allergens(f"allergens-{form}")
    values["source_note"] = st.text_area(
        "Where the figures come from",
        max_chars=2000,
        key=f"source-{form}",
        height=80,
        placeholder="For example: back label; TA titrated twice on 3 March",
    )
    return values


def _reference_of(values: dict[str, Any], kept: Sequence[Reference]) -> Reference:
    """The reference to keep. Raises InputError with one sentence."""
    name = values["name"].strip()
    if not name:
        raise InputError("the reference has no name; give it one")
    if name.casefold() in [known.name.casefold() for known in kept]:
        raise InputError(
            f"a reference is called {name!r} already; add the lot, the year or the date to the name"
        )
    if not values["serving_ml"]:
        raise InputError("the serving is missing; say how many mL, as on the label")
    note = values["source_note"].strip()
    return checked(
        Reference, {**values, "id": formulas.new_id(), "name": name, "source_note": note}
    )


def _add(engine: Engine, kept: Sequence[Reference]) -> None:
    """The form for a new one; what is typed stays until it is kept."""
    count = st.session_state.setdefault(_FORM, 0)
    st.subheader("Add a reference")
    st.caption("Only name and serving are needed. Leave empty what is not declared or measured.")
    with st.form(f"reference-{count}", border=False):
        values = _asked(str(count))
        sent = st.form_submit_button("Keep the reference", type="primary", key=f"keep-{count}")
    if sent:
        with page.show_errors():
            reference = _reference_of(values, kept)
            formulas.keep_reference(engine, reference)
            st.session_state[_FORM] = count + 1
            page.say_later(f"{reference.name} is kept.")


def _show(engine: Engine) -> None:
    """The page."""
    page.title("References")
    page.say()
    kept = formulas.references(engine)
    st.write(
        "A reference is a drink that you compare with. It never changes: a new bottle or a new "
        "label is a new reference."
    )
    if kept:
        _show_kept(kept)
    else:
        st.write("None is kept yet. Take a bottle and write down what its label says.")
    _add(engine, kept)


access.require_host()
_show(page.engine())
