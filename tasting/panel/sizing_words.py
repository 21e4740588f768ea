"""How many tastings a test design needs, and what a panel can detect, in sentences."""

from tasting.panel import sizing
from tasting.panel.design import TestDesign
from tasting.panel.sizing import Reach
from tasting.stats.power import PanelSize
from tasting.wording import decimals, percent, share


def title(design: TestDesign) -> str:
    """The method, and whether its direction was fixed beforehand."""
    return f"{design.method.name}, {'one' if design.sides == 1 else 'two'}-sided"


def counted(design: TestDesign) -> str:
    """What is counted."""
    if design.method.question_kind == "difference" or design.method.directional_b:
        return "correct answers"
    if design.sides == 1:
        return "choices of the expected sample"
    return "choices of one of the two samples"


def difference_in_words(design: TestDesign) -> str:
    """The difference that is not to be missed: "30 % of tastings notice"."""
    distance = "" if design.d_prime is None else f" (d′ = {design.d_prime:g})"
    return f"{share(design.p_d)} of tastings notice{distance}"


def needed(design: TestDesign) -> tuple[str, ...]:
    """How many tastings it takes, the number first. Raises InputError where none can be said."""
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
        f"They show a difference that {difference_in_words(design)}: actual α = {size.alpha:.4f}, "
        f"power {share(size.power)} (exact binomial).",
        _lasting(design, size),
    )


def _lasting(design: TestDesign, size: PanelSize) -> str:
    if size.stable_n == size.n:
        return f"With more tastings, power never falls below {percent(design.power)} again."
    return f"From {size.stable_n} on, power stays at {percent(design.power)} or more."


def _similar(design: TestDesign) -> tuple[str, ...]:
    size = sizing.similarity_size(design)
    return (
        f"You need {size.n} tastings (at most {size.largest} {counted(design)}).",
        f"They show that fewer than {difference_in_words(design)}: actual β = {size.beta:.4f}; if "
        f"nobody notices, the score stays that low in {share(size.power)} (exact binomial).",
        f"From {size.stable_n} on, that stays at {percent(1 - design.alpha)} or more.",
        f"In {percent(size.below_chance)} the score is even below chance, from which nothing is "
        "concluded.",
    )


def _sequential(design: TestDesign) -> tuple[str, ...]:
    test = design.wald_test
    if_none, if_some = test.expected_tastings()
    different, similar = test.least_tastings()
    return (
        f"You need about {if_none:.0f} tastings on average if nobody notices, and about "
        f"{if_some:.0f} if {difference_in_words(design)}.",
        f"A test of fixed size takes {sizing.difference_size(design).n}. At the earliest, Wald's "
        f"test shows a difference after {different} answers, similarity after {similar}.",
        "Plan more than the average: half of the sessions need more.",
    )


def _contrast(design: TestDesign) -> tuple[str, ...]:
    size = sizing.contrast_size(design)
    return (
        f"You need {size.n} sets, half of them with a difference.",
        f"At d′ = {design.d_prime:g} a difference is expected to be reported for "
        f"{percent(size.share_some)} of those and for {percent(size.share_none)} of the others: "
        f"actual α = {size.alpha:.4f}, power {share(size.power)} (Fisher's exact test).",
    )


def outlook(design: TestDesign, tastings: int) -> tuple[str, ...]:
    """What so many tastings can show."""
    if design.sequential:
        return (_decided(design, tastings),)
    if design.aim == "similarity":
        return (similarity_reach_in_words(design, tastings),)
    power = percent(sizing.power_of(design, tastings))
    difference = f"a difference that {difference_in_words(design)}"
    if not design.has_chance:
        difference = f"d′ = {design.d_prime or 1.0:g}"
    return f"Power {power} for {difference}.", reach_in_words(design, tastings)


def reach_in_words(design: TestDesign, tastings: int) -> str:
    """The smallest difference that so many tastings detect."""
    reach = sizing.reach(design, tastings)
    power = percent(design.power)
    if reach.p_d is None and reach.d_prime is None:
        return f"However large the difference, {tastings} tastings detect it in less than {power}."
    return f"At {power} power, {tastings} tastings detect {_difference(reach)} or more."


def _difference(reach: Reach) -> str:
    distance = "" if reach.d_prime is None else f"d′ = {decimals(reach.d_prime, 2)}"
    if reach.p_d is None:
        return distance
    return f"p_d = {share(reach.p_d)}" + (f" ({distance})" if distance else "")


def similarity_reach_in_words(design: TestDesign, tastings: int) -> str:
    """The share below which so many tastings can be expected to show it."""
    return (
        f"If nobody notices, {tastings} tastings can be expected to show that fewer than "
        f"{_difference(sizing.similarity_reach(design, tastings))} notice, and not much less."
    )


def _decided(design: TestDesign, tastings: int) -> str:
    if_none, if_some = (sizing.decided_by(design, tastings, p_d) for p_d in (0.0, design.p_d))
    return (
        f"The test has decided by then in {percent(if_none)} if nobody notices, and in "
        f"{percent(if_some)} if {difference_in_words(design)}."
    )
