"""One line typed at the bench: "+0.1 g citric acid", "2 mL lemon", "10 mL tasted away"."""

import re
from dataclasses import dataclass
from typing import Final

from tasting.drink.bench import Added, Glass, TastedAway
from tasting.drink.composition import compose
from tasting.drink.formula import Amount
from tasting.drink.recipe_text import Offer, read_more
from tasting.drink.shelf import Shelf
from tasting.errors import InputError
from tasting.units import ML_PER, grams

_WORDS: Final = r"(?:tasted|tasting|sipped|drunk|drank|taken|took|poured|spat)"
_AWAY: Final = r"(?:\s+(?:away|out|off))?"
_TASTED: Final = re.compile(
    rf"^[-+\N{{MINUS SIGN}}]?\s*(?:{_WORDS}{_AWAY}(?:\s+of)?\s*:?\s+(?P<after>.+)"
    rf"|(?P<before>.+?)\s+(?:{_WORDS}{_AWAY}|away))$",
    re.IGNORECASE,
)
_LESS: Final = re.compile(r"^\s*[-\N{MINUS SIGN}]\s*[\d.,]")

_NO_NAME: Final = (
    "no ingredient is named here; write an amount and a name, such as 2 mL lemon juice"
)


@dataclass(frozen=True, slots=True)
class BenchLine:
    """How a line was understood: the step that it is, or what is asked about it.

    offers: ingredients that it may mean
    """

    step: Added | TastedAway | None
    asked: str = ""
    offers: tuple[Offer, ...] = ()


def read_step(typed: str, shelf: Shelf, glass: Glass) -> BenchLine:
    """The step that a line says. It raises nothing: what is not understood is asked."""
    text = typed.strip()
    if not text:
        return BenchLine(None, "nothing is typed; write what goes in, such as 0.1 g citric acid")
    try:
        away = _TASTED.match(text)
        if away:
            return BenchLine(
                TastedAway(volume_ml=_volume_ml(away["after"] or away["before"], glass))
            )
        if _LESS.match(text):
            raise InputError(
                "what is mixed in cannot be taken out; undo a wrong entry, or pour another glass"
            )
        line = read_more(text, shelf, glass.version.parts)
    except InputError as error:
        return BenchLine(None, str(error))
    if line.part is None:
        asked = line.said if line.state == "asked" else _NO_NAME
        return BenchLine(None, asked, line.offers)
    return BenchLine(Added(part=line.part))


def _volume_ml(text: str, glass: Glass) -> float:
    """The volume that was taken out; what was weighed is turned into one. Raises InputError."""
    amount = Amount.parse(text).of("liquid")
    if amount.unit in ML_PER:
        return amount.quantity * ML_PER[amount.unit]
    density = compose(glass.version).density_kg_per_l
    return grams(amount.quantity, amount.unit, density) / density
