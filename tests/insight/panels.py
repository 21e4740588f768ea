"""Comparisons without sessions: made-up counts at chosen differences."""

from dataclasses import replace

import numpy as np

from tasting.insight.noticing.comparisons import ComparedPair, Counted
from tasting.insight.noticing.drivers import DRIVERS, Reading
from tasting.panel.methods import METHODS

TA_AND_SUGAR = (DRIVERS["ta"], DRIVERS["sugar"])
LEVELS = (5.0, 60.0)


def compared(
    delta,
    count,
    n,
    *,
    method="triangle",
    replicates=1,
    reference=False,
    base=LEVELS,
    attribute="",
    lead=1,
    doubts=None,
):
    """A comparison of a drink of these levels with one that differs by delta; `count` counted
    answers out of n are dealt out to assessors who taste `replicates` times each."""
    right = [True] * count + [False] * (n - count)
    dealt = [right[place :: n // replicates] for place in range(n // replicates)]
    levels = np.array(base, dtype=float)
    return ComparedPair(
        session_id="made-up",
        name="made up",
        method=METHODS[method],
        attribute=attribute,
        a=Reading(levels, {}),
        b=Reading(levels + np.array(delta, dtype=float), doubts or {}),
        with_reference=reference,
        counts=tuple(Counted(len(own), sum(own)) for own in dealt),
        lead=lead,
    )


def swapped(one):
    """The same comparison with A and B exchanged: B's choices become A's."""
    lead = one.lead if one.kind == "difference" else -one.lead
    return replace(one, a=one.b, b=one.a, lead=lead)


MIXED = [
    compared((0.5, 0), 12, 24),
    compared((1.0, 0), 17, 24),
    compared((0, 8), 14, 24),
    compared((0, -14), 19, 24),
    compared((0.8, 9), 18, 24),
    compared((0.7, -9), 19, 24),
    compared((0, 0), 13, 24, reference=True),
    compared((0.4, 2), 15, 24, reference=True),
]
