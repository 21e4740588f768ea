"""The report of a closed session: one HTML file that holds what a test report has to say.

What it has to say: ISO 4120:2021, ISO 5495:2005 and ISO 10399:2017, each in its last clause, "Test
report" (titles of the clauses from memory). It shows the serving key, so there is none before
the session is closed.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib.metadata import version as installed_version

from tasting.drink.change import ADDING_UP, changes
from tasting.drink.composition import compose
from tasting.drink.formula import Version
from tasting.drink.label import Reference
from tasting.drink.mixture import NAMES, NOT_COMPUTABLE
from tasting.drink.words import likely
from tasting.insight.findings.finding import Finding
from tasting.panel.conduct import Conduct
from tasting.panel.plan import Plan
from tasting.panel.session import Session
from tasting.report.plan_facts import plan_facts
from tasting.report.printing import page
from tasting.report.strip import strip_of
from tasting.wording import UNKNOWN, day, decimals

Drink = Version | Reference
_NOT_RECORDED = "not recorded"
_FIGURES = ("alcohol_percent_vol", "energy_kcal_per_l", "sugar_g_per_l", "ta_g_per_l", "ph")


@dataclass(frozen=True, slots=True)
class FigureRow:
    """One figure of both samples, each with what it may be; `difference`: B less A."""

    name: str
    a: str
    b: str
    difference: str


@dataclass(frozen=True, slots=True)
class Happened:
    """Something that happened, and when, in UTC."""

    when: str
    what: str
    detail: str


def session_report_html(session: Session, finding: Finding, a: Drink, b: Drink) -> str:
    """The report as a page of its own, to keep, to send and to print on A4 or Letter.

    finding: the session's finding, which exists only once it is closed; a, b: the two drinks
    """
    return page(
        "session_report.html",
        session=session,
        finding=finding,
        plan=plan_facts(session.plan),
        conduct=_conduct(session.plan),
        samples=((session.plan.a.name, _preparation(a)), (session.plan.b.name, _preparation(b))),
        figures=figure_rows(a, b),
        numbers=list(finding.evidence.numbers(finding.tally)),
        strip=strip_of(finding),
        ending=ending(session),
        deviations=list(_deviations(session)),
        events=[Happened(_moment(one.at), one.what, one.detail) for one in session.events],
        remarks=[(one.assessor, one.remark) for one in session.counted_answers if one.remark],
        opened=_moment(session.opened_at),
        closed=_moment(session.closed_at),
        program=f"tasting {installed_version('tasting')}",
    )


def summary(session: Session, finding: Finding) -> str:
    """The finding in one paragraph, to paste into a message."""
    plan = session.plan
    invented = "Invented data. " if session.invented else ""
    test = plan.procedure.name.split(" (")[0]
    what = f"{session.name}: {test}, {plan.a.name} and {plan.b.name}, {day(session.closed_at)}."
    return f"{invented}{what} {finding.headline}. {finding.sentences[0]}"


def ending(session: Session) -> str:
    """Whether all planned answers were in, else why it was closed early."""
    if not session.early:
        return "with all planned answers"
    given, planned = len(session.answers), session.plan.tastings
    if not session.early_reason:
        return f"with {given} of at most {planned} answers, as the sequential test had decided"
    return f"early, with {given} of {planned} planned answers: {session.early_reason}"


def _conduct(plan: Plan) -> Mapping[str, str]:
    said, people = plan.conduct or Conduct(), len(plan.assessors)
    listed = {
        "Led by": said.led_by,
        "Assessors": f"{people}; {said.qualification or 'qualification not recorded'}",
        "Room and conditions": said.room,
        "Palate cleanser": said.palate_cleanser,
        "Preparation of the samples": said.preparation,
        "Spitting": "assessors spit" if plan.spit else "not asked for",
        "Allergens declared": ", ".join(plan.allergens) or "none",
    }
    return {name: text or _NOT_RECORDED for name, text in listed.items()}


def _preparation(drink: Drink) -> str:
    """A recipe as it is mixed; of a reference what its label says of itself."""
    if isinstance(drink, Reference):
        return drink.source_note or "A reference: see its label."
    parts = ", ".join(f"{part.amount} {part.ingredient.name}" for part in drink.parts)
    servings = f" for {drink.servings:g} servings" if drink.servings != 1 else ""
    return f"{parts}{servings}."


def figure_rows(a: Drink, b: Drink) -> list[FigureRow]:
    """What is in both drinks, figure by figure: what their difference is made of."""
    return [_figure(name, a, b) for name in _FIGURES]


def _figure(name: str, a: Drink, b: Drink) -> FigureRow:
    figure = NAMES[name]
    unit = f", {figure.unit}" if figure.unit else ""
    title = f"{figure.name[:1].upper()}{figure.name[1:]}{unit}" if name != "ph" else "pH"
    return FigureRow(title, _value(name, a), _value(name, b), _difference(name, a, b))


def _difference(name: str, a: Drink, b: Drink) -> str:
    if name in ADDING_UP and not isinstance(a, Reference) and not isinstance(b, Reference):
        change = changes(b, a)[name].value
        return UNKNOWN if change is None else NAMES[name].change(change)
    of_a, of_b = (_known(name, drink) for drink in (a, b))
    if of_a is None or of_b is None:
        return UNKNOWN
    return NAMES[name].change(of_b - of_a)


def _known(name: str, drink: Drink) -> float | None:
    known: float | None = getattr(drink if isinstance(drink, Reference) else compose(drink), name)
    return known


def _value(name: str, drink: Drink) -> str:
    """Computed with its likely range, or printed or measured."""
    if isinstance(drink, Reference):
        return NAMES[name].bare(getattr(drink, name))
    made = compose(drink)
    if name in made.unknown:
        return f"{NOT_COMPUTABLE} ({likely(name, made.intervals[name])})"
    return f"{NAMES[name].bare(getattr(made, name))} ({likely(name, made.intervals[name])})"


def _deviations(session: Session) -> Iterator[str]:
    """What was otherwise than planned."""
    if session.early:
        yield f"Closed {ending(session)}."
    for gone in session.exclusions:
        yield f"{gone.assessor} was excluded before unblinding: {gone.reason}"
    for change in session.amendments:
        yield f"{change.assessor}, set {change.replicate}, was corrected: {change.reason}"


def _moment(at: datetime | None) -> str:
    if at is None:
        return UNKNOWN
    at = at.astimezone(UTC)
    return f"{day(at)}, {decimals(at.hour, 0).zfill(2)}:{decimals(at.minute, 0).zfill(2)} UTC"
