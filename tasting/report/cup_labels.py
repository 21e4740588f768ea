"""Labels to cut out and stick on the cups; they tell codes, and nothing of what is in a cup."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tasting.panel.ballots import Slip
from tasting.panel.design import Letter
from tasting.panel.session import Session
from tasting.report.printing import page

_ACROSS, _DOWN = 4, 7
"""Labels on a sheet, which A4 and Letter have room for."""


@dataclass(frozen=True, slots=True)
class Label:
    """The label of one cup; without a code it is that of the cup marked as the reference."""

    assessor: str
    replicate: int
    code: str


def cup_labels(slips: Sequence[Slip]) -> tuple[Label, ...]:
    """A label for each cup, tray by tray from left to right."""
    return tuple(label for slip in slips for label in _labels(slip))


def _labels(slip: Slip) -> Iterator[Label]:
    for code in ("", *slip.codes) if slip.reference else slip.codes:
        yield Label(slip.assessor, slip.replicate, code)


def cup_labels_html(session: str, slips: Sequence[Slip], *, invented: bool = False) -> str:
    """The labels as an HTML page of its own, with lines to cut along."""
    return page("cup_labels.html", session=session, labels=cup_labels(slips), invented=invented)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet of labels of a stack, printed on both sides.

    labels: in rows from left to right as they lie with the letter up; None where there is none
    """

    letter: Letter
    rows: tuple[tuple[Label | None, ...], ...]

    @property
    def turned(self) -> tuple[tuple[Label | None, ...], ...]:
        """The same rows seen from behind, when the sheet is turned over its long edge."""
        return tuple(row[::-1] for row in self.rows)


def label_stacks(session: Session) -> tuple[Sheet, ...]:
    """The labels of who tastes alone: a stack for each sample, so that no code has to be read."""
    return tuple(
        sheet for letter in ("A", "B") for sheet in _sheets(letter, [*_stack(session, letter)])
    )


def _stack(session: Session, letter: Letter) -> Iterator[Label]:
    for served in sorted(session.sets, key=lambda one: one.replicate):
        if served.reference == letter:
            yield Label(served.assessor, served.replicate, "")
        for code in sorted(served.codes):
            if served.sample_of(code) == letter:
                yield Label(served.assessor, served.replicate, code)


def _sheets(letter: Letter, labels: Sequence[Label]) -> Iterator[Sheet]:
    for start in range(0, len(labels), _ACROSS * _DOWN):
        here = labels[start : start + _ACROSS * _DOWN]
        padded = (*here, *[None] * (-len(here) % _ACROSS))
        rows = (padded[at : at + _ACROSS] for at in range(0, len(padded), _ACROSS))
        yield Sheet(letter, tuple(rows))


def label_stacks_html(session: Session) -> str:
    """The stacks as an HTML page of its own, to print on both sides; a screen shows no code."""
    return page("label_stacks.html", session=session, sheets=label_stacks(session))
