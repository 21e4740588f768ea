"""Difference tests as marks beside a fitted curve: how large the step was, how many noticed it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tasting.errors import InputError
from tasting.insight.noticing.identifiability import UNVARIED
from tasting.insight.noticing.model import ThresholdModel
from tasting.stats.binomial import distinguishers
from tasting.stats.results import Estimate


@dataclass(frozen=True, slots=True)
class Mark:
    """One difference test at its step in one driver.

    step: size of the difference in the driver's unit; noticed: share of tastings that noticed it
    (p_d, with the exact interval); n: answers; alone: whether one person gave them all
    with_reference: whether a reference takes part; others: names of the other drivers that moved
    """

    session_id: str
    name: str
    method: str
    step: float
    noticed: Estimate
    n: int
    alone: bool
    with_reference: bool
    others: tuple[str, ...]


def marks(noticing: ThresholdModel, key: str) -> tuple[Mark, ...]:
    """All difference tests, in their order, at their step in this driver.

    Raises InputError for a driver that was not asked for.
    """
    keys = [driver.key for driver in noticing.drivers]
    if key not in keys:
        raise InputError(f"{key!r} is not among the drivers; use one of: {', '.join(keys)}")
    found = []
    for one in noticing.compared:
        if one.kind == "difference" and one.n:
            levels = np.array([one.a.levels, one.b.levels])
            levels = np.exp(levels) if noticing.scale == "log" else levels
            steps = np.abs(levels[1] - levels[0])
            moved = steps > UNVARIED * np.abs(levels).max(axis=0)
            found.append(
                Mark(
                    session_id=one.session_id,
                    name=one.name,
                    method=one.method.key,
                    step=float(steps[keys.index(key)]),
                    noticed=distinguishers(one.count, one.n, one.method.chance),
                    n=one.n,
                    alone=len(one.counts) == 1,
                    with_reference=one.with_reference,
                    others=tuple(
                        driver.name
                        for driver, does in zip(noticing.drivers, moved, strict=True)
                        if does and driver.key != key
                    ),
                )
            )
    return tuple(found)
