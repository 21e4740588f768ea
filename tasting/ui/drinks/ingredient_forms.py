"""Forms for a measured lot and for a preparation; each becomes an ingredient of the draft."""

from collections.abc import Sequence

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.formula import Formula, Version
from tasting.drink.pantry import Ingredient
from tasting.drink.shelf import Known
from tasting.records import now
from tasting.ui import fields, page
from tasting.ui.drinks import draft as drafting
from tasting.ui.drinks import draft_form, ingredient_sources
from tasting.ui.drinks.draft_form import Held
from tasting.wording import day

_YIELDS = {
    "all that went in": None,
    "a measured volume, mL": "volume_ml",
    "a measured mass, g": "mass_g",
    "measured sugars and acids, °Brix": "brix",
}
"""What may be known of a yield, and its name there."""

_LOT = {
    "sample_ml": ("Sample titrated, mL", 1000.0),
    "base_ml": ("Base used, mL", 1000.0),
    "base_normality": ("Strength of the base, N", 10.0),
    "brix": ("Refractometer, °Brix", 85.0),
    "ph": ("pH", 14.0),
    "density_kg_per_l": ("Density, g/mL", 2.0),
}
"""What may be measured on a lot, by its names in Measured, and the most of each."""


def lot_form(engine: Engine, held: Held, known: Known) -> None:
    """A form for what was measured on one lot of an ingredient."""
    form = f"{held.place}-{len(held.draft.own)}"
    used = [line.name for line in drafting.recipe_of(held.draft, known).lines if line.part]
    st.caption(
        "Titrate to pH 8.1, degassed, at 20 °C. Empty fields keep the usual figures. The lot "
        "replaces the ingredient in this draft and is offered again once a version uses it."
    )
    usual = st.selectbox(
        "Ingredient that was measured",
        list(dict.fromkeys([*used, *known])),
        key=f"lot_of-{form}",
    )
    with st.form(f"lot-{form}", border=False):
        name = st.text_input(
            "Name of the lot",
            f"{usual}, {day(now())}",
            max_chars=120,
            key=f"lot_name-{form}-{usual}",
        )
        values = _lot_values(form)
        sent = st.form_submit_button("Use this lot in the draft", key=f"lot_add-{form}")
    if sent:
        with page.show_errors():
            fields.require_read(*values.values())
            measured = ingredient_sources.measured_lot(known[usual], values, name, known)
            after = ingredient_sources.with_lot(held.draft, known, usual, measured)
            draft_form.change(engine, held.place, after)
            page.say_later(fields.read_back({_LOT[figure][0]: values[figure] for figure in _LOT}))


def _lot_values(form: str) -> dict[str, float | None]:
    """What was measured, by its names in Measured."""
    columns = st.columns(2)
    values: dict[str, float | None] = {}
    for index, (figure, (label, largest)) in enumerate(_LOT.items()):
        with columns[index // 3]:
            usual = 0.1 if figure == "base_normality" else None
            key = f"lot_{figure}-{form}"
            values[figure] = fields.optional_number(label, key, largest, usual=usual)
    return values


def preparation_form(held: Held, known: Known, kept: Sequence[Formula]) -> Ingredient | None:
    """A form that makes an ingredient of a version: a syrup, a cordial, an infusion."""
    form = f"{held.place}-{len(held.draft.own)}"
    choices = {version.id: (formula, version) for formula, version in _newest_first(kept)}
    if not choices:
        st.caption("Save the syrup or infusion as a formula of its own first.")
        return None
    st.caption(
        "For a syrup, cordial or infusion that is saved as its own formula. Water boils "
        "off and solids are strained out; the rest stays."
    )
    chosen = st.selectbox(
        "Version",
        list(choices),
        format_func=lambda id: _called(*choices[id]),
        key=f"made_from-{form}",
    )
    what = st.selectbox("It yields", list(_YIELDS), key=f"made_yield-{form}")
    with st.form(f"made-{form}", border=False):
        name = st.text_input(
            "Name of the preparation",
            _called(*choices[chosen]),
            max_chars=120,
            key=f"made_name-{form}-{chosen}",
        )
        yields = _yield_values(form, what)
        sent = st.form_submit_button("Use it in the draft", key=f"made_add-{form}")
    if sent:
        with page.show_errors():
            fields.require_read(*yields.values())
            made = ingredient_sources.preparation_of(*choices[chosen], yields, name, known)
            ingredient_sources.refuse_cycle(_home(kept, held.place), made)
            return made
    return None


def _yield_values(form: str, what: str) -> dict[str, float | None]:
    """The yield, by its names in Yield."""
    strained = fields.optional_number(
        "Solids strained out, wet, g", f"made_strained-{form}", 1e6, "Peel, leaves, pulp; or empty."
    )
    values = {"strained_g": strained}
    figure = _YIELDS[what]
    if figure:
        label = what[:1].upper() + what[1:]
        values[figure] = fields.optional_number(label, f"made_{figure}-{form}", 1e6)
    return values


def _newest_first(kept: Sequence[Formula]) -> list[tuple[Formula, Version]]:
    return [(formula, version) for formula in kept for version in reversed(formula.versions)]


def _called(formula: Formula, version: Version) -> str:
    return f"{formula.name}, {version.label}"[:120]


def _home(kept: Sequence[Formula], place: str) -> Formula | None:
    """The formula whose version the draft in this place starts from."""
    return next((known for known, version in _newest_first(kept) if version.id == place), None)
