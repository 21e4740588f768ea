"""The pour sheet, in the order in which hands work: label the cups, fill them, set the trays.

Whoever reads it knows the key of the session, so it must not be seen by anyone who tastes.
"""

from dataclasses import dataclass

from tasting.panel.design import Letter
from tasting.panel.serving import ServingSet
from tasting.panel.session import Session
from tasting.report.printing import page
from tasting.wording import percent, short

MARGIN = 0.1
"""Share poured on top of the cups' volume for losses; common practice, no source."""


@dataclass(frozen=True, slots=True)
class FillRow:
    """The cups of one assessor that get one sample.

    references: the sets whose cup, marked as the reference, gets it too
    """

    assessor: str
    codes: tuple[str, ...]
    references: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Fill:
    """What one sample needs: the cups to fill assessor by assessor, and the volume."""

    letter: Letter
    name: str
    rows: tuple[FillRow, ...]
    cups: int
    volume_ml: float


@dataclass(frozen=True, slots=True)
class PourSheet:
    """Both samples to fill, and the trays to set: one set a row, cups from left to right.

    references: cups that are marked as the reference, not with a code
    """

    session: Session
    fills: tuple[Fill, ...]
    trays: tuple[ServingSet, ...]

    @property
    def cups(self) -> int:
        """All cups, with those marked as the reference."""
        return sum(fill.cups for fill in self.fills)

    @property
    def references(self) -> int:
        """Cups that are marked as the reference."""
        return sum(bool(tray.reference) for tray in self.trays)


def pour_sheet(session: Session) -> PourSheet:
    """The sheet of an open session."""
    seat_of = {who: seat for seat, who in enumerate(session.plan.assessors)}
    trays = sorted(session.sets, key=lambda served: (seat_of[served.assessor], served.replicate))
    plan = session.plan
    return PourSheet(
        session=session,
        fills=(_fill(session, "A", plan.a.name), _fill(session, "B", plan.b.name)),
        trays=tuple(trays),
    )


def _fill(session: Session, letter: Letter, name: str) -> Fill:
    rows = [_row(session, who, letter) for who in session.plan.assessors]
    cups = sum(len(row.codes) + len(row.references) for row in rows)
    volume_ml = cups * session.plan.serving_ml * (1 + MARGIN)
    filled = tuple(row for row in rows if row.codes or row.references)
    return Fill(letter, name, filled, cups, volume_ml)


def _row(session: Session, who: str, letter: Letter) -> FillRow:
    own = [served for served in session.sets if served.assessor == who]
    codes = (code for served in own for code in served.codes if served.sample_of(code) == letter)
    references = (served.replicate for served in own if served.reference == letter)
    return FillRow(who, tuple(codes), tuple(references))


def pour_sheet_html(sheet: PourSheet, address: str = "") -> str:
    """The sheet as an HTML page of its own, to print in black and white on A4 or Letter.

    address: where it is served; on a screen, labels and a way to put it away are offered there
    """
    return page(
        "pour_sheet.html",
        sheet=sheet,
        plan=sheet.session.plan,
        margin=percent(MARGIN),
        short=short,
        address=address,
    )
