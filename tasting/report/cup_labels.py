"""Labels to cut out and stick on the cups; they tell codes, and nothing of what is in a cup."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tasting.panel.ballots import Slip
from tasting.report.printing import page


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


def cup_labels_html(session: str, slips: Sequence[Slip], alone: bool) -> str:
    """The labels as an HTML page of its own, with lines to cut along."""
    return page("cup_labels.html", session=session, labels=cup_labels(slips), alone=alone)
