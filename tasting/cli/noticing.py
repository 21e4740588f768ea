"""`tasting notice`: what many closed sessions say about what people notice."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from math import isfinite
from pathlib import Path
from typing import Annotated, Any

import typer

from tasting.cli.connection import Database, address_of, existing, opened
from tasting.cli.show import Json, set_aside, show_json, tell, to_json, waiting
from tasting.drink.formula import Formula, Version
from tasting.drink.label import Reference
from tasting.drink.words import TA_MEANS
from tasting.errors import InputError
from tasting.insight.findings.closed_session import ClosedSession, closed_sessions
from tasting.insight.noticing.distance_model import AgainstZero
from tasting.insight.noticing.drivers import DEFAULT_DRIVERS, DRIVERS, TA, Scale
from tasting.insight.noticing.model import ThresholdModel, fit_thresholds
from tasting.insight.noticing.steps import DriverStep, SmallestPossible, StepBound, StepSize
from tasting.insight.noticing.words import assumptions, details, fit_in_words, sentences
from tasting.panel.plan import Sample
from tasting.store import formulas, session_index
from tasting.store.documents import Document, read_document
from tasting.wording import percent

Files = Annotated[
    list[Path] | None,
    typer.Argument(
        metavar="[FILES]",
        help="JSON documents with the sessions and with the drinks that they compare; without "
        "one, the sessions of the database.",
    ),
]
Drivers = Annotated[
    list[str] | None,
    typer.Option(
        "--driver", metavar="DRIVER", help=f"One of: {', '.join(DRIVERS)}; else ta and sugar."
    ),
]
Log = Annotated[
    bool, typer.Option("--log", help="Relative steps instead of absolute ones (Weber).")
]
OfFormula = Annotated[
    str | None,
    typer.Option("--formula", metavar="NAME", help="Only sessions with versions of this formula."),
]
Finds = Callable[[Sample], Version | Reference]


@dataclass(frozen=True, slots=True)
class Source:
    """Closed sessions, the formulas, who finds their drinks, and what is said of invented data."""

    closed: tuple[ClosedSession, ...]
    formulas: tuple[Formula, ...]
    finds: Finds
    notes: tuple[str, ...]

    def about(self, name: str | None) -> tuple[ClosedSession, ...]:
        """The sessions that compare a version of the formula of this name, or all. Raises
        InputError."""
        if name is None:
            return self.closed
        versions = {v.id for kept in self.formulas if kept.name == name for v in kept.versions}
        if not versions:
            raise InputError(f"there is no formula {name!r}; use its whole name")
        return tuple(kept for kept in self.closed if {kept.a.id, kept.b.id} & versions)


def notice_files(
    files: Files = None,
    database: Database = None,
    formula: OfFormula = None,
    driver: Drivers = None,
    log: Log = False,
    as_json: Json = False,
) -> int:
    """How big a step in acid or sugar people notice, and what the sessions cannot tell."""
    if files and database is not None:
        raise InputError("give either files or a database, not both")
    keys: Sequence[str] = driver or DEFAULT_DRIVERS
    scale: Scale = "log" if log else "linear"
    aside: tuple[str, ...] = ()
    if files:
        found, notes = _noticed(_in_documents(files), formula, keys, scale)
    else:
        with opened(existing(address_of(database))) as engine:
            read = session_index.read(engine, people=True)
            kept, finds = formulas.formulas(engine), partial(formulas.drink, engine)
            source, aside = (
                Source(read.sessions, kept, finds, _notes(read.sessions)),
                read.set_aside,
            )
            found, notes = _noticed(source, formula, keys, scale)
    if as_json:
        show_json({**figures(found), "invented": notes})
    else:
        tell(*_in_words(found, notes))
    return set_aside(aside)


def _noticed(
    source: Source, formula: str | None, keys: Sequence[str], scale: Scale
) -> tuple[ThresholdModel, tuple[str, ...]]:
    closed = source.about(formula)
    if not closed:
        raise InputError("there is no closed session yet, so nothing can be said; close one first")
    with waiting("Fitting the model and checking its fit"):
        found = fit_thresholds(closed, source.finds, drivers=keys, scale=scale)
    return found, source.notes


def _in_documents(files: Sequence[Path]) -> Source:
    read = [read_document(file) for file in files]
    whole = Document(
        formulas=tuple(kept for one in read for kept in one.formulas),
        references=tuple(kept for one in read for kept in one.references),
        sessions=tuple(kept for one in read for kept in one.sessions),
    )
    closed = closed_sessions(kept for kept in whole.sessions if kept.state == "closed")
    whole_notes = [one.invented for one in read if one.invented]
    notes = tuple(dict.fromkeys([*whole_notes, *_notes(closed)]))
    return Source(closed, whole.formulas, whole.drink, notes)


def _notes(closed: Sequence[ClosedSession]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(kept.invented for kept in closed if kept.invented))


def _in_words(noticing: ThresholdModel, notes: Sequence[str]) -> list[str]:
    said = [*sentences(noticing), *details(noticing)]
    refused = [f"  Not known: {one}" for one in noticing.refusals]
    lines = [f"Invented data: {note}" for note in notes]
    lines += [f"What people notice, with {percent(noticing.confidence)} intervals:"] if said else []
    lines += [f"  {sentence}" for sentence in said]
    lines += [f"  {assumed}"] if (assumed := assumptions(noticing)) else []
    lines += [f"  {TA_MEANS}"] if TA in noticing.drivers else []
    return [*lines, *refused, *([f"  {fit_in_words(noticing.fit)}"] if noticing.fit else [])]


def figures(noticing: ThresholdModel) -> dict[str, Any]:
    """Everything as JSON knows it; null is an interval's end that nothing bounds, and a step of
    which no more than a bound ("larger_than") is known."""
    known = {
        "at": noticing.at.label if noticing.at else None,
        "scale": noticing.scale,
        "confidence": noticing.confidence,
        "half_by": noticing.half_by,
        "steps": [_step(step) for step in noticing.noticed],
        "rho": noticing.rho,
        "character_gap": noticing.character_gap,
        "spread": noticing.spread,
        "power": noticing.distance.power if noticing.distance else None,
        "attributes": [
            {"name": one.name, "weights": one.weights, "sessions": one.sessions, "n": one.n}
            for one in noticing.attributes
        ],
        "ideals": [
            {"driver": one.driver.key, "level": one.level, "curvature": one.curvature}
            for one in noticing.ideals
        ],
        "fit": noticing.fit,
        "refusals": [
            {"about": one.about, "why": one.why, "sentence": one.sentence, "cure": one.remedy}
            for one in noticing.refusals
        ],
    }
    return {name: _bounded(to_json(value)) for name, value in known.items()}


def _step(step: DriverStep | StepBound) -> dict[str, object]:
    known = isinstance(step, DriverStep)
    sizes = {
        "unit_step": _marked(step.step_at_d_prime_1),
        "half_step": _marked(step.difference_threshold),
    }
    return {
        "driver": step.driver.key,
        "unit": step.driver.unit,
        "level": step.level,
        "weight": _tested(step.weight, known),
        "largest_tasted": step.largest_tasted,
        **(sizes if known else dict.fromkeys(sizes)),
        "larger_than": None if known else sizes,
    }


def _marked(size: StepSize | SmallestPossible) -> dict[str, object]:
    """A step with what of it lies beyond every step that was tasted."""
    return {**to_json(size), "extrapolated": size.extrapolated}


def _tested(weight: AgainstZero, known: bool) -> dict[str, object]:
    """The estimate of a weight that may be 0 would give a step; its interval is what is known."""
    found = dict(to_json(AgainstZero(weight.estimate, weight.statistic, weight.p_value)))
    return found if known else {**found, "estimate": {**found["estimate"], "value": None}}


def _bounded(value: Any) -> Any:
    """The same without infinities and the like, which JSON does not know."""
    if isinstance(value, dict):
        return {name: _bounded(inner) for name, inner in value.items()}
    if isinstance(value, list):
        return [_bounded(inner) for inner in value]
    return None if isinstance(value, float) and not isfinite(value) else value
