"""How many tastings a test design needs, and what a panel can detect, in sentences."""

from tasting.panel import sizing
from tasting.panel.design import TestDesign
from tasting.panel.sizing import Reach
from tasting.stats.looks import look_cost
from tasting.stats.power import PanelSize
from tasting.stats.sequential import EACH, Looks, WaldTest
from tasting.wording import decimals, percent, share

_ENOUGH = 0.8
"""Below this power a panel is warned of; common practice, no source."""
_TIMES = 10


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


def _difference_in_words(design: TestDesign) -> str:
    """The difference that is not to be missed: "that 30 % notice"."""
    if not design.method.measures_distance:
        return f"of {share(design.p_d)} of answers"
    distance = "" if design.d_prime is None else f" (d′ = {design.d_prime:g})"
    return f"that {share(design.p_d)} notice{distance}"


def _thing(design: TestDesign) -> str:
    """What is shown: of a preference a lead."""
    return "difference" if design.method.measures_distance else "lead"


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
        f"They show a {_thing(design)} {_difference_in_words(design)}: actual "
        f"α = {size.alpha:.4f}, power {share(size.power)} (exact binomial).",
        _lasting(design, size),
    )


def _lasting(design: TestDesign, size: PanelSize) -> str:
    if size.lasting_n == size.n:
        return f"With more tastings, power never falls below {percent(design.power)} again."
    return f"From {size.lasting_n} on, power stays at {percent(design.power)} or more."


def _similar(design: TestDesign) -> tuple[str, ...]:
    size = sizing.similarity_size(design)
    return (
        f"You need {size.n} tastings (at most {size.largest} {counted(design)}).",
        f"They show that fewer than {_share_in_words(design)}: actual β = {size.beta:.4f}; if "
        f"nobody notices, the score stays that low in {share(size.power)} (exact binomial).",
        f"From {size.lasting_n} on, that stays at {percent(1 - design.alpha)} or more.",
        f"If nobody notices, {percent(size.below_chance)} of sessions score below guessing; "
        "these do not show similarity.",
    )


def _share_in_words(design: TestDesign) -> str:
    return _difference_in_words(design).removeprefix("that ")


def _sequential(design: TestDesign) -> tuple[str, ...]:
    test = design.wald_test
    if_none, if_some = test.expected_tastings()
    return (
        f"You need about {if_none:.0f} tastings on average if nobody notices, and about "
        f"{if_some:.0f} if {_share_in_words(design)}.",
        f"A test of fixed size takes {_fixed(design)}. {_earliest(design)}",
        *(() if test.looks == EACH else _spent(test)),
        "Plan more than the average: many sessions need more.",
    )


def _earliest(design: TestDesign) -> str:
    """When it may decide, and what."""
    test, looks = design.wald_test, design.looks
    if looks != EACH:
        return (
            f"Wald's test {looks_in_words(looks)}; at each look it may show a difference, and "
            f"{_lower_line(design).rstrip(',')}."
        )
    different, lower = test.least_tastings()
    return (
        f"At the earliest, Wald's test shows a difference after {different} answers, and "
        f"{_lower_line(design)} after {lower}."
    )


def _spent(test: WaldTest) -> tuple[str, str]:
    """What the looks make of the risks, and what the moment of a stop tells."""
    cost = look_cost(test)
    return (
        f"With these looks the actual risks are α = {cost.alpha:.3f} and β = {cost.beta:.3f}.",
        "Knowing only at which look it stopped, a guess at the decision is correct at most "
        f"{percent(cost.telling)} of the time.",
    )


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
        return f"similarity, at a risk of β = {design.beta:g},"
    return "stops without one"


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
    difference = f"a {_thing(design)} {_difference_in_words(design)}"
    if not design.has_chance:
        difference = f"d′ = {design.d_prime or 1.0:g}{_by_rule(design, tastings)}"
    said = f"Power {percent(power)} for {difference}.", reach_in_words(design, tastings)
    return (*said, _missed(design, tastings, power)) if power < _ENOUGH else said


def _by_rule(design: TestDesign, tastings: int) -> str:
    if design.method.by_reference_rate is None:
        return ""
    informed = percent(sizing.power_of(design, tastings, knowing=True))
    return f", judged by distance from the reference ({informed} if all know what differs)"


def _missed(design: TestDesign, tastings: int, power: float) -> str:
    """Low power in plain words: how often such a panel misses it."""
    times = round(_TIMES * (1 - power))
    often = f"{times} times in {_TIMES}" if times < _TIMES else "nearly always"
    return f"{tastings} tastings would miss this {_thing(design)} {often}."


def reach_in_words(design: TestDesign, tastings: int) -> str:
    """The smallest difference that so many tastings detect."""
    reach = sizing.reach(design, tastings)
    power = percent(design.power)
    if reach.p_d is None and reach.d_prime is None:
        return (
            f"However large the difference, {tastings} tastings detect it with less than {power} "
            "power."
        )
    return f"At {power} power, {tastings} tastings detect {_difference(design, reach)} or more."


def _difference(design: TestDesign, reach: Reach) -> str:
    distance = "" if reach.d_prime is None else f"d′ = {decimals(reach.d_prime, 2)}"
    if reach.p_d is None:
        return distance
    return share_noticed(design, reach.p_d) + (f" ({distance})" if distance else "")


def share_noticed(design: TestDesign, p_d: float) -> str:
    """A share who notice, or of a preference a lead: "p_d = 30 %"."""
    return f"{'p_d =' if design.method.measures_distance else 'a lead of'} {share(p_d)}"


def similarity_reach_in_words(design: TestDesign, tastings: int) -> str:
    """The share below which so many tastings can be expected to show it."""
    reach = _difference(design, sizing.similarity_reach(design, tastings))
    return (
        f"If nobody notices, {tastings} tastings can be expected to show that fewer than {reach} "
        "notice, and not much less."
    )


def _decided(design: TestDesign, tastings: int) -> str:
    if_none, if_some = (sizing.decided_by(design, tastings, p_d) for p_d in (0.0, design.p_d))
    return (
        f"By then the test has decided in {percent(if_none)} of sessions if nobody notices, and in "
        f"{percent(if_some)} if {_share_in_words(design)}.{_looks_left(design, tastings)}"
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
