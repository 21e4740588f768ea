"""`tasting analyse`: what the closed sessions of a document, or a panel on paper, say."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

import typer

from tasting.cli.numbers import number
from tasting.cli.show import Json, show_json, tell, to_json
from tasting.errors import InputError
from tasting.insight.findings.asked_again import others_in_words
from tasting.insight.findings.closed_session import ClosedSession
from tasting.insight.findings.evidence import Evidence
from tasting.insight.findings.finding import Finding, conclude, finding
from tasting.insight.findings.levels import differing
from tasting.insight.findings.next_step import tasted_since
from tasting.insight.findings.tally import Tally
from tasting.panel.csv_reader import columns_of
from tasting.panel.design import Letter, TestDesign
from tasting.panel.methods import METHODS, method_named
from tasting.panel.paper_import import (
    COLUMNS,
    COUNT_COLUMNS,
    paper_answers,
    paper_counts,
    paper_remarks,
)
from tasting.panel.session import Session
from tasting.store.documents import Document, parse_document, read_text

PaperFile = Annotated[
    Path,
    typer.Argument(
        metavar="FILE",
        help=f"A JSON document, or a .csv with the columns {', '.join(COLUMNS)}, or with the "
        f"columns {', '.join(COUNT_COLUMNS)}.",
    ),
]
MethodOption = Annotated[
    str | None, typer.Option(metavar="METHOD", help=f"For a .csv; one of: {', '.join(METHODS)}.")
]
Attribute = Annotated[
    str | None, typer.Option(help="For a paired comparison in a .csv: 'more sour'.")
]
Expected = Annotated[
    Letter | None, typer.Option(help="For a .csv: the sample fixed beforehand, if one was.")
]
Alpha = Annotated[
    float | None,
    typer.Option(
        parser=number,
        metavar="N",
        help="For a .csv: risk of a false alarm; default: 0.05.",
    ),
]
NameOfA = Annotated[str | None, typer.Option("--a", help="For a .csv: name of sample A.")]
NameOfB = Annotated[str | None, typer.Option("--b", help="For a .csv: name of sample B.")]


@dataclass(frozen=True, slots=True)
class Panel:
    """A panel and what it found; `finding` is None when nobody answered.

    remarks: what the file says of it, above all that it is invented
    seal: the fingerprint of plan and key, which was recomputed and fits; empty on paper
    """

    id: str | None
    name: str
    remarks: tuple[str, ...]
    finding: Finding | None
    seal: str = ""


def analyse(
    file: PaperFile,
    method: MethodOption = None,
    attribute: Attribute = None,
    expected: Expected = None,
    alpha: Alpha = None,
    a: NameOfA = None,
    b: NameOfB = None,
    as_json: Json = False,
) -> None:
    """The finding of each closed session in a document, or of a panel on paper."""
    named = _known({"attribute": attribute, "a": a, "b": b})
    fixed = _known({"expected": expected, "alpha": alpha})
    if file.suffix.lower() == ".csv":
        panels = [_on_paper(file, method, fixed, named)]
    elif method or fixed or named:
        raise InputError("a document brings its own plan; give such options with a .csv file only")
    else:
        panels = _in_document(file)
    if as_json:
        return show_json([_figures(panel) for panel in panels])
    for panel in panels:
        tell(*_in_words(panel))


def _known(given: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in given.items() if value is not None}


def _on_paper(
    file: Path, method: str | None, fixed: Mapping[str, Any], named: Mapping[str, str]
) -> Panel:
    if method is None:
        raise InputError(f"a .csv file does not name its method; add --method {'|'.join(METHODS)}")
    design = TestDesign(method_named(method), **fixed)
    text = read_text(file)
    if columns_of(text) == COUNT_COLUMNS:
        tally = Tally.of_counts(paper_counts(text), design, **named)
    else:
        tally = Tally.of_paper(paper_answers(text, design.method), design, **named)
    return Panel(None, file.name, paper_remarks(text), conclude(tally))


def _in_document(file: Path) -> list[Panel]:
    document = parse_document(read_text(file))
    closed = [session for session in document.sessions if session.state == "closed"]
    if not closed:
        raise InputError(f"{file} contains no closed session, so there is nothing to analyse yet")
    return [_of_session(session, document, closed) for session in closed]


def _of_session(session: Session, document: Document, closed: Sequence[Session]) -> Panel:
    note = session.invented or document.invented
    remarks = (f"Invented data: {note}",) if note else ()
    found = _finding(session, document, closed) if session.counted_answers else None
    return Panel(session.id, session.name, remarks, found, session.sealed)


def _finding(session: Session, document: Document, closed: Sequence[Session]) -> Finding:
    """With what the document knows of the drinks, and of later sessions."""
    try:
        a, b = (document.drink(sample) for sample in (session.plan.a, session.plan.b))
        levels = differing(a, b)
    except InputError:  # a session may come without its drinks
        levels = ()
    since, others = tasted_since(session, closed), _others(session, closed)
    return finding(session, differing=levels, since=since, others=others)


def _others(session: Session, closed: Sequence[Session]) -> str:
    """What the document's other sessions of the same two say."""
    samples = {(one.kind, one.id) for one in (session.plan.a, session.plan.b)}
    pair = [
        ClosedSession.of_session(one)
        for one in closed
        if {(sample.kind, sample.id) for sample in (one.plan.a, one.plan.b)} == samples
    ]
    answered = [one for one in pair if one.tally.n]
    return others_in_words(session.id, sorted(answered, key=lambda one: (one.closed_at, one.id)))


def _figures(panel: Panel) -> dict[str, object]:
    found = panel.finding
    figures = {**to_json(panel), "sides": found.tally.design.sides if found else None}
    if found:
        figures["finding"] |= {"tally": _tally(found.tally), "evidence": _evidence(found.evidence)}
    return figures


def _tally(tally: Tally) -> dict[str, object]:
    """The tally with its design beside the counts, as machines have always read it."""
    design = to_json(tally.design)
    fixed = ("method", "expected", "sequential", "alpha", "p_d", "beta")
    figures = {**to_json(tally), **{name: design[name] for name in fixed}}
    del figures["design"]
    return {**figures, "similarity_aim": tally.design.aim == "similarity"}


def _evidence(evidence: Evidence) -> dict[str, object]:
    """Every figure that a kind of question may have; null is what does not apply."""
    known = to_json(evidence)
    limit = known.get("limit") or {}
    p_d_limit = limit.get("p_d", known.get("upper_limit"))
    return {
        "verdict": known["verdict"],
        "p_value": known.get("p_value"),
        "critical": known.get("critical"),
        "noticed": known.get("noticed", known.get("lead")),
        "distance": known["distance"],
        "likelihood": known.get("likelihood"),
        "p_d_limit": p_d_limit,
        "approximate_limit": limit.get("approximate"),
        "missed": known.get("detectable_p_d"),
        "replicates": known.get("replicates"),
        "preference": known.get("undecided"),
        "decided_after": known.get("decided_after"),
        "lower_tail": known.get("lower_tail"),
        "direction_p_value": known.get("direction_p_value"),
        "distance_by_reference": known.get("by_reference"),
    }


def _in_words(panel: Panel) -> list[str]:
    lines = [panel.name, *(f"  {remark}" for remark in panel.remarks)]
    if panel.finding is None:
        said = ["  Closed without an answer that counts: nothing to conclude."]
        return [*lines, *said, *_seal(panel), ""]
    found = panel.finding
    lines += [f"  {found.headline}.", *(f"  {sentence}" for sentence in found.sentences)]
    limits = [f"  Limitation: {caution}" for caution in found.cautions]
    return [*lines, *limits, *_seal(panel), ""]


def _seal(panel: Panel) -> list[str]:
    """A document is refused where a seal does not fit, so what was read has one that does."""
    if not panel.seal:
        return []
    return [f"  The seal was checked and fits: {panel.seal}."]
