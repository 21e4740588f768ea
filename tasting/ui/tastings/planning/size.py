"""The part of the plan page that is about what is to be shown, and how many tastings it takes."""

from functools import lru_cache
from typing import Literal

import streamlit as st

from tasting.panel import sizing
from tasting.panel.methods import Method
from tasting.panel.plan import Letter, Plan
from tasting.ui import page
from tasting.ui.tables import show_table
from tasting.ui.tastings.planning import size_words
from tasting.ui.tastings.planning.power_chart import curve_of, needs_table, power_chart
from tasting.ui.tastings.planning.size_words import Asked

AIMS: dict[str, Literal["difference", "similarity"]] = {
    "Show a difference": "difference",
    "Show that it is small: similarity": "similarity",
}
BY_SHARE, BY_DISTANCE = "The share that notices, p_d", "The sensory distance, d′"


def ask(method: Method, expected: Letter | None) -> Asked:
    """Aim, risks, and the difference that matters, as chosen in the widgets."""
    one_sided = method.psychometric is not None and method.sides(expected is not None) == 1
    st.subheader("What it shall be able to show")
    aim = _aim() if one_sided else "difference"
    decides = one_sided and aim == "difference" and _sequential()
    undecided = method.question_kind == "preference" and _no_preference()
    by_distance = _by_distance(method)
    alpha, beta = _risks()
    d_prime = _distance() if by_distance else None
    p_d, false_alarms = 0.3, sizing.FALSE_ALARMS
    if method.psychometric is None:
        false_alarms = _false_alarms()
    elif d_prime is None:
        p_d = _share(method)
    else:
        p_d = round(float(method.model.p_d(d_prime)), 6)
    return Asked(aim, decides, undecided, alpha, beta, p_d, d_prime, false_alarms)


def _aim() -> Literal["difference", "similarity"]:
    return AIMS[st.radio("Aim", list(AIMS), key="aim")]


def _sequential() -> bool:
    return st.checkbox(
        "Stop as soon as there are enough answers: sequential (Wald)",
        key="sequential",
        help="The run page then says when there are enough, never which way they point.",
    )


def _no_preference() -> bool:
    return st.checkbox(
        'Also offer "no preference"',
        key="no_preference",
        help="These answers are left out of the test; the finding also shows them halved, and "
        "modelled as an answer of their own.",
    )


def _by_distance(method: Method) -> bool:
    if method.psychometric is None:
        st.caption(
            "This method has no chance of guessing, so there is no share p_d to plan with: it is "
            "planned by the sensory distance."
        )
        return True
    if method.question_kind == "preference":
        return False
    said = st.radio(
        "The difference that matters is given by", [BY_SHARE, BY_DISTANCE], key="size_by"
    )
    return said == BY_DISTANCE


def _risks() -> tuple[float, float]:
    alpha, beta = st.columns(2)
    return (
        alpha.number_input(
            "α: risk of a false difference", 0.001, 0.499, 0.05, 0.01, format="%.3f", key="alpha"
        ),
        beta.number_input(
            "β: risk of missing the one that matters",
            0.001,
            0.499,
            0.20,
            0.05,
            format="%.3f",
            key="beta",
        ),
    )


def _share(method: Method) -> float:
    label = "p_d: share of tastings that notice"
    if method.question_kind == "preference":
        label = "p_d: lead of one sample over the other, as a share of answers"
    return st.number_input(label, 0.01, 0.99, 0.30, 0.05, key="p_d")


def _distance() -> float:
    return st.number_input(
        "d′: sensory distance",
        0.1,
        5.0,
        1.0,
        0.1,
        key="d_prime",
        help="In spreads of one perception. 1 is easily missed, 3 is plain to nearly everyone.",
    )


def _false_alarms() -> float:
    return st.number_input(
        "How often is a difference reported where there is none?",
        0.01,
        0.9,
        sizing.FALSE_ALARMS,
        0.05,
        key="false_alarms",
    )


def needed(method: Method, asked: Asked, expected: Letter | None) -> None:
    """How many tastings these risks take."""
    with page.show_errors():
        st.write(size_words.needed(method, asked, expected))


def outlook(plan: Plan, asked: Asked) -> None:
    """What the panel can show, as a sentence and as a curve, and what other methods would need."""
    st.subheader("What this panel can show")
    st.write(size_words.outlook(plan, asked))
    if plan.sequential and plan.replicates > 1 and not plan.alone:
        st.caption(
            "As people answer more than once, this session can show a difference, but similarity "
            "will not be concluded from it."
        )
    chart, text, table = power_chart(curve_of(plan, asked))
    st.altair_chart(chart, alt=text, key="power_curve")
    with st.expander("The same numbers as a table"):
        show_table(table, text)
    with st.expander("All methods side by side"):
        _side_by_side(plan, asked)


def _side_by_side(plan: Plan, asked: Asked) -> None:
    d_prime = st.number_input(
        "Sensory distance d′ to be shown",
        0.3,
        5.0,
        max(0.3, asked.d_prime or 1.0),
        0.1,
        key=f"side_by_side-{asked.d_prime}",
    )
    needs = _needs(d_prime, plan.alpha, plan.beta, plan.serving_ml)
    table = needs_table(plan.procedure, needs)
    show_table(table, f"What each method needs to show d′ = {d_prime:g}")
    st.caption(
        f"For a difference at α = {plan.alpha:g} with a power of {page.percent(1 - plan.beta)}, "
        f"{plan.serving_ml:g} mL in a cup, fewest first. A direction is taken as fixed beforehand; "
        "for same-different and A-not-A half of the sets hold no difference, and one is reported "
        f"for {page.percent(sizing.FALSE_ALARMS)} of those."
    )
    for need in needs:
        if need.refusal:
            st.caption(f"{need.method.name}: {need.refusal}")


@lru_cache(maxsize=64)
def _needs(d_prime: float, alpha: float, beta: float, serving_ml: float) -> tuple[sizing.Need, ...]:
    return sizing.side_by_side(d_prime, alpha, beta, serving_ml)
