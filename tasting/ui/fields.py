"""Form fields that several pages need."""

import streamlit as st

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


def optional_number(
    label: str, key: str, largest: float, help: str | None = None, usual: float | None = None
) -> float | None:
    """A number from 0 to `largest` that may be left empty, which is not the same as zero."""
    return st.number_input(
        label, 0.0, largest, usual, step=0.1, format="%g", key=key, placeholder="–", help=help
    )


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
