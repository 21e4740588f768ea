"""The answer to what a label allows: amounts, or what excludes what; then the draft of a recipe."""

from collections.abc import Iterator, Sequence
from html import escape
from typing import Final

import pandas as pd
import streamlit as st
from sqlalchemy import Engine

from tasting.drink.formula import Formula, Part, Version
from tasting.drink.formulate import Formulation, Narrowing, formulate
from tasting.drink.mixture import NAMES
from tasting.drink.whole_steps import WeighedRecipe, as_version
from tasting.store import drafts
from tasting.store.drafts import Draft
from tasting.store.formulas import new_id
from tasting.ui import page, pages
from tasting.ui.drinks import draft as drafting
from tasting.ui.drinks import draft_form, saving, views
from tasting.ui.drinks.composition_beside import beside
from tasting.ui.drinks.label_question import LabelQuestion
from tasting.ui.page import escape_markdown
from tasting.ui.tables import show_table
from tasting.wording import interval, percent, three_digits

_KEPT_AT_MOST: Final = 64
_LOOKING: Final = "Looking for recipes"
_USUAL: Final = "Ingredients count as their usual figures say; measure your lot for more."
_PROVEN: Final = "Proven for the usual figures of these ingredients; your lot may differ."
_NOT_PROVEN: Final = "Not proven: there may be a recipe that was not found."


def show(
    engine: Engine, asked: LabelQuestion, formula: Formula | None, version: Version | None
) -> None:
    """The answer first, then the amounts, the draft, and how the recipe stands to the label."""
    answer = None
    with page.show_errors():
        answer = _answer(asked)
    if answer is None:
        return
    parts, servings = _recipe(answer, asked)
    if answer.found:
        _show_found(answer, asked)
        _offer_draft(engine, asked, formula, version, parts, servings)
    else:
        _show_excluded(answer)
        with st.expander("The closest recipe"):
            _show_least(answer)
            _offer_draft(engine, asked, formula, version, parts, servings)
    with st.expander("What was asked for"):
        st.markdown("\n".join(f"- {escape_markdown(str(one))}" for one in answer.demands))
        st.caption(_USUAL)
    if answer.found:
        _show_recipe(answer, asked)


@st.cache_resource(show_spinner=False)
def _kept_answers() -> dict[str, Formulation]:
    """Answers by the key of their question; they are frozen."""
    return {}


def _answer(asked: LabelQuestion) -> Formulation:
    """The answer, kept since it was first asked for, or computed with a bar that tells how far it
    is. Raises InputError."""
    kept, key = _kept_answers(), asked.key
    if key in kept:
        return kept[key]
    bar = st.progress(0.0, _LOOKING)

    def tell(done: float) -> None:
        bar.progress(done, _LOOKING)

    try:
        found = formulate(
            asked.reference,
            asked.limits,
            demands=asked.demands,
            step_g=asked.step_g,
            served=asked.served,
            progress=tell,
        )
    finally:
        bar.empty()
    for old in list(kept)[: 1 - _KEPT_AT_MOST]:
        kept.pop(old, None)
    kept[key] = found
    return found


def _recipe(answer: Formulation, asked: LabelQuestion) -> tuple[tuple[Part, ...], float]:
    """What is put into the glass, and for how many servings: without the ice that melts."""
    made = answer.weighed
    parts, servings = (made.parts, made.servings) if made else (answer.parts, 1)
    melts = bool(asked.served)
    return tuple(p for p in parts if not (melts and p.ingredient.key == "ice")), servings


def _show_found(answer: Formulation, asked: LabelQuestion) -> None:
    made = answer.weighed
    assert made is not None
    name = asked.reference.name
    said = (
        f"This recipe has every figure of {name}."
        if made.kept
        else f"Recipes with every figure of {name} exist, but not in steps of your scale."
    )
    st.html(f'<p class="says">{escape(said)}</p>')
    st.caption(escape_markdown(made.says))
    table = pd.DataFrame(
        list(_rows(answer, asked)), columns=["Ingredient", _headed(made), "Least–greatest"]
    )
    show_table(table, f"Recipes that could be {name}")
    for one in answer.measure_next[:1]:
        _say_next(one, asked)


def _headed(made: WeighedRecipe) -> str:
    return "Recommended" if made.servings == 1 else f"Recommended, for {made.servings}"


def _rows(answer: Formulation, asked: LabelQuestion) -> Iterator[tuple[str, str, str]]:
    """Each ingredient with what is recommended, and the least and greatest amount per serving."""
    parts, _ = _recipe(answer, asked)
    amounts = {part.ingredient.key: str(part.amount) for part in parts}
    melts = "ice" if asked.served else None
    for one in answer.ranges:
        if one.key != melts:
            least_to_most = f"{interval(one.least, one.most, three_digits)} {one.unit}"
            yield one.name, amounts.get(one.key, "none"), least_to_most


def _say_next(one: Narrowing, asked: LabelQuestion) -> None:
    known = NAMES[one.figure]
    said = (
        f"{known.name} of the bottle, to ±{known.write(one.half)}: narrows the amounts by "
        f"{percent(one.narrows)} on average."
    )
    st.markdown(f"**Measure on the bottle:** {escape_markdown(said)}")
    st.page_link(
        pages.DRINK.script,
        label="Add the measurement to the reference",
        query_params={"id": asked.reference.id},
    )


def _show_excluded(answer: Formulation) -> None:
    """What excludes what, and by how much."""
    st.html(f'<p class="says">{escape(_headline(answer))}</p>')
    for one in answer.exclusions:
        misses = [f"- {escape_markdown(f'{miss.called} {miss}')}" for miss in one.misses]
        st.markdown("\n".join([f"{escape_markdown(one.says)}:", "", *misses]))
    st.caption(_PROVEN if answer.impossible else _NOT_PROVEN)


def _show_least(answer: Formulation) -> None:
    """The amounts that miss least, and by how much."""
    rows = [
        (part.ingredient.name, f"{three_digits(part.amount.quantity)} {part.amount.unit}")
        for part in answer.parts
    ]
    table = pd.DataFrame(rows, columns=["Ingredient", "Per serving"])
    show_table(table, "The recipe that misses least")
    missed = "; ".join(f"{miss.called} {miss}" for miss in answer.misses)
    st.caption(escape_markdown(f"{page.capital(missed)}."))


def _headline(answer: Formulation) -> str:
    if not answer.impossible:
        return "No recipe was found."
    sides = answer.exclusions[0].sides
    if len(sides) == 1:
        return f"No recipe: these ingredients do not give {sides[0]}."
    return "No recipe: the demands exclude each other."


def _show_recipe(answer: Formulation, asked: LabelQuestion) -> None:
    """How the recipe stands to the label, and what to take care of."""
    made = answer.weighed
    drink = made.composition if made else answer.composition
    with st.expander("This recipe beside the label"):
        st.html(beside({"recipe": drink}, asked.reference, "The recipe"))
    parts, servings = _recipe(answer, asked)
    if parts:
        views.show_what_to_know(as_version(parts, servings), drink)


def _offer_draft(
    engine: Engine,
    asked: LabelQuestion,
    formula: Formula | None,
    version: Version | None,
    parts: Sequence[Part],
    servings: float,
) -> None:
    """The button that puts the amounts into the draft; a draft that is there is asked about."""
    place = version.id if version else f"new-{new_id()}"
    label = f"Draft the next version from {version.label}" if version else "Draft a new formula"
    there = drafts.draft(engine, place)
    replace = st.checkbox("Replace the draft that is saved there", key="replace") if there else True
    if not st.button(escape_markdown(label), type="primary", key="label-draft"):
        return
    if not replace:
        st.error("There is a draft already. Tick the box to replace it.")
        return
    draft = Draft(
        formula=formula.id if formula else "",
        name="" if formula else f"Towards {asked.reference.name}"[:120],
        text=drafting.text_of(as_version(parts, servings)),
        reason=f"From the label of {asked.reference.name}",
        own=tuple({part.ingredient.name: part.ingredient for part in parts}.values()),
    )
    draft_form.change(engine, place, draft)
    address = {"id": formula.id, saving.VERSION: place} if formula else {"draft": place}
    st.switch_page(pages.DRINK.script, query_params=address)
