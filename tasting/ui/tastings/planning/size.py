"""What a new tasting is to show, and how many tastings it takes."""

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from math import isnan

import streamlit as st

from tasting.panel import sizing, sizing_words
from tasting.panel.design import FALSE_ALARMS, USUAL_P_D, Aim, Letter, TestDesign
from tasting.panel.methods import Method
from tasting.panel.plan import Plan
from tasting.stats.looks import balanced_looks
from tasting.stats.sequential import Looks, WaldTest
from tasting.ui import fields, page
from tasting.ui.tables import show_table
from tasting.ui.tastings.planning.power_chart import curve_of, needs_table, power_chart
from tasting.ui.terms import explained
from tasting.wording import many, percent

_P_D = "Of every 100 assessors, how many truly notice the difference rather than guess."
_LEAD = "How much more often one sample is chosen than the other, of all answers."
_SIMILAR = "β: how often such a test calls a difference this large similar."
_MOST_ANSWERS = 10_000
_RISKS = (0.001, 0.499)
_D_PRIMES = (0.3, 5.0)
BY_SHARE, BY_DISTANCE = "Share who notice, p_d", "Sensory distance, d′"


def ask(method: Method, expected: Letter | None, aim: Aim = "difference") -> TestDesign | None:
    """The design, as chosen in the widgets; None while a number in it cannot be read.

    Raises InputError for one that cannot be.
    """
    plain = TestDesign(method, expected)
    one_sided = plain.has_chance and plain.sides == 1
    decides = one_sided and _sequential(aim)
    by_distance = _by_distance(method)
    alpha, beta = _risks(method, aim)
    share = plain.p_d if by_distance else _share(method, USUAL_P_D[aim])
    distance = _distance() if by_distance else None
    false_alarms = plain.false_alarms if plain.has_chance else _false_alarms()
    if any(number is not None and isnan(number) for number in (alpha, beta, share, distance)):
        return None
    if isnan(false_alarms):
        return None
    design = TestDesign(
        method,
        expected,
        aim=aim,
        sequential=decides,
        alpha=alpha,
        beta=beta,
        p_d=share,
        d_prime=distance,
        false_alarms=false_alarms,
    )
    return replace(design, looks=_looks(design.wald_test)) if decides else design


def _sequential(aim: Aim) -> bool:
    concludes = (
        "It may conclude similarity, at the β that you state."
        if aim == "similarity"
        else "It never concludes similarity: for that, choose it as the aim and state a β."
    )
    return st.checkbox(
        "Stop as soon as there are enough answers: sequential (Wald)",
        key="sequential",
        help="At looks fixed here, the session's page says whether there are enough, never which "
        f"way they point. {concludes}",
    )


def _looks(test: WaldTest) -> Looks:
    """After how many answers the test looks; offered are looks that give little away."""
    least, offered = test.least_looks(), balanced_looks(test)
    first, every = st.columns(2)
    key = f"{test.slope:.6f}-{test.lower:.6f}-{test.upper:.6f}"
    first_look = fields.number(
        "First look after … answers",
        f"first-look-{key}",
        *_from(least.at[0], offered.at[0]),
        whole=True,
        help="Any earlier, only one of the two decisions would be possible, so stopping would "
        "reveal it. A later first look reveals less.",
        place=first,
    )
    again = fields.number(
        "Then after every … more",
        f"look-every-{key}",
        *_from(least.every, offered.every),
        whole=True,
        place=every,
    )
    fields.require_read(first_look, again)
    return Looks((int(first_look),), int(again))


def _from(least: int, offered: int) -> tuple[int, int, int]:
    """Smallest, largest and offered number of answers."""
    most = max(least, _MOST_ANSWERS)
    return least, most, min(offered, most)


def no_preference(method: Method) -> bool:
    """Whether the ballot also offers "no preference"."""
    return not method.measures_distance and st.checkbox(
        'Also offer "no preference"',
        key="no_preference",
        help="These answers are left out of the test; the finding also shows them split in half, "
        "and modelled as answers of their own.",
    )


def _by_distance(method: Method) -> bool:
    if method.psychometric is None:
        st.caption(
            "Guessing has no fixed chance in this method, so there is no p_d: plan by the sensory "
            "distance."
        )
        return True
    if not method.measures_distance:
        return False
    said = st.radio("State the difference that matters as", [BY_SHARE, BY_DISTANCE], key="size_by")
    return said == BY_DISTANCE


def _risks(method: Method, aim: Aim) -> tuple[float, float]:
    """Similarity has a stricter β of its own: it is the risk of the claim."""
    alpha, beta = st.columns(2)
    similar = aim == "similarity"
    missed = f"β: risk of missing a {_thing(method)} this large"
    return (
        fields.number(
            "α: risk of a false alarm", "alpha", *_RISKS, 0.05, help=explained("α"), place=alpha
        ),
        fields.number(
            "β: risk of calling such a difference similar" if similar else missed,
            "beta-similarity" if similar else "beta",
            *_RISKS,
            0.05 if similar else 0.20,
            help=_SIMILAR if similar else explained("β"),
            place=beta,
        ),
    )


def _share(method: Method, usual: float) -> float:
    label = "Share who notice that must not be missed, p_d"
    if not method.measures_distance:
        label = "Lead of one sample that must not be missed, as a share of answers"
    # A proposal of its own for each question, until another one is typed.
    told = _P_D if method.measures_distance else _LEAD
    return fields.number(label, f"p_d-{usual:g}", 0.01, 0.99, usual, help=told)


def _thing(method: Method) -> str:
    """What is not to be missed."""
    return "difference" if method.measures_distance else "lead"


def _distance() -> float:
    return fields.number(
        "d′: sensory distance",
        "d_prime",
        0.1,
        5.0,
        1.0,
        help="In standard deviations of one perception: 1 is easily missed, 3 is plain to nearly "
        "everyone.",
    )


def _false_alarms() -> float:
    label = "How often is a difference reported where there is none?"
    return fields.number(label, "false_alarms", 0.01, 0.9, FALSE_ALARMS)


def needed(design: TestDesign) -> None:
    """How many tastings these risks take."""
    with page.show_errors():
        number, *more = sizing_words.needed(design)
        said = " ".join(more)
        st.markdown(f"**{number}** {said}", help=explained(said))


def outlook(plan: Plan, design: TestDesign) -> None:
    """What the panel can show, in a sentence, and what such a panel cannot show."""
    people, sets, n = len(plan.assessors), plan.replicates, plan.tastings
    said = in_words(plan, design)
    st.markdown(
        f"{many(people, 'assessor')} × {sets} = **{many(n, 'tasting')}**. {said}",
        help=explained(said),
    )
    for warning in _warnings(plan, design):
        st.warning(warning)


def in_words(plan: Plan, design: TestDesign) -> str:
    """What the panel can show, and what that takes for granted."""
    again = sizing_words.repeated(design, len(plan.assessors), plan.replicates)
    return " ".join(filter(None, [*sizing_words.outlook(design, plan.tastings), again]))


def depth(plan: Plan, design: TestDesign) -> None:
    """The same as a curve, and what other methods would need."""
    with st.expander("What this panel can detect"):
        chart, text, table = power_chart(curve_of(design, plan.tastings))
        st.altair_chart(chart, alt=text, key="power_curve")
        show_table(table, text)
    with st.expander("All methods side by side"):
        _side_by_side(design, plan.serving_ml)


def _warnings(plan: Plan, design: TestDesign) -> Iterator[str]:
    """What such a panel cannot show, however it answers, and risks that are not as planned."""
    if design.sequential and (raised := sizing_words.raised_risks(design.wald_test)):
        yield raised
    repeated = plan.replicates > 1 and len(plan.assessors) > 1
    if repeated and design.method.names_attribute:
        if design.sequential:
            yield (
                "Assessors answer more than once, so this session can show that they notice a "
                "difference, but no common direction. Turn sequential off, or plan one set each."
            )
        elif design.method.two_choices:
            yield (
                "Assessors answer more than once and each may favour a direction of their own, so "
                "the test counts assessors, not answers. The power above is that of as many "
                "assessors with one set each: ask more assessors instead."
            )
    if design.method.directional_b:
        yield (
            "More choices than guessing gives show that something is noticed. Only above one half "
            "do they show a direction: up to there, assessors may simply disagree."
        )


def _side_by_side(design: TestDesign, serving_ml: float) -> None:
    label, usual = "Sensory distance d′ to detect", _planned_d_prime(design)
    d_prime = fields.number(label, f"side_by_side-{usual:g}", *_D_PRIMES, usual)
    if isnan(d_prime):
        return
    needs = needs_of(replace(design, d_prime=d_prime), serving_ml)
    show_table(
        needs_table(design.method, needs), f"What each method needs to detect d′ = {d_prime:g}"
    )
    st.caption(
        f"For a difference at α = {design.alpha:g} at {percent(design.power)} power, "
        f"{serving_ml:g} mL in a cup, fewest first. Directions count as fixed beforehand. In "
        "same-different and A-not-A half of the sets have no difference, and one is reported for "
        f"{percent(FALSE_ALARMS)} of those. A-not-A assumes that assessors judge how far a cup is "
        "from the labelled reference."
    )
    for need in needs:
        if need.refusal:
            st.caption(f"{need.method.name}: {need.refusal}")


def _planned_d_prime(design: TestDesign) -> float:
    """The distance at which the planned share notice; of a lead in liking there is none."""
    usual = design.d_prime or 1.0
    if design.d_prime is None and design.has_chance and design.method.measures_distance:
        model = design.method.model
        usual = float(model.d_prime(model.chance + (1 - model.chance) * design.p_d))
    least, most = _D_PRIMES
    return round(min(max(usual, least), most), 3)


@lru_cache(maxsize=64)
def needs_of(design: TestDesign, serving_ml: float) -> tuple[sizing.Need, ...]:
    """What every method needs for the d-prime and the risks of a design; kept between taps."""
    return sizing.side_by_side(design, serving_ml)
