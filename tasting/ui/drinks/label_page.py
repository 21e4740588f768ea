"""From the label: recipes that could be behind a reference, found by its id in the address.

The address holds the whole question, so that a reload or a bookmark asks the same again.
"""

from collections.abc import Mapping, Sequence

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.demands import ASKED
from tasting.drink.formula import Formula, Version
from tasting.drink.ice import STYLES
from tasting.drink.label import Reference
from tasting.store import formulas, notes
from tasting.store.scale import scale_step_g
from tasting.ui import access, page, pages
from tasting.ui.drinks import draft as drafting
from tasting.ui.drinks import label_answer
from tasting.ui.drinks.label_question import LabelQuestion, question
from tasting.ui.page import escape_markdown

# Query parameters: the ids of the reference and of the version that gets the recipe; ingredients,
# demands and way of serving as they were asked for.
_ID, _VERSION, _WITH, _ALSO, _SERVED = "id", "version", "with", "also", "served"
_EXAMPLE = "rhubarb juice 40–80 mL\nbay syrup\nneutral spirit\ncitric acid <= 0.5 g\nwater"
_POURED = "As poured"


def _show(engine: Engine) -> None:
    """The question on the left, the answer on the right."""
    page.say()
    references = {one.id: one for one in formulas.references(engine)}
    reference = references.get(st.query_params.get(_ID, ""))
    if reference is None:
        return _nothing(references)
    kept = formulas.formulas(engine)
    formula, version = _goes_to(kept)
    page.title(f"From the label of {reference.name}")
    page.show_invented(reference.invented or (formula.invented if formula else ""))
    left, right = st.columns([2, 3], gap="medium")
    with left, st.container(border=True):
        style = notes.melting(engine, formula.id) if formula else None
        _ask(references, reference, version, style.name if style else "")
    with right, st.container(border=True):
        asked = _asked(engine, reference, kept, version)
        if asked:
            label_answer.show(engine, asked, formula, version)


def _nothing(references: Mapping[str, Reference]) -> None:
    page.title("From the label")
    if not references:
        st.write("No reference is saved yet. Recipes are found from its label.")
        st.page_link(pages.DRINK.script, label="Add a reference", query_params={"new": "reference"})
    for one in references.values():
        label = escape_markdown(f"From the label of {one.name}")
        page.link_here(pages.LABEL, label, {_ID: one.id}, f"label-of-{one.id}")


def _goes_to(kept: Sequence[Formula]) -> tuple[Formula | None, Version | None]:
    """The version that is in the address, whose next draft gets the recipe."""
    wanted = st.query_params.get(_VERSION)
    for formula in kept:
        for version in formula.versions:
            if version.id == wanted:
                return formula, version
    return None, None


def _ask(
    references: Mapping[str, Reference],
    reference: Reference,
    version: Version | None,
    style: str,
) -> None:
    """The form; sent, the question stands in the address. `style`: how the formula is served."""
    names = drafting.names_of(version) if version else []
    with st.form("label", border=False):
        label_of = _choose(references, reference)
        lines = st.text_area(
            "What may go in, one ingredient per line",
            st.query_params.get(_WITH, "\n".join(names)),
            max_chars=2000,
            height=200,
            key="label-with",
            placeholder=_EXAMPLE,
            help="A name alone allows any amount. Nothing else goes in.",
        )
        st.caption("For example: rhubarb juice 40–80 mL · at least 5 mL lemon · 60 mL gin")
        asked = _WITH in st.query_params
        also, served = _ask_more(st.query_params.get(_SERVED, "") if asked else style)
        sent = st.form_submit_button(
            "Find recipes",
            type="secondary" if asked else "primary",
            key="label-find",
        )
    if sent:
        _keep_in_address({_ID: label_of, _WITH: lines, _ALSO: also, _SERVED: served})


def _ask_more(style: str) -> tuple[str, str]:
    """Demands beside the reference's, and the way of serving; folded while nothing is asked."""
    query, styles = st.query_params, [_POURED, *STYLES]
    with st.expander("Ask for more", expanded=_ALSO in query or bool(style)):
        also = st.text_area(
            "Also ask for, per litre",
            query.get(_ALSO, ""),
            max_chars=500,
            height=80,
            key="label-also",
            placeholder="co2 5.5–6.5\nsweetness <= 80",
            help=f"One line each, of: {', '.join(ASKED)}. It overrides the reference.",
        )
        served = st.selectbox(
            "Like the bottle",
            styles,
            styles.index(style) if style in styles else 0,
            format_func=lambda name: name if name == _POURED else f"After it is served {name}",
            key="label-served",
            help="Stirred, shaken or on ice: the drink is matched with its melted ice.",
        )
    return also, "" if served == _POURED else served


def _keep_in_address(given: Mapping[str, str]) -> None:
    """The question in the address, without what is empty; and the page anew."""
    query = st.query_params
    query.update({name: text for name, text in given.items() if text})
    for name in (name for name, text in given.items() if not text and name in query):
        del query[name]
    st.rerun()


def _choose(references: Mapping[str, Reference], reference: Reference) -> str:
    """The id of the reference; a single one is no choice."""
    if len(references) == 1:
        return reference.id
    ids = list(references)
    return st.selectbox(
        "Label of",
        ids,
        ids.index(reference.id),
        format_func=lambda id: references[id].name,
        key="label-of",
    )


def _asked(
    engine: Engine, reference: Reference, kept: Sequence[Formula], version: Version | None
) -> LabelQuestion | None:
    """What the address asks; None, after saying why, where it asks nothing that can be read."""
    query = st.query_params
    if _WITH not in query:
        st.write(
            "You get the least and the greatest amount of each ingredient that match the "
            "reference, and a recipe in the middle that your scale can weigh. Or you learn which "
            "demands exclude each other, and by how much."
        )
        return None
    known = drafting.known_ingredients(kept, parts=version.parts if version else ())
    with page.show_errors():
        served = query.get(_SERVED, "")
        return question(
            reference,
            query[_WITH],
            query.get(_ALSO, ""),
            served if served in STYLES else "",
            scale_step_g(engine),
            known,
        )
    return None


access.require_host()
_show(page.engine())
