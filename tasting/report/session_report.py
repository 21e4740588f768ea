"""The report of a closed session: one HTML file that holds what a test report has to say.

What it has to say: ISO 4120:2021, ISO 5495:2005 and ISO 10399:2017, each in its last clause, "Test
report" (titles of the clauses from memory). It shows the serving key, so there is none before
the session is closed.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib.metadata import version as installed_version

from tasting.drink.label import Reference
from tasting.insight.findings.finding import Finding
from tasting.panel.conduct import Conduct
from tasting.panel.plan import Plan
from tasting.panel.session import Session
from tasting.report.figure_rows import Drink, figure_rows
from tasting.report.plan_facts import plan_facts
from tasting.report.printing import page
from tasting.report.strip import strip_of
from tasting.wording import UNKNOWN, day, decimals

_NOT_RECORDED = "not recorded"


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
    return f"{invented}{what} {finding.headline}. {finding.sentences[0]} {finding.others}".strip()


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
