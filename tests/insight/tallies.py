"""Tallies of made-up counts."""

from tasting.insight.tally import Tally
from tasting.panel.methods import Method


def tally_of(method: Method, count: int, n: int, **more: object) -> Tally:
    """A tally of made-up counts."""
    fields = {
        "method": method,
        "a": "v1",
        "b": "v2",
        "attribute": "more sour" if method.asks == "direction" else "",
        "expected": None,
        "alpha": 0.05,
        "n": n,
        "count": count,
        "planned": n,
        "assessors": n,
    }
    return Tally(**{**fields, **more})
