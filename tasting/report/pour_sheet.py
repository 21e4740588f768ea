"""The pour sheet, in the order in which hands work: label the cups, fill them, set the trays.

Whoever reads it knows the key of the session, so it must not be seen by anyone who tastes.
"""

from dataclasses import dataclass

from jinja2 import Environment, PackageLoader, StrictUndefined

from tasting.panel.plan import Letter
from tasting.panel.serving import ServingSet
from tasting.panel.session import Session

MARGIN = 0.1
"""Share poured on top of the cups' volume for losses; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Fill:
    """What one sample needs: the codes to fill assessor by assessor, and the volume.

    references: cups of it that are marked as the reference, not with a code
    """

    letter: Letter
    name: str
    codes: tuple[tuple[str, tuple[str, ...]], ...]
    references: int
    cups: int
    volume_ml: float


@dataclass(frozen=True, slots=True)
class PourSheet:
    """Both samples to fill, and the trays to set: one set a row, cups from left to right."""

    session: str
    invented: str
    sealed: str
    serving_ml: float
    serving_celsius: float | None
    minutes_open: int | None
    fills: tuple[Fill, ...]
    trays: tuple[ServingSet, ...]


def pour_sheet(session: Session) -> PourSheet:
    """The sheet of an open session."""
    trays = sorted(session.sets, key=lambda served: (served.replicate, _seat(session, served)))
    plan = session.plan
    return PourSheet(
        session=session.name,
        invented=session.invented,
        sealed=session.sealed,
        serving_ml=plan.serving_ml,
        serving_celsius=plan.serving_celsius,
        minutes_open=plan.minutes_open,
        fills=(_fill(session, "A", plan.a.name), _fill(session, "B", plan.b.name)),
        trays=tuple(trays),
    )


def _seat(session: Session, served: ServingSet) -> int:
    return session.plan.assessors.index(served.assessor)


def _fill(session: Session, letter: Letter, name: str) -> Fill:
    rows = tuple((who, _codes(session, who, letter)) for who in session.plan.assessors)
    references = sum(served.reference == letter for served in session.sets)
    cups = sum(len(codes) for _, codes in rows) + references
    volume_ml = cups * session.plan.serving_ml * (1 + MARGIN)
    return Fill(letter, name, rows, references, cups, volume_ml)


def _codes(session: Session, who: str, letter: Letter) -> tuple[str, ...]:
    return tuple(
        code
        for served in session.sets
        if served.assessor == who
        for code in served.codes
        if served.sample_of(code) == letter
    )


def pour_sheet_html(sheet: PourSheet) -> str:
    """The sheet as an HTML page of its own, to print in black and white on A4 or Letter."""
    loader = PackageLoader("tasting", "report")
    environment = Environment(loader=loader, autoescape=True, undefined=StrictUndefined)
    return environment.get_template("pour_sheet.html").render(sheet=sheet, margin=MARGIN)
