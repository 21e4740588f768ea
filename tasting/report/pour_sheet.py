"""The pour sheet, in the order in which hands work: label the cups, fill them, set the trays.

Whoever reads it knows the key of the session, so it must not be seen by anyone who tastes.
"""

from dataclasses import dataclass, replace

from tasting.drink.batch import Kit, batch
from tasting.drink.formula import Version
from tasting.drink.label import Reference
from tasting.errors import InputError
from tasting.panel.design import Letter
from tasting.panel.serving import ServingSet
from tasting.panel.session import Session
from tasting.report.batch_sheet import SheetLine, batch_sheet
from tasting.report.printing import page
from tasting.wording import percent, short

Drink = Version | Reference
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
    """What one sample needs: the cups to fill assessor by assessor, and the volume.

    recipe: what to measure for that volume; empty for a bottle
    too_little: why the volume cannot be measured out, if it cannot
    """

    letter: Letter
    name: str
    rows: tuple[FillRow, ...]
    cups: int
    volume_ml: float
    recipe: tuple[SheetLine, ...] = ()
    too_little: str = ""


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


def pour_sheet(
    session: Session, drinks: tuple[Drink, Drink] | None = None, kit: Kit | None = None
) -> PourSheet:
    """The sheet of an open session.

    drinks: both samples, whose recipes are then scaled to what is poured and rounded to the kit
    """
    seat_of = {who: seat for seat, who in enumerate(session.plan.assessors)}
    trays = sorted(session.sets, key=lambda served: (seat_of[served.assessor], served.replicate))
    plan = session.plan
    return PourSheet(
        session=session,
        fills=(
            _made(_fill(session, "A", plan.a.name), drinks[0] if drinks else None, kit),
            _made(_fill(session, "B", plan.b.name), drinks[1] if drinks else None, kit),
        ),
        trays=tuple(trays),
    )


def _fill(session: Session, letter: Letter, name: str) -> Fill:
    rows = [_row(session, who, letter) for who in session.plan.assessors]
    cups = sum(len(row.codes) + len(row.references) for row in rows)
    volume_ml = cups * session.plan.serving_ml * (1 + MARGIN)
    filled = tuple(row for row in rows if row.codes or row.references)
    return Fill(letter, name, filled, cups, volume_ml)


def _made(fill: Fill, drink: Drink | None, kit: Kit | None) -> Fill:
    """With the recipe, scaled to the volume and rounded to what the host measures with."""
    if not isinstance(drink, Version):
        return fill
    try:
        made = batch(drink, litres=fill.volume_ml / 1000, kit=kit)
    except InputError as error:
        return replace(fill, too_little=str(error))
    return replace(fill, recipe=batch_sheet(drink.label, made).lines)


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
