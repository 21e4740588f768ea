"""What a new tasting is to find out, in plain questions, and the methods that can answer each."""

from dataclasses import dataclass

import streamlit as st

from tasting.panel.design import Aim, Letter, TestDesign
from tasting.panel.methods import METHODS, Method
from tasting.panel.plan import Sample
from tasting.ui import page

EITHER = "Either sample: two-sided"


@dataclass(frozen=True, slots=True)
class Kind:
    """A plain question.

    asks: the question; name: the name of a session that asks it, with both samples filled in
    aim: what its test aims at; methods: those that can answer it, the proposed one first
    """

    asks: str
    name: str
    aim: Aim
    methods: tuple[str, ...]


def _asking(kind: str) -> tuple[str, ...]:
    return tuple(key for key, method in METHODS.items() if method.question_kind == kind)


def _one_sided() -> tuple[str, ...]:
    """Similarity is shown by a one-sided test against a chance of guessing."""
    designs = {key: TestDesign(method) for key, method in METHODS.items()}
    return tuple(key for key, one in designs.items() if one.has_chance and one.sides == 1)


_DIFFER = Kind("Do they differ?", "Do {a} and {b} differ?", "difference", _asking("difference"))
_MORE = Kind(
    "Which is more …?",
    "Which is {attribute}, {a} or {b}?",
    "difference",
    tuple(sorted(_asking("direction"), key=lambda key: METHODS[key].directional_b)),
)
_PREFERRED = Kind(
    "Which is preferred?",
    "{a} or {b}: which is preferred?",
    "difference",
    _asking("preference"),
)
_SIMILAR = Kind("Are they similar?", "Are {a} and {b} similar?", "similarity", _one_sided())
KINDS = (_DIFFER, _MORE, _PREFERRED, _SIMILAR)


def kind() -> Kind:
    """The question, as chosen; a method that was chosen elsewhere brings its own."""
    method = st.session_state.get("method")
    if "question" not in st.session_state and method in METHODS:
        st.session_state["question"] = next(one for one in KINDS if method in one.methods).asks
    asked = st.radio("Question", [one.asks for one in KINDS], horizontal=True, key="question")
    return next(one for one in KINDS if one.asks == asked)


def method(asked: Kind) -> Method:
    """The method, among those that can answer the question."""
    if st.session_state.get("method") not in asked.methods:
        st.session_state["method"] = asked.methods[0]
    chosen = st.selectbox(
        "Method", asked.methods, format_func=lambda key: METHODS[key].name, key="method"
    )
    st.caption(f"The ballot asks: *{METHODS[chosen].question.format(attribute='…')}*")
    return METHODS[chosen]


def attribute(asked: Kind) -> str:
    """For a direction, what one sample is to be more of."""
    names = [key for key in asked.methods if METHODS[key].names_attribute]
    if asked is not _MORE and st.session_state.get("method") not in names:
        return ""
    return st.text_input("Which sample is …", "more sour", key="attribute", max_chars=40)


def one_sided(letter: Letter, sample: Sample) -> str:
    """What is chosen to say that this sample is expected to have more."""
    return f"{letter}, {sample.name}: one-sided"


def expected(method: Method, a: Sample, b: Sample) -> Letter | None:
    """The sample that is expected to have more, if that is fixed beforehand."""
    if not method.names_attribute:
        return None
    if method.directional_b:
        st.caption("Sample B must be the one that you expect to have more (one-sided).")
        return "B"
    directions: dict[str, Letter | None] = {EITHER: None}
    directions |= {one_sided("A", a): "A", one_sided("B", b): "B"}
    chosen = st.radio(
        "Which sample do you expect to be chosen?",
        list(directions),
        format_func=page.escape_markdown,
        key="expected",
        help="Expect one sample only if a choice of the other would mean nothing to you.",
    )
    return directions[chosen]
