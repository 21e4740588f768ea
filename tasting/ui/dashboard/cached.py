"""What the dashboard computes once and keeps.

Kept results are shared by all visitors. They come from closed sessions, whose ids are their key and
which never change; nothing of an open session is kept, and no pseudonym. The results are frozen and
hold functions, so they are kept as they are instead of being copied through pickle.
"""

from dataclasses import dataclass
from functools import partial

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.formula import Formula, Version
from tasting.drink.label import Reference
from tasting.insight.advice.next_session import NextSession, next_sessions
from tasting.insight.advice.target import Aim, aim_at_liking, aim_at_reference
from tasting.insight.noticing.fit_check import FitCheck, fit_check
from tasting.insight.noticing.model import ThresholdModel, fit_thresholds
from tasting.store import formulas, sessions

KEPT = 64


@dataclass(frozen=True, slots=True)
class DashboardModel:
    """What the page is about: a formula, a reference or none, and what its sessions say.

    key: the database and the ids of the closed sessions, from which everything else follows
    """

    key: tuple[str, ...]
    noticing: ThresholdModel
    formula: Formula
    reference: Reference | None

    @property
    def latest(self) -> Version:
        """The newest version."""
        return self.formula.versions[-1]


def load(
    engine: Engine, ids: tuple[str, ...], formula: Formula, reference: Reference | None
) -> DashboardModel:
    """The model fitted to these closed sessions. Raises SealedError if one of them is open."""
    key = (str(engine.url), *ids)
    return DashboardModel(key, _noticing(key, engine), formula, reference)


@st.cache_resource(max_entries=KEPT, show_spinner="Reading the closed sessions …")
def _noticing(key: tuple[str, ...], _engine: Engine) -> ThresholdModel:
    chosen = [sessions.closed_session(_engine, id_) for id_ in key[1:]]
    return fit_thresholds(chosen, partial(formulas.drink, _engine))


def aim(seen: DashboardModel, present: Version, reference: Reference | None) -> Aim:
    """Towards the reference, or without one to what is liked best. Raises InputError."""
    return _aim(seen.key, present.id, reference.id if reference else "", seen, present, reference)


@st.cache_resource(max_entries=KEPT, show_spinner=False)
def _aim(
    key: tuple[str, ...],
    present_id: str,
    reference_id: str,
    _seen: DashboardModel,
    _present: Version,
    _reference: Reference | None,
) -> Aim:
    if _reference is None:
        return aim_at_liking(_seen.noticing, _present)
    return aim_at_reference(_seen.noticing, _present, _reference)


def worth_running(
    seen: DashboardModel, about: str, n: int, per_ml: bool
) -> tuple[NextSession, ...]:
    """The first three, over the versions and the reference of the page. Raises InputError."""
    shelf = (seen.reference.id if seen.reference else "", len(seen.formula.versions))
    return _tests(seen.key, shelf, about, n, per_ml, seen)


@st.cache_resource(max_entries=KEPT, show_spinner="Comparing what could be tasted …")
def _tests(
    key: tuple[str, ...],
    shelf: tuple[str, int],
    about: str,
    n: int,
    per_ml: bool,
    _seen: DashboardModel,
) -> tuple[NextSession, ...]:
    bottle = (_seen.reference,) if _seen.reference else ()
    drinks = (*bottle, *_seen.formula.versions)
    return next_sessions(_seen.noticing, about, drinks, base=_seen.latest, n=n, per_ml=per_ml)


def check(seen: DashboardModel) -> FitCheck:
    """How well the model fits, by drawing from it. Raises InputError."""
    return _check(seen.key, seen.noticing)


@st.cache_resource(max_entries=KEPT, show_spinner="Drawing from the model …")
def _check(key: tuple[str, ...], _noticing: ThresholdModel) -> FitCheck:
    return fit_check(_noticing, draws=199)
