"""What the answers cannot tell, why, and the session that would remedy it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from tasting.insight.noticing.comparisons import Compared, PooledPair
from tasting.insight.noticing.drivers import Driver, Scale
from tasting.panel.methods import Method
from tasting.wording import number, percent, three_digits

Why = Literal[
    "nothing tasted",
    "nothing varied",
    "level unknown",
    "not modelled",
    "moved together",
    "too little",
    "separation",
    "not shown",
    "not bracketed",
]

# A change below this share of the level is taken for none: the smallest cut of sugar that tasters
# of fruit nectars noticed was 4.2 % (2018, Food Res Int 107:371).
UNVARIED: Final = 0.02
# Fewer answers than this cannot show a difference by a triangle at alpha = 0.05 unless nearly all
# are right; a judgement.
_LEAST_ANSWERS: Final = 12


@dataclass(frozen=True, slots=True)
class NotIdentified:
    """Something that is not reported.

    about: key of the driver, "rho", "character gap", an attribute or "ideal ..."
    sentence: what is not known and why; remedy: the session that would tell
    """

    about: str
    why: Why
    sentence: str
    remedy: str

    def __str__(self) -> str:
        return f"{self.sentence} {self.remedy}"


def nothing_tasted(kind: str) -> NotIdentified:
    """No closed session of this kind with known levels."""
    what = {
        "difference": "how large a difference people notice",
        "direction": "what makes the drink more sour or sweeter",
        "preference": "what people like best",
    }[kind]
    remedy = {
        "difference": "Run a triangle test of two versions that differ in acid only.",
        "direction": "Run a paired comparison, “more sour”, of two versions that differ in acid.",
        "preference": "Run preference tests below, around and above the present acidity.",
    }[kind]
    return NotIdentified(kind, "nothing tasted", f"No closed session says {what}.", remedy)


def _too_few_answers(kind: str, n: int) -> NotIdentified:
    """Fewer than LEAST_ANSWERS."""
    return NotIdentified(
        kind,
        "too little",
        f"{n} answers are too few for any estimate; at least {_LEAST_ANSWERS} are needed.",
        f"Run a session with at least {_LEAST_ANSWERS - n} more tastings.",
    )


Named = Sequence[tuple[str, str]]
"""Sessions by id and name, oldest first."""


def level_unknown(compared: Sequence[Compared], drivers: Sequence[Driver]) -> list[NotIdentified]:
    """Sessions that are left out because a level of one of the two samples is not known."""
    return [_level_unknown(one, drivers) for one in compared if not one.known]


def _level_unknown(one: Compared, drivers: Sequence[Driver]) -> NotIdentified:
    unknown = ~np.isfinite(one.delta)
    names = " and ".join(d.name for d, gone in zip(drivers, unknown, strict=True) if gone)
    return NotIdentified(
        one.named[-1][0],
        "level unknown",
        f"{_left_out(one.named)}: {names} of a sample is not known.",
        f"Measure {names} of the reference and enter it.",
    )


def _left_out(named: Named) -> str:
    """Says so of one session, or of many of the same pair."""
    last = f"“{named[-1][1]}”"
    if len(named) == 1:
        return f"The session {last} is left out"
    return f"{len(named)} sessions, the newest {last}, are left out"


def not_modelled(left: Iterable[tuple[Method, Named]]) -> list[NotIdentified]:
    """Sessions by methods that have no chance of guessing; `left`: some by each method."""
    return [
        NotIdentified(
            named[-1][0],
            "not modelled",
            f"{_left_out(named)}: in a {method.name}, guessing has no fixed share of correct "
            "answers.",
            "Run the comparison as a triangle test as well.",
        )
        for method, named in left
        if not method.psychometric
    ]


def _unvaried(driver: Driver, kind: str, attribute: str = "") -> NotIdentified:
    """No session of this kind changed this driver by anything that matters."""
    test = {"difference": "triangle test", "direction": f"“{attribute}” comparison"}.get(
        kind, "preference test"
    )
    about = {"direction": f"{attribute}: {driver.key}", "preference": f"ideal {driver.key}"}
    return NotIdentified(
        about.get(kind, driver.key),
        "nothing varied",
        f"No {test} changed {driver.name} by more than {percent(UNVARIED)} of its level.",
        f"Run a {test} of two versions that differ in {driver.name} only, by about 15 %.",
    )


def varied(
    compared: Sequence[PooledPair],
    drivers: Sequence[Driver],
    scale: Scale,
    kind: str,
    attribute: str = "",
) -> tuple[list[int] | None, list[NotIdentified]]:
    """Indices of the drivers that some comparison of this kind changed by more than UNVARIED, None
    where there are too few answers for any; and what cannot be told for want of them."""
    answers = sum(one.n for one in compared)
    if not compared:
        return None, [nothing_tasted(kind)]
    if answers < _LEAST_ANSWERS:
        return None, [_too_few_answers(attribute or kind, answers)]
    deltas = np.abs([one.delta for one in compared])
    levels = np.array([[one.a.levels, one.b.levels] for one in compared]).max(axis=(0, 1))
    least = UNVARIED * (levels if scale == "linear" else np.ones_like(levels))
    moving = np.flatnonzero(deltas.max(axis=0) > least).tolist()
    still = [driver for index, driver in enumerate(drivers) if index not in moving]
    return moving, [_unvaried(driver, kind, attribute) for driver in still]


def confounded(
    about: str, name: str, others: Sequence[str], test: str = "triangle test"
) -> NotIdentified:
    """The sessions changed this only along with something else."""
    along = " and ".join(others) or "the other drivers"
    return NotIdentified(
        about,
        "moved together",
        f"Every session that changed {name} changed {along} with it, so their effects cannot be "
        "told apart.",
        f"Run a {test} of two versions that differ in {name} only.",
    )


def no_upper_end(about: str, name: str, all_right: bool = True) -> NotIdentified:
    """A weight may be as large as you like: every answer was right, or the interval goes from
    nothing to anything."""
    if all_right:
        return NotIdentified(
            about,
            "separation",
            f"Every answer about {name} was correct, so how much smaller a step would still be "
            "noticed is unknown.",
            f"Run the same comparison with half the step in {name}.",
        )
    return NotIdentified(
        about,
        "too little",
        f"The answers fit both: {name} is unnoticeable, or it has any weight at all.",
        f"Run a triangle test with a larger step in {name}, at least 24 tastings.",
    )


def not_shown(driver: Driver, largest: float) -> NotIdentified:
    """The interval of the weight reaches 0. `largest`: the largest step tasted, in its unit."""
    step = f"{number(largest)} {driver.unit}".strip()
    return NotIdentified(
        driver.key,
        "not shown",
        f"No difference test shows that {driver.name} is noticed; the largest step tasted was "
        f"{step}.",
        f"Run a triangle test with a step in {driver.name} only, larger than {step}, at least 24 "
        "tastings.",
    )


def rho_unknown(explored: bool) -> NotIdentified:
    """Acid and sugar were never changed in one session, or too seldom to tell."""
    why: Why = "too little" if explored else "nothing varied"
    sentence = (
        "How acid and sugar add up is open: every correlation from −1 to 1 fits the answers."
        if explored
        else "No session changed acid and sugar at once, so how they add up is not known."
    )
    return NotIdentified(
        "rho", why, sentence, "Run a triangle test of two versions that raise both at once."
    )


def gap_unknown(tasted: bool) -> NotIdentified:
    """No comparison with a reference, or none that was matched in acid and sugar."""
    if not tasted:
        return NotIdentified(
            "character gap",
            "nothing tasted",
            "No triangle test has compared a version with a reference.",
            "Run a triangle test of your best version against the reference.",
        )
    return NotIdentified(
        "character gap",
        "moved together",
        "Every version that was compared with the reference also differed in acid or sugar, by "
        "steps that no other session has tried.",
        "Run a triangle test of the reference against a version with its acid and sugar.",
    )


def gap_open() -> NotIdentified:
    """Every answer against the reference was right, or the interval goes from nothing to all."""
    return NotIdentified(
        "character gap",
        "separation",
        "How much more than the drivers sets the reference apart has no upper limit yet.",
        "Run a triangle test of the reference against the version that is closest to it.",
    )


def not_bracketed(driver: Driver, least: float, most: float) -> NotIdentified:
    """The best liked level lies beyond what was tasted, or nowhere."""
    return NotIdentified(
        f"ideal {driver.key}",
        "not bracketed",
        f"The answers do not show a best-liked {driver.name} between {three_digits(least)} "
        f"and {three_digits(most)} {driver.unit}, the levels that were tasted.",
        f"Run preference tests with {driver.name} beyond the end that was preferred.",
    )
