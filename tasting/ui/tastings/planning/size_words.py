"""What the plan page says about the number of tastings: pure sentences, no widgets."""

from dataclasses import dataclass
from typing import Literal

from tasting.panel import sizing
from tasting.panel.methods import Method
from tasting.panel.plan import Letter, Plan
from tasting.stats import sequential
from tasting.ui.page import percent


@dataclass(frozen=True, slots=True)
class Asked:
    """What the session shall be able to show, as chosen on the page.

    d_prime: the sensory distance, where the size goes by it
    false_alarms: for a method without a chance of guessing, how often a difference is expected to
        be reported where there is none
    """

    aim: Literal["difference", "similarity"] = "difference"
    is_sequential: bool = False
    no_preference: bool = False
    alpha: float = 0.05
    beta: float = 0.2
    p_d: float = 0.3
    d_prime: float | None = None
    false_alarms: float = sizing.FALSE_ALARMS

    @property
    def in_words(self) -> str:
        """The difference that matters: "30 % of tastings notice"."""
        distance = "" if self.d_prime is None else f" (d′ = {self.d_prime:g})"
        return f"{share(self.p_d)} of tastings notice{distance}"

    @property
    def fields(self) -> dict[str, object]:
        """What of it goes into the plan."""
        return {
            "aim": self.aim,
            "sequential": self.is_sequential,
            "no_preference": self.no_preference,
            "alpha": self.alpha,
            "beta": self.beta,
            "p_d": self.p_d,
        }


def share(p_d: float) -> str:
    """A share in per cent with three digits at most: 3.38 %, 30 %."""
    return f"{100 * p_d:.3g} %"


def needed(method: Method, asked: Asked, expected: Letter | None) -> str:
    """How many tastings it takes. Raises InputError where that cannot be planned."""
    if method.psychometric is None:
        return _contrast(method, asked)
    if asked.is_sequential:
        return _sequential(method, asked)
    if asked.aim == "similarity":
        return _similar(method, asked)
    return _different(method, asked, one_sided=expected is not None)


def _different(method: Method, asked: Asked, one_sided: bool) -> str:
    size = sizing.panel_size(
        method, alpha=asked.alpha, beta=asked.beta, p_d=asked.p_d, one_sided=one_sided
    )
    return (
        f"To show a difference that {asked.in_words} takes **{size.n} tastings**: at n = {size.n}, "
        f"{size.critical_number} or more counted answers show it (actual α = {size.alpha:.3f}, "
        f"exact power {percent(size.power)}). "
        f"From {size.stable_n} on the power stays at {percent(1 - asked.beta)} or more."
    )


def _similar(method: Method, asked: Asked) -> str:
    size = sizing.similarity_size(method, asked.alpha, asked.beta, asked.p_d)
    return (
        f"To show that fewer than {asked.in_words} takes **{size.n} tastings**: at n = {size.n}, "
        f"{size.largest} or fewer correct answers show it (actual β = {size.beta:.3f}; if nobody "
        f"notices, the score stays that low with {percent(size.power)}). From {size.stable_n} on "
        f"that stays at {percent(1 - asked.alpha)} or more. With {percent(size.below_chance)} the "
        "score is even below chance, from which nothing is concluded."
    )


def _sequential(method: Method, asked: Asked) -> str:
    test = sequential.wald_test(method.chance, asked.p_d, asked.alpha, asked.beta)
    if_none, if_some = test.expected_tastings()
    different, similar = test.least_tastings()
    fixed = sizing.panel_size(
        method, alpha=asked.alpha, beta=asked.beta, p_d=asked.p_d, one_sided=True
    )
    return (
        f"Wald's test takes about **{if_none:.0f} tastings** on average if nobody notices, and "
        f"about **{if_some:.0f}** if {asked.in_words}; a test of fixed size would take {fixed.n}. "
        f"At the earliest it shows a difference after {different} answers, similarity after "
        f"{similar}. Plan more than the average: half of the sessions need more."
    )


def _contrast(method: Method, asked: Asked) -> str:
    size = sizing.contrast_size(
        method, asked.d_prime or 0.0, asked.alpha, asked.beta, asked.false_alarms
    )
    return (
        f"To show d′ = {asked.d_prime:g} takes **{size.n} sets**, half of them with a difference: "
        f"it is then expected to be reported for {percent(size.share_some)} of those and for "
        f"{percent(size.share_none)} of the others (Fisher's exact test: actual α = "
        f"{size.alpha:.3f}, exact power {percent(size.power)})."
    )


def outlook(plan: Plan, asked: Asked) -> str:
    """What this panel's tastings can show."""
    people, sets = len(plan.assessors), plan.replicates
    count = f"{people} assessors × {sets} = **{plan.tastings} tastings**"
    return f"{count}: {_chance(plan, asked)}"


def _chance(plan: Plan, asked: Asked) -> str:
    method = plan.procedure
    if plan.sequential:
        return _decided(plan, asked)
    if plan.aim == "similarity":
        limit = sizing.similarity_reach(method, plan.tastings, plan.alpha, plan.beta)
        return (
            f"if nobody notices, they can be expected to show that fewer than "
            f"{share(limit.p_d or 1.0)} notice (d′ = {limit.d_prime:.2f}), and not much less."
        )
    if method.psychometric is None:
        power = sizing.contrast_power_of(
            method, plan.tastings, plan.alpha, asked.d_prime or 1.0, asked.false_alarms
        )
        return f"exact power {percent(power)} for d′ = {asked.d_prime:g}. {_reach(plan, asked)}"
    power = sizing.power_of(method, plan.tastings, plan.alpha, plan.p_d, plan.sides)
    return f"exact power {percent(power)} for a difference that {asked.in_words}. " + _reach(
        plan, asked
    )


def _reach(plan: Plan, asked: Asked) -> str:
    found = sizing.reach(
        plan.procedure,
        plan.tastings,
        plan.alpha,
        plan.beta,
        one_sided=plan.expected is not None,
        false_alarms=asked.false_alarms,
    )
    if found.p_d is None and found.d_prime is None:
        return (
            "However large the difference, so few tastings show it with less than "
            f"{percent(1 - plan.beta)}."
        )
    said = [f"p_d = {share(found.p_d)}"] if found.p_d is not None else []
    said += [f"d′ = {found.d_prime:.2f}"] if found.d_prime is not None else []
    return f"With a power of {percent(1 - plan.beta)} they show {' or '.join(said)} and more."


def _decided(plan: Plan, asked: Asked) -> str:
    test = plan.wald_test
    if_none = sum(sequential.chance_of_decision(test, plan.tastings, 0.0))
    if_some = sum(sequential.chance_of_decision(test, plan.tastings, plan.p_d))
    return (
        f"the test has decided by then with {percent(if_none)} if nobody notices, and with "
        f"{percent(if_some)} if {asked.in_words}."
    )
