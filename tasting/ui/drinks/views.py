"""What pages show of drinks: a version, its composition, and how it stands beside a label."""

from collections.abc import Sequence

import streamlit as st

from tasting.drink import carbonation
from tasting.drink.cautions import DEFER, cautions
from tasting.drink.composition import Composition, compose
from tasting.drink.formula import Formula, Version
from tasting.drink.ice import ServedStyle
from tasting.drink.label import MISLEADING_PERCENT_VOL, Reference, matches
from tasting.drink.recipe_text import Recipe
from tasting.drink.sugar import ALCOHOL_CAVEAT
from tasting.drink.uncertainty import advice
from tasting.errors import InputError
from tasting.records import now
from tasting.ui.drinks import draft as drafting
from tasting.ui.drinks import own_form, tables
from tasting.ui.drinks.composition_beside import beside
from tasting.ui.drinks.composition_chart import contributions
from tasting.ui.drinks.label_chart import label_bands
from tasting.ui.drinks.label_table import beside_label
from tasting.ui.drinks.versions_chart import versions_against_label
from tasting.ui.page import escape_markdown
from tasting.ui.tables import show_table


def show_composition(made: Composition, name: str) -> None:
    """What is in it, how sure that is, and which ingredient brings it."""
    _show_warnings(made)
    show_table(tables.composition_table(made), f"Composition of {name}")
    st.write(f"Allergens: {_listed(made.allergens)}.")
    st.caption(
        "Computed from the ingredients, degassed and at 20 °C; TA is titratable acidity as "
        "anhydrous citric acid to pH 8.1. Likely: where the figure probably lies, given what is "
        "known of the ingredients; “–”: not known. Check alcohol and allergens against the "
        "bottles and your country's rules."
    )
    if made.at_most("alcohol_percent_vol") > MISLEADING_PERCENT_VOL:
        st.caption(f"Refractometer: {escape_markdown(ALCOHOL_CAVEAT)}")
    _show_sureness(made, name)
    _show_contributions(made, name)


def _show_warnings(made: Composition) -> None:
    """Where the figures leave the range in which they are known to hold."""
    for warning in made.warnings:
        st.warning(escape_markdown(warning), icon=":material/warning:")


def _show_sureness(made: Composition, name: str) -> None:
    """What would make the figures surer, acidity first."""
    first = advice(made.intervals["ta_g_per_l"], "TA")
    if first:
        st.write(f"**What to measure next:** {escape_markdown(first)}")
    table = tables.sureness_table(made)
    if len(table):
        with st.expander("How to make each figure more certain"):
            show_table(table, f"What makes the figures of {name} uncertain")


def _show_contributions(made: Composition, name: str) -> None:
    """Where the acid, the sugar, the alcohol and the energy come from."""
    chart, text, table = contributions(made)
    st.subheader("What contributes what")
    st.altair_chart(chart, width="stretch", alt=text, key="chart-contributions")
    with st.expander("The same numbers per litre, as a table"):
        show_table(table, f"{name}: {text}")


def _show_cautions(version: Version, made: Composition) -> None:
    """What to take care of, served fresh or in a sealed bottle."""
    sealed = st.checkbox("Stored in a sealed bottle", key="sealed")
    if sealed and made.at_most("co2_g_per_l") > carbonation.STILL_G_PER_L:
        table = tables.pressures_table(made)
        show_table(table, "Estimated pressure in a closed bottle")
    result = cautions(version, sealed=sealed)
    for caution in result:
        st.markdown(f"- {escape_markdown(caution.text)}")
    if not result:
        st.write("None of the cautions checked here applies.")
    st.caption(f"Reminders only. No warning does not mean safe. {DEFER}")


def _listed(allergens: Sequence[str]) -> str:
    """Allergens in one line of Markdown."""
    return escape_markdown(", ".join(allergens)) or "none declared"


def choose_reference(references: Sequence[Reference], key: str) -> Reference | None:
    """The reference that is chosen, where there is one."""
    by_id = {reference.id: reference for reference in references}
    if not by_id:
        return None
    name = "Reference"
    return by_id[st.selectbox(name, list(by_id), format_func=lambda id: by_id[id].name, key=key)]


def show_against_label(version: Version, made: Composition, reference: Reference) -> None:
    """Whether what is tasted of a version could print as the label of a reference, by value."""
    result = matches(made, reference)
    if result:
        chart, text, table = label_bands(result, version.label, reference.name)
        st.altair_chart(chart, width="stretch", alt=text, key=f"chart-label-{version.id}")
        st.caption(
            "Grey: values that round to the label. Pale grey: its tolerance. Blue: the version "
            "with its likely range."
        )
        show_table(table, f"{version.label} against {reference.name}")
        for remark in dict.fromkeys(match.remark for match in result if match.remark):
            st.caption(escape_markdown(remark))
    st.write(
        f"Allergens of the version: {_listed(made.allergens)}; "
        f"of the reference: {_listed(reference.allergens)}."
    )
    with st.expander("Side by side, per litre"):
        show_table(
            beside_label(made, reference), f"{version.label} beside {reference.name}, per litre"
        )
        st.caption("In brackets: the likely range. “–”: not declared or not measured.")


def show_versions_against_label(
    formula: Formula, reference: Reference | None, style: ServedStyle | None = None
) -> None:
    """All versions, one by one, as they are tasted, with the label of a reference."""
    chart, text, numbers = versions_against_label(formula, reference, style)
    st.altair_chart(chart, width="stretch", alt=text, key=f"chart-versions-{formula.id}")
    known = " Dashed: the reference; grey band: what its rounded value can mean."
    st.caption(
        "Dot: computed. Upright bar: where the figure probably lies. Line: from parent to child."
        f"{known if reference else ''}"
    )
    with st.expander("The same numbers as a table"):
        show_table(numbers, text)


def show_draft(recipe: Recipe) -> None:
    """What a new formula would be, while it is written; what is missing is said quietly."""
    st.header("What is in it")
    try:
        version = drafting.preview(recipe, now())
    except InputError as error:
        say_none_yet(recipe, error)
        return
    made = compose(version)
    st.html(beside({"draft": made}, None, "The draft"))
    show_what_to_know(version, made, editable=True)


def say_none_yet(recipe: Recipe, error: InputError) -> None:
    """That there is no composition yet; what is asked about a line stands beside the line."""
    lines = [str(line.number) for line in recipe.questions]
    why = str(error)
    if lines:
        named = f"line {lines[0]} is" if len(lines) == 1 else f"lines {' and '.join(lines)} are"
        why = f"{named} not clear yet"
    st.info(f"No composition yet: {escape_markdown(why)}.")


def show_what_to_know(version: Version, made: Composition, *, editable: bool = False) -> None:
    """What to measure next, allergens, and what to take care of; `editable`: beside the sheet,
    where figures that are missing can be given."""
    _show_warnings(made)
    if editable and made.unknown:
        own_form.offer_to_edit((part.ingredient for part in version.parts), "unknown")
    first = advice(made.intervals["ta_g_per_l"], "TA")
    if first:
        st.markdown(f"**What to measure next:** {escape_markdown(first)}")
    st.caption(
        f"One serving is {made.serving().volume_ml:.0f} mL. Small print: where the figure probably "
        f"lies. Allergens: {_listed(made.allergens)}."
    )
    with st.expander("Cautions"):
        _show_cautions(version, made)
