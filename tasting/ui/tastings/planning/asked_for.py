"""What an address asks a new tasting to begin with: both drinks by their ids, and how to compare
them. Whatever suggests a tasting leads here by such an address, so a reload keeps it."""

from collections.abc import Mapping, Sequence
from math import ceil

import streamlit as st

from tasting.panel.design import Letter
from tasting.panel.methods import METHODS, Method
from tasting.panel.plan import Sample
from tasting.ui.tastings.planning import refill
from tasting.ui.tastings.planning.question import KINDS, one_sided

_LETTERS = ("a", "b")
_TYPED = {"attribute": 40, "name": 120, "purpose": 500}
"""Fields that take text from the address, and how much of it."""
_METHOD, _TASTINGS, _AIM, _EXPECTED = "method", "tastings", "aim", "expected"
_LONGEST, _USUAL_PEOPLE, _MOST_PEOPLE, _MOST_SETS = 20, 8, 60, 20


def address(a: str, b: str, method: str = "", tastings: int = 0, **more: str) -> dict[str, str]:
    """The query of an address that asks for this tasting.

    a, b: ids of the drinks; more: attribute, name, purpose, aim, and the letter of the sample that
    is expected to have more
    """
    values = {
        "a": a,
        "b": b,
        _METHOD: method,
        _TASTINGS: str(tastings) if tastings else "",
        **{name: text[: _TYPED.get(name, _LONGEST)] for name, text in more.items()},
    }
    return {name: value for name, value in values.items() if value}


def ids() -> tuple[str, ...]:
    """The drinks that the address asks for."""
    return tuple(st.query_params[one] for one in _LETTERS if one in st.query_params)


def fill_in(samples: Sequence[Sample]) -> None:
    """Puts what the address asks for into the fields, once; says what of it is not kept."""
    asked = st.query_params.to_dict()
    known = {sample.id: sample for sample in samples}
    if any(id_ not in known for id_ in ids()):
        st.warning("A drink that the address asks for is not saved here. Choose both below.")
    if asked:
        mark = repr(sorted(asked.items()))
        drinks = _drinks(asked, known)
        refill.fill_once(mark, {**drinks, **_rest(asked), **_expected(asked, drinks)})


def _drinks(asked: Mapping[str, str], known: Mapping[str, Sample]) -> dict[str, Sample]:
    return {one: known[asked[one]] for one in _LETTERS if asked.get(one) in known}


def _expected(asked: Mapping[str, str], drinks: Mapping[str, Sample]) -> dict[str, object]:
    """The direction that is fixed beforehand, if one is asked for."""
    letter: Letter = "A" if asked.get(_EXPECTED) == "A" else "B"
    if asked.get(_EXPECTED) != letter or letter.lower() not in drinks:
        return {}
    return {"expected": one_sided(letter, drinks[letter.lower()])}


def _rest(asked: Mapping[str, str]) -> dict[str, object]:
    """The values of the other fields, by their keys."""
    values: dict[str, object] = {
        name: asked[name][:most] for name, most in _TYPED.items() if asked.get(name)
    }
    method = METHODS.get(asked.get(_METHOD, ""))
    if method is None:
        return values
    able = [one for one in KINDS if method.key in one.methods]
    kind = next((one for one in able if one.aim == asked.get(_AIM)), able[0])
    number = asked.get(_TASTINGS, "")
    return values | {"method": method.key, "question": kind.asks} | _people(method, number)


def _people(method: Method, number: str) -> dict[str, str]:
    """So many tastings: as more sets where repeated answers count, else as more assessors."""
    tastings = int(number[:6]) if number.isdecimal() else 0
    if not tastings:
        return {}
    if method.has_right_answer:
        return {"replicates": str(min(ceil(tastings / _USUAL_PEOPLE), _MOST_SETS))}
    return {"people": str(min(tastings, _MOST_PEOPLE))}
