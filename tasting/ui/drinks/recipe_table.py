"""The recipe as a table to edit: the same draft, cell by cell. Pure functions, no page."""

import re
from typing import Any, Final

import pandas as pd

from tasting.drink.recipe_text import Recipe
from tasting.units import counted
from tasting.wording import exact

INGREDIENT, AMOUNT, UNIT = "Ingredient", "Amount", "Unit"
_UP_TO, _DILUTION = re.compile(r"\bto\s+(\S.*)$", re.I), re.compile(r"(\S+?)\s*%")
_TOP: Final = "top to "


def rows_of(recipe: Recipe) -> pd.DataFrame:
    """A row for each ingredient. Raises InputError while a line is not understood."""
    _ = recipe.parts
    rows = []
    for line in recipe.lines:
        if line.part:
            amount = line.part.amount
            follows = _following(line.typed) if line.follows else ""
            typed = (follows, None) if follows else (exact(amount.quantity), amount.unit)
            rows.append((line.name, *typed))
    return pd.DataFrame(rows, columns=[INGREDIENT, AMOUNT, UNIT], dtype="string")


def _following(typed: str) -> str:
    """The amount of a line that fills up or dilutes, as a cell shows it."""
    diluted, up_to = _DILUTION.search(typed), _UP_TO.search(typed)
    if up_to:
        return f"{_TOP}{up_to[1].strip()}"
    return f"{diluted[1].split()[-1]} %" if diluted else ""


def text_of(rows: pd.DataFrame, before: Recipe) -> str:
    """The recipe that the rows say, with the lines of before that name no ingredient."""
    cells = rows.astype(object).where(rows.notna(), None)
    lines = [_line(*row) for row in cells.itertuples(index=False, name=None)]
    others = [line.typed for line in before.lines if line.state == "passed over"]
    return "\n".join([*filter(None, lines), *filter(str.strip, others)])


def _line(name: Any, amount: Any, unit: Any) -> str:
    typed = str(amount or "").strip()
    if name and typed.startswith(_TOP):
        return f"top with {name} to {typed.removeprefix(_TOP)} {unit or ''}".strip()
    if typed.endswith("%"):
        return f"dilution {typed}"
    words = (typed, counted(2, unit) if unit else "", name or "")
    return " ".join(word for word in words if word)
