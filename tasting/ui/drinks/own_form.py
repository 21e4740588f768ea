"""The form for an ingredient of the host's own; it becomes a row of the draft."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

import streamlit as st

from tasting.drink.acidity import ACIDS
from tasting.drink.basis import Basis
from tasting.drink.pantry import Ingredient
from tasting.drink.shelf import Known
from tasting.ui import fields, page
from tasting.ui.drinks import draft as drafting
from tasting.ui.drinks.draft_form import Held
from tasting.ui.drinks.own_ingredient import (
    BASES,
    NONE_OF,
    STRENGTH,
    Per,
    Typed,
    changed,
    own_ingredient,
    typed_of,
)
from tasting.units import Form

EDITING = "editing"
# Behind this key stands the key of the own ingredient that the host edits.
_PER: tuple[Per, ...] = ("100 g", "100 mL")
_FORMS: tuple[Form, ...] = ("liquid", "solid")
_ACIDS = ["", *ACIDS]
_NO, _YES, _UNSURE = "No", "Yes", "I do not know"
_ASKED = "say whether it contains alcohol"
_HOW_STRONG = f"say how strong it is, in % vol, or choose “{_UNSURE}”"
_NOTHING = Typed({}, basis="label")

Asked = Mapping[str, tuple[str, float, str | None]]

_FIRST: Asked = {
    "sucrose_g_per_100g": ("Sugar, g", 100.0, "Counted as sucrose."),
    "ta_citric_g_per_100g": ("Acidity (TA), as citric acid, g", 100.0, "Titrated to pH 8.1."),
    "ph": ("pH", 14.0, None),
    "co2_g_per_l": ("CO₂, g/L", 20.0, "One volume is 1.98 g/L."),
    "density_kg_per_l": (
        "Density, g/mL",
        3.0,
        "Left empty, it is computed from sugar and alcohol. Of a solid: as it lies in the spoon.",
    ),
}
_SURE: Asked = {**_FIRST, STRENGTH: ("Alcohol, % vol", 100.0, None)}
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
        typed = _typed(form, _NOTHING)
        sent = st.form_submit_button("Add it to the draft", key=f"own_add-{form}")
    if sent:
        with page.show_errors():
            fields.require_read(*typed.figures.values(), *typed.halves.values())
            return own_ingredient(name, typed, known)
        there = drafting.named(name, known)
        if there:
            offer_to_edit([there], f"taken-{form}")
    return None


def edit_form(held: Held, item: Ingredient, before: Typed) -> Ingredient | None:
    """The form filled in with what is known of an own ingredient; what it becomes, once sent."""
    form = f"{held.place}-{held.edition}-{item.key}"
    st.markdown(f"**Edit {page.escape_markdown(item.name)}**")
    st.caption("It changes in this draft. Versions that are saved keep the figures that they had.")
    with st.form(f"edit-{form}", border=False):
        typed = _typed(form, before)
        sent = st.form_submit_button("Use these figures", key=f"own_edit-{form}", type="primary")
    st.button("Cancel", key=f"own_cancel-{form}", on_click=st.session_state.pop, args=(EDITING, ""))
    if sent:
        with page.show_errors():
            fields.require_read(*typed.figures.values(), *typed.halves.values())
            return changed(item, typed)
    return None


def offer_to_edit(items: Iterable[Ingredient], place: str) -> None:
    """A button for each ingredient that was typed in the form."""
    own = {item.key: item for item in items if drafting.is_own(item) and typed_of(item)}
    if not own:
        return
    with st.container(horizontal=True, gap="small"):
        for key, item in own.items():
            st.button(
                f"Edit {page.escape_markdown(item.name)}",
                key=f"edit-{place}-{key}",
                icon=":material/edit:",
                type="tertiary",
                on_click=st.session_state.__setitem__,
                args=(EDITING, key),
            )


def _typed(form: str, before: Typed) -> Typed:
    """All fields: the usual ones, and the rest folded."""
    first = _usual_fields(form, before)
    with st.expander("More figures"):
        more = _numbers(_MORE, form, before)
        holds_ph = st.checkbox(
            "It is milk, cream, egg, a plant milk or a protein",
            before.holds_ph,
            key=f"own_buffers-{form}",
            help="These buffer the pH: a drink with much of them has no computed pH or TA.",
        )
    with st.expander("How sure each figure is"):
        bases, halves = _sureness(form, before)
    figures = {**first.figures, **more}
    return replace(first, figures=figures, holds_ph=holds_ph, bases=bases, halves=halves)


def _usual_fields(form: str, before: Typed) -> Typed:
    left, right = st.columns(2)
    with left:
        kind = st.radio(
            "Form", _FORMS, _FORMS.index(before.form), horizontal=True, key=f"own_form-{form}"
        )
    with right:
        per = st.radio("Figures per", _PER, horizontal=True, key=f"own_per-{form}")
    strength, none_of, unanswered = _alcohol(form, before, kind)
    figures = {STRENGTH: strength, **_numbers(_FIRST, form, before)}
    none_of += _without(form, before)
    acid, basis = _acid_and_basis(form, before)
    source = st.text_input(
        "Where the figures come from (optional)",
        before.source,
        max_chars=500,
        key=f"own_source-{form}",
    )
    allergens = fields.allergens(f"own_allergens-{form}", tuple(before.allergens))
    return Typed(
        figures,
        source,
        kind,
        per,
        acid,
        none_of,
        basis,
        allergens=allergens,
        unanswered=unanswered,
    )


def _without(form: str, before: Typed) -> list[str]:
    offered = [what for what in NONE_OF if what != "alcohol"]
    usual = [what for what in before.none_of if what in offered]
    return st.multiselect("Contains none of", offered, usual, key=f"own_none-{form}")


def _alcohol(
    form: str, before: Typed, kind: Form
) -> tuple[float | None, list[str], tuple[str, ...]]:
    """Its strength, whether it has certainly none, and what is not answered."""
    known = before.figures.get(STRENGTH)
    usual = _NO if "alcohol" in before.none_of else _YES if known else _UNSURE
    left, right = st.columns(2)
    with left:
        answer = st.radio(
            "Does it contain alcohol?",
            (_NO, _YES, _UNSURE),
            None if before is _NOTHING else (_NO, _YES, _UNSURE).index(usual),
            key=f"own_has_alcohol-{form}",
            help="Unknown alcohol counts as strong spirit in all cautions.",
        )
    with right:
        strength = fields.optional_number(
            "Alcohol, % vol", f"own_{STRENGTH}-{form}", 100.0, "If it contains any.", known
        )
    missing = kind == "liquid" and strength is None
    unanswered = {None: _ASKED, _YES: _HOW_STRONG}.get(answer) if missing else None
    return strength, ["alcohol"] if answer == _NO else [], (unanswered,) if unanswered else ()


def _numbers(asked: Asked, form: str, before: Typed) -> dict[str, float | None]:
    """Numbers that may be left empty, in two columns."""
    values: dict[str, float | None] = {}
    columns = st.columns(2)
    for index, (figure, (label, largest, help)) in enumerate(asked.items()):
        with columns[2 * index // len(asked)]:
            values[figure] = fields.optional_number(
                label, f"own_{figure}-{form}", largest, help, before.figures.get(figure)
            )
    return values


def _acid_and_basis(form: str, before: Typed) -> tuple[str, Basis]:
    """Which acid it mostly is, and how the figures are known."""
    left, right = st.columns(2)
    with left:
        acid = st.selectbox(
            "Main acid",
            _ACIDS,
            _ACIDS.index(before.acid),
            format_func=lambda acid: acid or "not known",
            key=f"own_acid-{form}",
        )
    with right:
        basis = st.selectbox(
            "The figures are",
            list(BASES),
            list(BASES).index(before.basis),
            format_func=BASES.__getitem__,
            key=f"own_basis-{form}",
            help="It sets how uncertain they are.",
        )
    return acid, basis


def _sureness(form: str, before: Typed) -> tuple[dict[str, Basis], dict[str, float | None]]:
    """Which figures are known in another way than the rest, and by how much the usual ones may be
    off where somebody knows."""
    labels = {figure: label for figure, (label, _, _) in {**_SURE, **_MORE}.items()}
    bases: dict[str, Basis] = {}
    for other, words in BASES.items():
        chosen = st.multiselect(
            f"{page.capital(words)}",
            list(labels),
            [figure for figure, basis in before.bases.items() if basis == other],
            format_func=labels.__getitem__,
            key=f"own_basis_{other}-{form}",
            placeholder="As above",
        )
        bases |= dict.fromkeys(chosen, other)
    halves = {
        figure: fields.optional_number(
            f"± {label}", f"own_half_{figure}-{form}", largest, usual=before.halves.get(figure)
        )
        for figure, (label, largest, _) in _SURE.items()
    }
    return bases, halves
