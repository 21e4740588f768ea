"""The workshop's programme in 2026: which comparison on which evening, and why.

The contrasts are chosen so that the truth can be found again from the answers: acid alone, sugar
alone, both in the same and in opposite directions, small and large, and with the reference.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import count

from sample_sessions.recipes import BOTTLE
from tasting.panel.design import Letter
from tasting.panel.session import State


@dataclass(frozen=True, slots=True)
class Evening:
    """One comparison.

    a, b: ids of the drinks
    people: how many assessors, or the pseudonym of the only one
    day: day of the tasting; it is planned the day before
    answered: how many answers are in, if not all; a closed session has an `early_reason` for it
    """

    name: str
    purpose: str
    method: str
    a: str
    b: str
    day: str
    people: int | str = 12
    replicates: int = 2
    attribute: str = ""
    expected: Letter | None = None
    answered: int | None = None
    early_reason: str = ""
    state: State = "closed"
    id: str = ""

    @property
    def assessors(self) -> tuple[str, ...]:
        """Their pseudonyms."""
        if isinstance(self.people, str):
            return (self.people,)
        return tuple(f"P{number:02d}" for number in range(1, self.people + 1))

    @property
    def serving_ml(self) -> float:
        """Volume of a cup: the more sets, the smaller, so that nobody gets more than a glass."""
        return {1: 30.0, 2: 20.0, 3: 20.0}.get(self.replicates, 10.0)


def evenings() -> tuple[Evening, ...]:
    """The whole programme in order of time, with ids."""
    return tuple(_numbered((*CLOSED, OPEN, PLANNED)))


def _numbered(programme: tuple[Evening, ...]) -> Iterator[Evening]:
    for number, evening in zip(count(1), programme, strict=False):
        yield replace(evening, id=f"session-{number:02d}")


CLOSED = (
    Evening(
        "Is the pinch of citric acid noticed?",
        "Acid alone: 0.2 g of citric acid in a serving.",
        "triangle",
        "spritz-01",
        "spritz-02",
        "2026-02-05",
    ),
    Evening(
        "Is less syrup noticed?",
        "Sugar alone: 4 mL of syrup less in a serving.",
        "triangle",
        "spritz-01",
        "spritz-03",
        "2026-02-12",
    ),
    Evening(
        "Does the pinch make it more sour?",
        "The direction is plain beforehand, so it is asked one-sided.",
        "paired",
        "spritz-01",
        "spritz-02",
        "2026-02-19",
        people=10,
        attribute="more sour",
        expected="B",
    ),
    Evening(
        "Both steps at once",
        "More acid and less sugar pull the same way: a small panel should do.",
        "triangle",
        "spritz-01",
        "spritz-04",
        "2026-02-26",
        people=8,
    ),
    Evening(
        "Is half the pinch noticed?",
        "Acid alone, a small step: worth three sets each.",
        "triangle",
        "spritz-02",
        "spritz-05",
        "2026-03-05",
        replicates=3,
    ),
    Evening(
        "Which is sweeter, with or without the syrup?",
        "Asked two-sided, as a check on the panel.",
        "paired",
        "spritz-01",
        "spritz-03",
        "2026-03-12",
        attribute="sweeter",
    ),
    Evening(
        "Malic against citric at the same acidity",
        "If titratable acidity is what counts, nothing should be noticed.",
        "triangle",
        "spritz-05",
        "spritz-06",
        "2026-03-19",
    ),
    Evening(
        "Sour and sweet raised together",
        "Do they hide each other?",
        "triangle",
        "spritz-01",
        "spritz-07",
        "2026-03-26",
    ),
    Evening(
        "Does more syrup hide the acid?",
        "The acid is the same in both; two-sided, because it was not clear to us beforehand.",
        "paired",
        "spritz-02",
        "spritz-07",
        "2026-04-02",
        people=10,
        attribute="more sour",
    ),
    Evening(
        "Preference: less syrup, with or without the pinch",
        "One set each, because repeated likings of one person are not independent.",
        "preference",
        "spritz-03",
        "spritz-04",
        "2026-04-09",
        replicates=1,
    ),
    Evening(
        "Verjus for lemon",
        "A change of source that also brings some acid.",
        "triangle",
        "spritz-03",
        "spritz-08",
        "2026-04-16",
        people=10,
        answered=13,
        early_reason="The verjus ran out after 13 sets.",
    ),
    Evening(
        "Is more syrup noticed?",
        "Sugar alone again, upwards and at a higher acidity.",
        "triangle",
        "spritz-02",
        "spritz-07",
        "2026-04-23",
        people=10,
    ),
    Evening(
        "Which is sweeter, spirit or wine base?",
        "The wine base has a little more sugar and a little less acid; asked two-sided.",
        "paired",
        "spritz-04",
        "spritz-09",
        "2026-05-07",
        people=9,
        attribute="sweeter",
    ),
    Evening(
        "Sharp and dry against bottle R",
        "How far is it still?",
        "triangle",
        "spritz-04",
        BOTTLE,
        "2026-05-14",
    ),
    Evening(
        "Acid and sugar matched: is bottle R still noticed?",
        "What is left is the character that acid and sugar do not explain.",
        "triangle",
        "spritz-10",
        BOTTLE,
        "2026-05-21",
        replicates=3,
    ),
    Evening(
        "The same, alone",
        "P03 alone in the kitchen with shuffled cups, eight sets of 10 mL.",
        "triangle",
        "spritz-10",
        BOTTLE,
        "2026-05-28",
        people="P03",
        replicates=8,
    ),
    Evening(
        "Preference: at bottle R's acidity or past it",
        "Where does more acid stop being liked?",
        "preference",
        "spritz-10",
        "spritz-11",
        "2026-06-04",
        replicates=1,
    ),
    Evening(
        "Preference: sharp and dry or past bottle R",
        "The same question over a wider step.",
        "preference",
        "spritz-04",
        "spritz-11",
        "2026-06-11",
        people=11,
        replicates=1,
    ),
    Evening(
        "Is bottle R more sour than sharp and dry?",
        "By its titrated acidity it should be, so one-sided.",
        "paired",
        "spritz-04",
        BOTTLE,
        "2026-06-18",
        people=9,
        attribute="more sour",
        expected="B",
    ),
    Evening(
        "Does the pinch take sweetness away?",
        "Sugar is the same in both; two-sided.",
        "paired",
        "spritz-01",
        "spritz-02",
        "2026-06-25",
        attribute="sweeter",
    ),
    Evening(
        "Is the step past bottle R noticed?",
        "Acid alone at a high acidity.",
        "triangle",
        "spritz-10",
        "spritz-11",
        "2026-07-02",
    ),
    Evening(
        "Preference: the first pour, with or without the pinch",
        "The low end of the acidity scale, with a small panel.",
        "preference",
        "spritz-01",
        "spritz-02",
        "2026-07-09",
        people=6,
        replicates=1,
    ),
    Evening(
        "Bottle R once more, from a new bottle",
        "The same two drinks as before: the findings of both evenings belong together.",
        "triangle",
        "spritz-10",
        BOTTLE,
        "2026-07-14",
    ),
)
OPEN = Evening(
    "Tartaric acid against bottle R",
    "Does tartaric acid close the gap?",
    "triangle",
    "spritz-12",
    BOTTLE,
    "2026-07-16",
    people=10,
    answered=11,
    state="open",
)
PLANNED = Evening(
    "Preference: citric or tartaric acid",
    "To be opened when the open session is closed.",
    "preference",
    "spritz-10",
    "spritz-12",
    "2026-07-17",
    replicates=1,
    state="planned",
)
