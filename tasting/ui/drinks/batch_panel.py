"""From the bench to a batch: its size, the measures at hand, and the sheet to work from."""

from collections.abc import Sequence

import pandas as pd
import streamlit as st
from sqlalchemy import Engine

from tasting.drink import words
from tasting.drink.batch import Kit, batch
from tasting.drink.cautions import DEFER
from tasting.drink.cost import Cost, costs
from tasting.drink.formula import Formula, Version
from tasting.drink.keeping import PRACTICE, keeping
from tasting.records import checked
from tasting.report.batch_sheet import BatchSheet, batch_sheet, batch_sheet_html
from tasting.store.prices import prices
from tasting.ui import fields, page
from tasting.ui.drinks import before_saving
from tasting.ui.tables import show_table

LITRES, SERVINGS = "Litres", "Servings"


def panel(engine: Engine, formula: Formula, version: Version) -> None:
    """The size, the kit, and the sheet."""
    sizes, kit = _choose_size(version), _choose_kit(engine)
    with page.show_errors():
        fields.require_read(*sizes.values(), *kit.values())
        made = batch(version, kit=checked(Kit, kit), **sizes)
        drink = f"{formula.name}, {version.label}"
        keeps = keeping(version)
        sheet = batch_sheet(drink, made, invented=formula.invented, keeps=keeps)
        _show_sheet(sheet, costs(version, prices(engine)), made.servings)


def _choose_size(version: Version) -> dict[str, float]:
    """So many litres, or so many servings."""
    left, right = st.columns(2, vertical_alignment="bottom")
    what = left.radio("Size in", [LITRES, SERVINGS], horizontal=True, key="batch-size-in")
    usual = 5.0 if what == LITRES else 20 * version.servings
    size = fields.number(what, f"batch-{what}-{version.id}", 0.01, 1e5, usual, place=right)
    return {what.lower(): size}


def _choose_kit(engine: Engine) -> dict[str, float | None]:
    """The steps of the scale, the cylinder and the syringe."""
    scale, least, cylinder, syringe = st.columns(4, vertical_alignment="bottom")
    return {
        "scale_step_g": before_saving.scale_step(engine, "batch-scale", scale),
        "least_weighed_g": fields.optional_number(
            "Smallest amount weighed, g",
            "batch-least",
            1e3,
            "Anything less is measured from a stock solution.",
            smallest=1e-3,
            place=least,
            empty="10 steps",
        ),
        "cylinder_step_ml": _step(cylinder, "Cylinder step, mL", 1.0, "batch-cylinder"),
        "syringe_step_ml": _step(syringe, "Syringe step, mL", 0.1, "batch-syringe"),
    }


def _step(place: st.delta_generator.DeltaGenerator, label: str, usual: float, key: str) -> float:
    return fields.number(label, key, 1e-3, 1e3, usual, place=place)


def _sheet_table(sheet: BatchSheet) -> pd.DataFrame:
    """What to weigh and to measure."""
    rows = [(line.name, line.measured, line.exact, line.error) for line in sheet.lines]
    return pd.DataFrame(rows, columns=["Ingredient", "Measure", "Exact", "Rounding error"])


def _figures_table(sheet: BatchSheet) -> pd.DataFrame:
    """What the batch is by the recipe, and as measured out."""
    rows = [(figure.name, figure.exact, figure.made) for figure in sheet.figures]
    return pd.DataFrame(rows, columns=["Figure", "Recipe", "As measured"])


def _show_sheet(sheet: BatchSheet, found: Sequence[Cost], servings: float) -> None:
    """The sheet on the page, what it costs and how long it keeps, and the same to print."""
    st.write(f"{sheet.servings} servings, {sheet.litres} L.")
    for cost in found:
        st.markdown(page.escape_markdown(words.cost_of_batch(cost, servings)))
    if found and found[0].without_price:
        names = page.escape_markdown(", ".join(found[0].without_price))
        st.caption(f"Without {names}: no price yet (Notes and cost).")
    show_table(_sheet_table(sheet), f"Batch sheet of {sheet.drink}", ["Rounding error"])
    stocks = [line.stock for line in sheet.lines if line.stock]
    if stocks:
        st.write("Too little to weigh; first make:")
        for stock in stocks:
            st.markdown(f"- {page.escape_markdown(stock)}")
    show_table(_figures_table(sheet), f"Figures of {sheet.drink}, by the recipe and as measured")
    if sheet.keeps:
        st.markdown("**How long it keeps**")
        st.markdown("\n".join(f"- {page.escape_markdown(text)}" for text in sheet.keeps))
        st.caption(f"{PRACTICE} Reminders only. No warning does not mean safe. {DEFER}")
    to_print = batch_sheet_html(sheet)
    page.offer_file("Download to print (A4 or Letter)", to_print, "batch-sheet.html", "batch")
