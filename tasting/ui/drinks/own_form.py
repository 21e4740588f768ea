"""The form for an ingredient of the host's own; it becomes a row of the draft."""

from collections.abc import Mapping

import streamlit as st

from tasting.drink.acidity import ACIDS
from tasting.drink.basis import Basis
from tasting.drink.pantry import Ingredient
from tasting.drink.shelf import Known
from tasting.ui import fields, page
from tasting.ui.drinks.draft_form import Held
from tasting.ui.drinks.own_ingredient import NONE_OF, Per, Typed, own_ingredient

_BASES: Mapping[Basis, str] = {
    "label": "from a label",
    "measured": "measured",
    "typical": "typical of its kind",
    "guess": "a guess",
}
_PER: tuple[Per, ...] = ("100 g", "100 mL")

Asked = Mapping[str, tuple[str, float, str | None]]

_FIRST: Asked = {
    "density_kg_per_l": ("Density, g/mL", 3.0, "Of a solid: as it lies in the spoon."),
    "ph": ("pH", 14.0, None),
    "sucrose_g_per_100g": ("Sugar, g", 100.0, "Counted as sucrose."),
    "ta_citric_g_per_100g": ("Acidity (TA), as citric acid, g", 100.0, "Titrated to pH 8.1."),
    "alcohol_percent_vol": ("Alcohol, % vol", 100.0, None),
    "co2_g_per_l": ("CO₂, g/L", 20.0, "One volume is 1.98 g/L."),
}
_MORE: Asked = {
    "energy_kcal_per_100g": ("Energy, kcal", 900.0, "Left empty, it is computed."),
    "ascorbic_g_per_100g": ("Vitamin C, g", 100.0, "Ascorbic acid; 50 mg is 0.05 g."),
    "sodium_mg_per_100g": ("Sodium, mg", 40_000.0, "1 g of salt contains 393 mg."),
    "polyols_g_per_100g": ("Polyols, g", 100.0, None),
    "intense_sweetness_g_per_100g": (
        "Sweetness of intense sweeteners, g of sucrose",
        1e6,
        "The sucrose that would taste as sweet.",
    ),
    "protein_g_per_100g": ("Protein, g", 100.0, "Above 1 g/100 g its pH cannot be computed."),
    "fat_g_per_100g": ("Fat, g", 100.0, None),
    "fibre_g_per_100g": ("Fibre, g", 100.0, None),
    "benzoate_g_per_100g": ("Benzoate, as benzoic acid, g", 10.0, "150 mg/L is 0.015 g."),
    "sorbate_g_per_100g": ("Sorbate, as sorbic acid, g", 10.0, None),
    "sulphite_mg_per_100g": ("Sulphite, as SO₂, mg", 10_000.0, None),
    "caffeine_mg_per_100g": ("Caffeine, mg", 100_000.0, None),
    "quinine_mg_per_100g": ("Quinine, mg", 100_000.0, None),
}


def own_ingredient_form(held: Held, known: Known, wanted: str) -> Ingredient | None:
    """A form for an ingredient, once it is sent; `wanted` is what a line calls it."""
    form = f"{held.place}-{len(held.draft.own)}"
    st.caption(
        "For an ingredient that is not in the list. It becomes a line of this draft and is saved "
        "with the version that uses it. Leave empty what you do not know: it stays unknown, never "
        "zero."
    )
    with st.form(f"own-{form}", border=False):
        name = st.text_input("Name", wanted, max_chars=120, key=f"own_name-{form}-{wanted}")
        typed = _typed(form)
        sent = st.form_submit_button("Add it to the draft", key=f"own_add-{form}")
    if sent:
        with page.show_errors():
            fields.require_read(*typed.figures.values(), *typed.halves.values())
            return own_ingredient(name, typed, known)
    return None


def _typed(form: str) -> Typed:
    """All fields: the usual ones, and the rest folded."""
    left, right = st.columns(2)
    with left:
        kind = st.radio("Form", ["liquid", "solid"], horizontal=True, key=f"own_form-{form}")
    with right:
        per = st.radio("Figures per", _PER, horizontal=True, key=f"own_per-{form}")
    figures = _numbers(_FIRST, form)
    none_of = st.multiselect("Contains none of", list(NONE_OF), key=f"own_none-{form}")
    acid, basis = _acid_and_basis(form)
    source = st.text_input("Where the figures come from", max_chars=500, key=f"own_source-{form}")
    allergens = fields.allergens(f"own_allergens-{form}")
    with st.expander("More figures"):
        figures |= _numbers(_MORE, form)
        holds_ph = st.checkbox(
            "It is milk, cream, egg, a plant milk or a protein",
            key=f"own_buffers-{form}",
            help="These buffer the pH: a drink with much of them has no computed pH or TA.",
        )
    with st.expander("How sure each figure is"):
        bases, halves = _sureness(form)
    return Typed(
        figures=figures,
        source=source,
        form="solid" if kind == "solid" else "liquid",
        per=per,
        acid=acid,
        none_of=none_of,
        basis=basis,
        bases=bases,
        halves=halves,
        allergens=allergens,
        holds_ph=holds_ph,
    )


def _numbers(asked: Asked, form: str) -> dict[str, float | None]:
    """Numbers that may be left empty, in two columns."""
    values: dict[str, float | None] = {}
    columns = st.columns(2)
    for index, (figure, (label, largest, help)) in enumerate(asked.items()):
        with columns[2 * index // len(asked)]:
            values[figure] = fields.optional_number(label, f"own_{figure}-{form}", largest, help)
    return values


def _acid_and_basis(form: str) -> tuple[str, Basis]:
    """Which acid it mostly is, and how the figures are known."""
    left, right = st.columns(2)
    with left:
        acid = st.selectbox(
            "Main acid",
            ["", *ACIDS],
            format_func=lambda acid: acid or "not known",
            key=f"own_acid-{form}",
        )
    with right:
        basis = st.selectbox(
            "The figures are",
            list(_BASES),
            format_func=_BASES.__getitem__,
            key=f"own_basis-{form}",
            help="It sets how uncertain they are.",
        )
    return acid, basis


def _sureness(form: str) -> tuple[dict[str, Basis], dict[str, float | None]]:
    """Which figures are known in another way than the rest, and by how much the usual ones may be
    off where somebody knows."""
    labels = {figure: label for figure, (label, _, _) in {**_FIRST, **_MORE}.items()}
    bases: dict[str, Basis] = {}
    for other, words in _BASES.items():
        chosen = st.multiselect(
            f"{page.capital(words)}",
            list(labels),
            format_func=labels.__getitem__,
            key=f"own_basis_{other}-{form}",
            placeholder="As above",
        )
        bases |= dict.fromkeys(chosen, other)
    halves = {
        figure: fields.optional_number(f"± {label}", f"own_half_{figure}-{form}", largest)
        for figure, (label, largest, _) in _FIRST.items()
    }
    return bases, halves
