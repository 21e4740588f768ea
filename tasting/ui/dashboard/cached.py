"""What the dashboard computes once and keeps.

Kept results are shared by all visitors. They come from closed sessions, which never change, so that
which ones are wanted and how many there are is their key; nothing of an open session is kept, and
no pseudonym. The results are frozen and hold functions, so they are kept as they are instead of
being copied through pickle.
"""

from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from typing import Any, Final

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.formula import Formula, Version
from tasting.drink.label import Reference
from tasting.errors import InputError
from tasting.insight.advice.answers import worth_asking
from tasting.insight.advice.next_session import NextSession, next_sessions, reader
from tasting.insight.advice.target import Aim, aim_at_liking, aim_at_reference
from tasting.insight.findings.closed_session import ClosedSession
from tasting.insight.noticing.drivers import Driver, acid_and_sugar, drivers_named
from tasting.insight.noticing.fit_check import FitCheck, fit_check
from tasting.insight.noticing.marks import SessionShare, pooled_shares, session_shares
from tasting.insight.noticing.model import ThresholdModel, fit_sums
from tasting.insight.noticing.words import listed
from tasting.store import formulas, session_index
from tasting.store.session_index import Index
from tasting.store.tasted import TastedSums, tasted

KEPT = 64
MOST_APART, MOST_MARKS = 25, 24
# Of more sessions equal pairs share a mark; more marks cannot be told apart.
MODELLED_TOGETHER: Final = (
    "Contours, how acid and sugar add up, and where to go need both as drivers: choose acid and "
    "sugar under Change, at the top."
)


@dataclass(frozen=True, slots=True)
class DashboardModel:
    """What the page is about: a formula, a reference or none, and what its sessions say.

    database, index: the address, and which closed sessions; with the drivers all else follows from
        them
    set_aside: a sentence for each of them that is damaged
    """

    database: str
    index: Index
    set_aside: tuple[str, ...]
    thresholds: ThresholdModel
    formula: Formula
    reference: Reference | None

    @property
    def latest(self) -> Version:
        """The newest version."""
        return self.formula.versions[-1]

    @property
    def keys(self) -> tuple[str, ...]:
        """Keys of the drivers."""
        return tuple(driver.key for driver in self.thresholds.drivers)

    @property
    def drivers_listed(self) -> str:
        """The drivers as a sentence lists them: "acid and sugar"."""
        return listed([driver.short for driver in self.thresholds.drivers])

    @property
    def acid_and_sugar(self) -> bool:
        """Whether both are among the drivers; else MODELLED_TOGETHER says what is left out."""
        return acid_and_sugar(self.keys) is not None

    @property
    def key(self) -> tuple[object, ...]:
        """What every result that is kept for this page follows from."""
        versions = tuple(version.id for version in self.formula.versions)
        return self.database, self.index, self.keys, versions, _state(self.reference)


def _state(reference: Reference | None) -> tuple[object, ...]:
    """A reference and how often it was corrected."""
    return (reference.id, len(reference.earlier)) if reference else ()


HASHED: Final[dict[str | type[Any], Any]] = {
    DashboardModel: lambda board: board.key,
    Driver: lambda driver: driver.key,
    # Sessions and versions never change, but what is known of a reference may.
    Engine: lambda engine: (str(engine.url), formulas.count_references(engine)),
    Index: repr,
    Version: lambda version: version.id,
    Reference: _state,
}
"""How Streamlit tells the arguments of a function whose results are kept."""


def load(
    engine: Engine,
    index: Index,
    keys: tuple[str, ...],
    formula: Formula,
    reference: Reference | None,
) -> DashboardModel:
    """The model with these drivers, fitted to these closed sessions."""
    thresholds, aside = _thresholds(engine, index, keys, formula.versions[-1])
    return DashboardModel(str(engine.url), index, aside, thresholds, formula, reference)


@st.cache_resource(
    max_entries=KEPT, show_spinner="Reading the closed sessions …", hash_funcs=HASHED
)
def _tasted(engine: Engine, index: Index) -> TastedSums:
    """These closed sessions, added up."""
    return tasted(engine, index.wanted)


@st.cache_resource(max_entries=KEPT, show_spinner="Fitting the model …", hash_funcs=HASHED)
def _thresholds(
    engine: Engine, index: Index, keys: tuple[str, ...], latest: Version
) -> tuple[ThresholdModel, tuple[str, ...]]:
    """What these closed sessions say, for the drivers of these keys, in steps of the latest
    version, and what is set aside."""
    found = _tasted(engine, index)
    fitted = fit_sums(found.pairs, partial(formulas.drink, engine), drivers=keys, at=latest)
    return fitted, found.set_aside


@st.cache_resource(
    max_entries=KEPT, show_spinner="Reading the closed sessions …", hash_funcs=HASHED
)
def shares(engine: Engine, index: Index, keys: tuple[str, ...]) -> tuple[SessionShare, ...]:
    """The share who notice in each of these sessions, or where they are many, in all that compared
    the same two drinks by the same method."""
    drivers, finds = drivers_named(keys), partial(formulas.drink, engine)
    if index.count <= MOST_APART:
        return session_shares(session_index.read(engine, index.wanted).sessions, finds, drivers)
    return pooled_shares(_tasted(engine, index).pairs, finds, drivers, MOST_MARKS)


@st.cache_resource(max_entries=16 * KEPT, show_spinner=False, hash_funcs=HASHED)
def compared(engine: Engine, index: Index, first: str, second: str) -> tuple[ClosedSession, ...]:
    """Those of these sessions that compared two drinks (ids) and have an answer that counts."""
    return session_index.of_pair(engine, first, second)


@st.cache_resource(max_entries=16 * KEPT, show_spinner=False, hash_funcs=HASHED)
def newest(engine: Engine, index: Index, drink: str) -> ClosedSession | None:
    """The one of these sessions in which a drink (id) was compared last."""
    return session_index.newest_with(engine, index.wanted, drink)


@st.cache_resource(max_entries=KEPT, show_spinner=False, hash_funcs=HASHED)
def aim(board: DashboardModel, present: Version, reference: Reference | None) -> Aim:
    """Towards the reference, or without one to what is liked best. Raises InputError."""
    if reference is None:
        return aim_at_liking(board.thresholds, present)
    return aim_at_reference(board.thresholds, present, reference)


@st.cache_resource(
    max_entries=KEPT, show_spinner="Comparing what could be tasted …", hash_funcs=HASHED
)
def worth_running(
    board: DashboardModel, about: str, n: int, per_ml: bool
) -> tuple[NextSession, ...]:
    """The first three, over the versions and the reference of the page. Raises InputError."""
    bottle = (board.reference,) if board.reference else ()
    drinks = (*bottle, *board.formula.versions)
    return next_sessions(board.thresholds, about, drinks, base=board.latest, n=n, per_ml=per_ml)


@st.cache_resource(
    max_entries=KEPT, show_spinner="Comparing what could be tasted …", hash_funcs=HASHED
)
def best_next(board: DashboardModel) -> NextSession | None:
    """The session that is expected to tell most on the way to the reference, or to what is liked;
    None where nothing can be compared."""
    bottle = (board.reference,) if board.reference else ()
    drinks, read = (*bottle, *board.formula.versions), reader(board.thresholds)
    found: list[NextSession] = []
    for about in worth_asking(board.thresholds.drivers, board.reference):
        with suppress(InputError):
            found += next_sessions(
                board.thresholds, about, drinks, base=board.latest, count=1, read=read
            )
    return max(found, key=lambda test: test.gain, default=None)


@st.cache_resource(max_entries=KEPT, show_spinner="Drawing from the model …", hash_funcs=HASHED)
def check(board: DashboardModel) -> FitCheck:
    """How well the model fits, by drawing from it. Raises InputError."""
    return fit_check(board.thresholds, draws=199)
