"""What a plan fixes, as a table to read: before the first answer and after the last."""

from tasting.panel.plan import Plan
from tasting.panel.sizing import power_of
from tasting.panel.sizing_words import looks_in_words
from tasting.wording import appointment, decimals, percent, short


def plan_facts(plan: Plan) -> dict[str, str]:
    """What is fixed, by its name."""
    people, sets = len(plan.assessors), plan.replicates
    many = "assessor" if people == 1 else "assessors"
    facts = {
        "Method": f"{plan.procedure.name} ({plan.procedure.standard})",
        "Question": plan.question,
        "Sample A": plan.a.name,
        "Sample B": plan.b.name,
        "Direction": _direction(plan),
        "Risk of a false alarm": f"α = {plan.alpha:g}",
        _not_missed(plan): percent(plan.p_d) if _of_liking(plan) else f"p_d = {plan.p_d:g}",
        f"Risk of missing a {'lead' if _of_liking(plan) else 'difference'} this large": _beta(plan),
        "Tastings": f"{people} {many} × {sets} {'set' if sets == 1 else 'sets'} = {plan.tastings}",
        "Planned for": appointment(plan.taste_on, plan.taste_at),
        "Cup": _cup(plan),
        "Rest between sets": f"{plan.pause_seconds} s" if plan.pause_seconds else "none",
    }
    if plan.sequential:
        facts["Sequential test"] = looks_in_words(plan.design.looks)
    if plan.taste_on is None and plan.taste_at is None:
        del facts["Planned for"]
    if not plan.design.has_chance:
        del facts[_not_missed(plan)]
    return facts


def _not_missed(plan: Plan) -> str:
    """What p_d is: of a preference a lead."""
    return f"{'Lead' if _of_liking(plan) else 'Share who notice'} not to be missed"


def _of_liking(plan: Plan) -> bool:
    """Whether it is a preference, in which nobody guesses."""
    return not plan.procedure.measures_distance


def _beta(plan: Plan) -> str:
    """The risk that was asked for, and the one that so many tastings have where it is larger."""
    met, asked, design = f"β = {plan.beta:g}", f"β asked for: {plan.beta:g}", plan.design
    if design.sequential or design.aim == "similarity":
        return met
    if design.method.two_choices and plan.replicates > 1 and len(plan.assessors) > 1:
        return f"{asked}; the test counts assessors, so it may be larger"
    beta = 1 - power_of(design, plan.tastings)
    if decimals(beta, 2) <= decimals(plan.beta, 2):
        return met
    return f"{asked}; with {plan.tastings} tastings {decimals(beta, 2)}"


def _direction(plan: Plan) -> str:
    """One- or two-sided, and why."""
    if plan.expected:
        return f"one-sided: sample {plan.expected} was expected to be {plan.attribute}"
    if plan.sides == 1:
        return "one-sided, as in every difference test"
    return "two-sided: either sample could be chosen more often"


def _cup(plan: Plan) -> str:
    cold = "" if plan.serving_celsius is None else f", {short(plan.serving_celsius)} °C"
    soon = f", within {plan.minutes_open} min of opening" if plan.minutes_open else ""
    return f"{plan.serving_ml:g} mL{cold}{soon}"
