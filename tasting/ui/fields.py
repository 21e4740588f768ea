"""Form fields that several pages need.

Numbers are typed as text, because a browser's own number field reads them by its language and drops
what it does not understand. What was understood stands behind the field's name; what was not is
said below it, and counts as NOT_READ.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import isnan, nan

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from tasting.errors import InputError
from tasting.reading import read_number, read_whole
from tasting.ui import page
from tasting.wording import UNKNOWN, exact, short

NOT_READ = nan
"""Stands for a number that was typed and not understood; see `require_read`."""

# Regulation (EU) No 1169/2011, Annex II, in short words; other places have other lists.
_ALLERGENS = (
    "celery",
    "crustaceans",
    "eggs",
    "fish",
    "gluten cereals",
    "lupin",
    "milk",
    "molluscs",
    "mustard",
    "peanuts",
    "sesame",
    "soybeans",
    "sulphites",
    "tree nuts",
)


@dataclass(frozen=True, slots=True)
class _Bounds:
    """What a number may be."""

    low: float
    high: float
    whole: bool

    def read(self, text: str) -> float:
        """The number typed. Raises InputError for none, or one that is out of bounds."""
        value = read_whole(text) if self.whole else read_number(text)
        if not self.low <= value <= self.high:
            raise InputError(
                f"{exact(value)} is not between {short(self.low)} and {short(self.high)}; type "
                "another number"
            )
        return value


def number(
    label: str,
    key: str,
    low: float,
    high: float,
    usual: float,
    *,
    whole: bool = False,
    help: str | None = None,
    place: DeltaGenerator | None = None,
) -> float:
    """A number from `low` to `high`, or NOT_READ."""
    return _read(_typed(label, key, usual, help, place, ""), _Bounds(low, high, whole), place)


def optional_number(
    label: str,
    key: str,
    largest: float,
    help: str | None = None,
    usual: float | None = None,
    *,
    smallest: float = 0.0,
    whole: bool = False,
    place: DeltaGenerator | None = None,
    empty: str = UNKNOWN,
) -> float | None:
    """A number that may be left empty (None), which is not the same as zero; or NOT_READ."""
    text = _typed(label, key, usual, help, place, empty)
    return _read(text, _Bounds(smallest, largest, whole), place) if text.strip() else None


def require_read(*values: float | None) -> None:
    """Raises InputError when one of these numbers was typed and not understood."""
    if any(value is not None and isnan(value) for value in values):
        raise InputError("a number above needs correcting first; the note below it says why")


def read_back(values: Mapping[str, float | None]) -> str:
    """What was understood in a form that is gone, by the names of its fields."""
    known = {name: value for name, value in values.items() if value is not None}
    return "Read as " + "; ".join(f"{name}: {exact(value)}" for name, value in known.items())


def _understood(text: str) -> str:
    """What is shown behind a number's name: how it was read, where that is not just the same."""
    try:
        read = exact(read_number(text))
    except InputError:
        return ""
    return "" if read == text.strip() else f" (= {read})"


def _typed(
    label: str,
    key: str,
    usual: float | None,
    help: str | None,
    place: DeltaGenerator | None,
    empty: str,
) -> str:
    """The text in the field; the name of the field says how it is understood."""
    start = "" if usual is None else exact(usual)
    title = label + _understood(str(st.session_state.get(key, start)))
    field = st.text_input if place is None else place.text_input
    # Without what a browser remembers; the browser tests know a number field by that.
    return field(title, start, key=key, help=help, placeholder=empty or None, autocomplete="off")


def _read(text: str, bounds: _Bounds, place: DeltaGenerator | None) -> float:
    try:
        return bounds.read(text)
    except InputError as error:
        said = page.escape_markdown(page.capital(f"{error}."))
        (st.error if place is None else place.error)(said)
        return NOT_READ


def printed(label: str, key: str, start: str = "") -> str:
    """A number as a label prints it, decimals and all, as text; nothing where it is left empty."""
    title = label + _understood(str(st.session_state.get(key, start)))
    return st.text_input(title, start, key=key, placeholder=UNKNOWN, autocomplete="off")


def allergens(key: str, known: tuple[str, ...] = ()) -> tuple[str, ...]:
    """The declared allergens, of the usual list or in the host's own words; `known` are chosen."""
    chosen = st.multiselect(
        "Allergens",
        tuple(dict.fromkeys((*_ALLERGENS, *known))),
        known,
        key=key,
        accept_new_options=True,
        placeholder="None",
        help="Choose, or type another and press Enter. Check the rules of your own country.",
    )
    return tuple(sorted({name.strip() for name in chosen if name.strip()}))
