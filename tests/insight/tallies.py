"""Tallies of made-up counts."""

from collections.abc import Sequence
from dataclasses import fields

from tasting.insight.findings.tally import Given, Tally
from tasting.panel.design import TestDesign
from tasting.panel.methods import Method

DESIGNED = {field.name for field in fields(TestDesign)}


def tally_of(
    method: Method, count: int, n: int, *, assessors: int = 0, undecided: int = 0, **more: object
) -> Tally:
    """So many of n answers count, dealt out to the assessors in turn: n people if none is said.

    undecided: further answers, each by somebody else, that prefer neither sample
    """
    people = assessors or n
    given = [Given(f"P{place % people}", place < count) for place in range(n)]
    given += [Given(f"Q{place}", counted=False, undecided=True) for place in range(undecided)]
    return _tally(method, given, more)


def tally_by_assessor(method: Method, scores: Sequence[tuple[int, int]], **more: object) -> Tally:
    """One pair for each assessor: answers that count, and all answers."""
    given = [
        Given(f"P{number}", place < counted)
        for number, (counted, tastings) in enumerate(scores)
        for place in range(tastings)
    ]
    return _tally(method, given, more)


def tally_in_order(method: Method, answers: str, **more: object) -> Tally:
    """Answers in the order in which they came, "+" counts and "-" does not."""
    given = [Given(f"P{place}", one == "+") for place, one in enumerate(answers)]
    return _tally(method, given, more)


def contrasted(
    method: Method, none: tuple[int, ...], some: tuple[int, ...], **more: object
) -> Tally:
    """So often each option was chosen, without and with a difference in the set."""
    order = method.orders[0]
    counted = [method.is_counted(order, option) for row in (none, some) for option in _spelt(row)]
    given = [Given(f"P{place}", yes) for place, yes in enumerate(counted)]
    return _tally(method, given, {"by_option": (tuple(none), tuple(some)), **more})


def _spelt(row: tuple[int, ...]) -> list[int]:
    return [option for option, times in enumerate(row) for _ in range(times)]


def _tally(method: Method, given: list[Given], more: dict[str, object]) -> Tally:
    fixed = {"expected": "B" if method.directional_b else None, **more}
    if fixed.pop("similarity_aim", False):
        fixed["aim"] = "similarity"
    design = {name: fixed.pop(name) for name in DESIGNED & fixed.keys()}
    named = {
        "a": "v1",
        "b": "v2",
        "attribute": "more sour" if method.question_kind == "direction" else "",
        "planned": len(given),
    }
    return Tally(
        **{"design": TestDesign(method, **design), **named, "given": tuple(given), **fixed}
    )
