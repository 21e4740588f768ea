"""What pages show of drinks: a version, its composition, and how it stands beside a label."""

from collections.abc import Sequence

import streamlit as st

from tasting.drink.composition import Composition, compose
from tasting.drink.formula import Formula, Version
from tasting.drink.label import Reference
from tasting.errors import InputError
from tasting.ui import drafting, drink_tables
from tasting.ui.charts_drink import versions_against_label
from tasting.ui.drafting import Draft, Known
from tasting.ui.shared import now, plain
from tasting.ui.tables import show_table


def show_parts(version: Version) -> None:
    """What a version is made of."""
    st.subheader(plain(version.label))
    show_table(drink_tables.parts_table(version), f"Ingredients of {version.label}")
    st.caption(f"Makes {version.servings:g} serving{'' if version.servings == 1 else 's'}.")
    if version.note:
        st.text(version.note)


def show_composition(made: Composition, name: str) -> None:
    """What is in it, per litre and per serving."""
    show_table(drink_tables.composition_table(made), f"Composition of {name}")
    st.write(f"Allergens: {listed(made.allergens)}.")
    st.caption(
        "Computed from the ingredients, degassed and at 20 °C; TA is titratable acidity as "
        "anhydrous citric acid to pH 8.1. Check alcohol and allergens against the bottles and the "
        "rules of your own country."
    )


def listed(allergens: Sequence[str]) -> str:
    """Allergens in one line of Markdown."""
    return plain(", ".join(allergens)) or "none declared"


def show_against_label(version: Version, reference: Reference) -> None:
    """A version beside the label of a reference, and the difference."""
    made = compose(version)
    table = drink_tables.compared(
        drink_tables.composed_figures(made),
        drink_tables.label_figures(reference),
        ("Version", "Reference", "Difference"),
    )
    show_table(table, f"{version.label} against {reference.name}")
    st.write(
        f"Allergens of the version: {listed(made.allergens)}; "
        f"of the reference: {listed(reference.allergens)}."
    )
    st.caption("Label values are shown per litre; – is not declared or not measured.")


def show_versions_against_label(formula: Formula, reference: Reference | None) -> None:
    """All versions, one by one, with the label of a reference."""
    chart, text, numbers = versions_against_label(formula, reference)
    st.altair_chart(chart, width="stretch", alt=text, key=f"chart-versions-{formula.id}")
    with st.expander("The same numbers as a table"):
        show_table(numbers, text)


def show_draft(draft: Draft, known: Known, parent: Version | None) -> None:
    """What the draft would be, while it is typed; what is missing is said quietly."""
    try:
        made = compose(drafting.preview(draft, known, now()))
    except InputError as error:
        st.info(f"No composition yet: {plain(str(error))}.")
        return
    if parent is None:
        table = drink_tables.composition_table(made)
    else:
        figures = drink_tables.composed_figures
        names = ("Draft", "Parent", "Change")
        table = drink_tables.compared(figures(made), figures(compose(parent)), names)
    show_table(table, "Composition of the draft")
    st.caption(f"Allergens: {listed(made.allergens)}.")
