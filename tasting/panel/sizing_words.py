"""How many tastings a test design needs, and what a panel can detect, in sentences."""

from tasting.panel import sizing
from tasting.panel.design import TestDesign
from tasting.stats.looks import look_cost
from tasting.stats.power import PanelSize
from tasting.stats.sequential import EACH, Looks, WaldTest
from tasting.wording import percent, share, short, times

_ENOUGH = 0.8
"""Below this power a panel is warned of; common practice, no source."""


def title(design: TestDesign) -> str:
    """The method, and whether its direction was fixed beforehand."""
    return f"{design.method.name}, {'one' if design.sides == 1 else 'two'}-sided"


def counted(design: TestDesign) -> str:
    """What is counted."""
    if design.method.has_right_answer:
        return "correct answers"
    if design.sides == 1:
        return "choices of the expected sample"
    return "choices of one of the two samples"


def _noticed_in_words(design: TestDesign) -> str:
    """The difference that is not to be missed, behind "if": "30 % notice"."""
    if not design.method.measures_distance:
        return f"the lead is {share(design.p_d)} of answers"
    distance = "" if design.d_prime is None else f" (d′ = {design.d_prime:g})"
    return f"{share(design.p_d)} notice{distance}"


def _difference_in_words(design: TestDesign, p_d: float | None, d_prime: float | None) -> str:
    """A difference as the thing that is found or missed: "A difference that 30 % notice"."""
    if p_d is None:
        return f"A difference of d′ = {short(d_prime, 3)}"
    if not design.method.measures_distance:
        return f"A lead of {percent(p_d)}"
    distance = "" if d_prime is None else f" (d′ = {short(d_prime, 3)})"
    return f"A difference that {percent(p_d)} notice{distance}"


def needed(design: TestDesign) -> tuple[str, ...]:
    """How many tastings it takes, the number first.

    Raises InputError where it cannot be planned.
    """
    if not design.has_chance:
        return _contrast(design)
    if design.sequential:
        return _sequential(design)
    if design.aim == "similarity":
        return _similar(design)
    return _different(design)


def _different(design: TestDesign) -> tuple[str, ...]:
    size = sizing.difference_size(design)
    return (
        f"You need {size.n} tastings ({size.critical_number} {counted(design)}).",
        f"If {_noticed_in_words(design)}, {size.n} tastings show it {times(size.power)}: actual "
        f"α = {size.alpha:.4f}, power {share(size.power)} (exact binomial).",
        _lasting(design, size),
    )


def _lasting(design: TestDesign, size: PanelSize) -> str:
    if size.lasting_n == size.n:
        return f"Any larger number keeps at least {percent(design.power)}."
    return f"From {size.lasting_n} on, power stays at {percent(design.power)} or more."


def _similar(design: TestDesign) -> tuple[str, ...]:
    size = sizing.similarity_size(design)
    return (
        f"You need {size.n} tastings (at most {size.largest} {counted(design)}).",
        f"If nobody notices, {size.n} tastings show {times(size.power)} that fewer than "
        f"{_noticed_in_words(design)}: actual β = {size.beta:.4f}, chance {share(size.power)} "
        "(exact binomial).",
        f"From {size.lasting_n} on, that stays at {percent(1 - design.alpha)} or more.",
        f"If nobody notices, {percent(size.below_chance)} of sessions score below guessing; "
        "these do not show similarity.",
    )


def _sequential(design: TestDesign) -> tuple[str, ...]:
    test = design.wald_test
    if_none, if_some = test.expected_tastings()
    return (
        f"You need about {if_none:.0f} tastings on average if nobody notices, and about "
        f"{if_some:.0f} if {_noticed_in_words(design)}.",
        f"A test of fixed size takes {_fixed(design)}. {_earliest(design)}",
        *(() if test.looks == EACH else _spent(test)),
        "Plan more than the average: many sessions need more.",
    )


def _earliest(design: TestDesign) -> str:
    """When it may decide, and what."""
    test, looks = design.wald_test, design.looks
    if looks != EACH:
        return (
            f"Wald's test {looks_in_words(looks)}; at each look it can stop, with a difference or "
            f"{_lower_line(design).rstrip(',')}."
        )
    different, lower = test.least_tastings()
    return (
        f"At the earliest, Wald's test stops with a difference after {different} answers, and "
        f"{_lower_line(design)} after {lower}."
    )


def _spent(test: WaldTest) -> tuple[str, ...]:
    """What the looks make of the risks, where that is within the plan, and what the moment of a
    stop tells."""
    cost = look_cost(test)
    risks = f"With these looks the actual risks are α = {cost.alpha:.3f} and β = {cost.beta:.3f}."
    return (
        *([] if raised_risks(test) else [risks]),
        "Knowing only at which look it stopped, a guess at the decision is correct at most "
        f"{times(cost.telling)}.",
    )


def raised_risks(test: WaldTest) -> str:
    """A warning where the looks make a risk larger than planned; empty where they do not."""
    cost = look_cost(test)
    planned = [("α", cost.alpha, test.alpha), ("β", cost.beta, test.beta)]
    more = [
        f"{name} = {risk:.3f} instead of {plan:g}"
        for name, risk, plan in planned
        if round(risk, 3) > plan
    ]
    if not more:
        return ""
    return f"These looks raise a risk: {' and '.join(more)}. Plan a smaller one, or report this."


def looks_in_words(looks: Looks) -> str:
    """When a sequential test looks: "looks after 13 answers, then after every 5 more"."""
    if looks == EACH:
        return "may decide after any answer"
    return f"looks after {looks.at[0]} answers, then after every {looks.every} more"


def _fixed(design: TestDesign) -> int:
    if design.aim == "similarity":
        return sizing.similarity_size(design).n
    return sizing.difference_size(design).n


def _lower_line(design: TestDesign) -> str:
    """Only a plan that aims at similarity concludes it."""
    if design.aim == "similarity":
        return f"with similarity, at a risk of β = {design.beta:g},"
    return "without one"


def _contrast(design: TestDesign) -> tuple[str, ...]:
    size = sizing.contrast_size(design)
    rule = " if assessors judge by how far a cup is from the labelled reference"
    return (
        f"You need {size.n} sets, half of them with a difference.",
        f"At d′ = {design.d_prime:g} a difference is expected to be reported for "
        f"{percent(size.share_some)} of those and for {percent(size.share_none)} of the others"
        f"{rule if design.method.by_reference_rate else ''}: actual α = {size.alpha:.4f}, power "
        f"{share(size.power)} (Fisher's exact test).",
        *_if_informed(design),
    )


def _if_informed(design: TestDesign) -> tuple[str, ...]:
    if design.method.by_reference_rate is None:
        return ()
    size = sizing.contrast_size(design, knowing=True)
    return (
        f"If all of them know what differs, {size.n} are enough. Plan for the larger number unless "
        "you tell them.",
    )


def outlook(design: TestDesign, tastings: int) -> tuple[str, ...]:
    """What so many tastings can show."""
    if design.sequential:
        return (_decided(design, tastings),)
    if design.aim == "similarity":
        return (similarity_reach_in_words(design, tastings),)
    power = sizing.power_of(design, tastings)
    planned = _planned_in_words(design, tastings, power)
    return (planned, reach_in_words(design, tastings)) if power < _ENOUGH else (planned,)


def _planned_in_words(design: TestDesign, tastings: int, power: float) -> str:
    """How often so many tastings find the difference that is planned for, or miss it."""
    p_d, d_prime = (
        (design.p_d, design.d_prime) if design.has_chance else (None, design.d_prime or 1)
    )
    difference = _difference_in_words(design, p_d, d_prime)
    rule = "" if design.has_chance else _by_rule(design, tastings)
    often = f"missed {times(1 - power)}" if power < _ENOUGH else f"found {times(power)}"
    return f"{difference} would be {often} (power {percent(power)}{rule})."


def repeated(design: TestDesign, assessors: int, replicates: int) -> str:
    """What the power takes for granted where assessors taste more than once; else empty."""
    if assessors < 2 or replicates < 2 or not design.has_chance:
        return ""
    said = f"This counts all {assessors * replicates} answers as independent"
    if design.sequential or design.aim == "similarity":
        return f"{said}; those of one assessor are not."
    once = percent(sizing.power_of(design, assessors))
    return f"{said}; with one tasting each, power would be {once}."


def _by_rule(design: TestDesign, tastings: int) -> str:
    if design.method.by_reference_rate is None:
        return ""
    informed = percent(sizing.power_of(design, tastings, knowing=True))
    return f" if judged by distance from the reference, {informed} if all know what differs"


def reach_in_words(design: TestDesign, tastings: int) -> str:
    """The smallest difference that so many tastings find as often as planned."""
    reach = sizing.reach(design, tastings)
    power = percent(design.power)
    if reach.p_d is None and reach.d_prime is None:
        return (
            f"However large the difference, {tastings} tastings detect it with less than {power} "
            "power."
        )
    difference = _difference_in_words(design, reach.p_d, reach.d_prime)
    return f"{difference} would be found {times(design.power)} (power {power})."


def share_noticed(design: TestDesign, p_d: float) -> str:
    """A share who notice, or of a preference a lead: "p_d = 30 %"."""
    return f"{'p_d =' if design.method.measures_distance else 'a lead of'} {share(p_d)}"


def similarity_reach_in_words(design: TestDesign, tastings: int) -> str:
    """The share below which so many tastings can be expected to show it."""
    reach = sizing.similarity_reach(design, tastings)
    assert reach.p_d is not None
    distance = "" if reach.d_prime is None else f" (d′ = {short(reach.d_prime, 3)})"
    return (
        f"If nobody notices, {tastings} tastings can be expected to show that fewer than "
        f"{percent(reach.p_d)} notice{distance}."
    )


def _decided(design: TestDesign, tastings: int) -> str:
    if_none, if_some = (sizing.decided_by(design, tastings, p_d) for p_d in (0.0, design.p_d))
    return (
        f"By then the test has decided in {percent(if_none)} of sessions if nobody notices, and in "
        f"{percent(if_some)} if {_noticed_in_words(design)}.{_looks_left(design, tastings)}"
    )


def _looks_left(design: TestDesign, tastings: int) -> str:
    """Whether so many tastings end with a look."""
    if design.looks == EACH:
        return ""
    first, every = design.looks.at[0], design.looks.every
    if tastings < first:
        return f" The first look comes after {first} answers: plan at least that many."
    after = (tastings - first) % every
    if not after:
        return ""
    return (
        f" The last look comes after {tastings - after} answers; later ones count for the "
        f"estimates only. Plan {tastings - after} or {tastings - after + every} tastings."
    )
