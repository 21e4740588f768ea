"""An open session with many assessors, what they were told is kept, and what is kept."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random
from secrets import token_hex

from sqlalchemy import Engine, select

from tasting.errors import InputError
from tasting.store import ballots, schema, sessions
from tasting.store.database import reading
from tasting.store.sessions import summaries
from tests.giving import record_answer
from tests.ui.workshop import START, keep, planned

MOMENT = START + timedelta(days=32)
Told = tuple[str, int, str]
"""An answer that was acknowledged: token, set, choice."""


@dataclass(frozen=True)
class Evening:
    """An open session and the tokens of its seats, by assessor."""

    session_id: str
    tokens: dict[str, str]
    moment: datetime = MOMENT


@dataclass(frozen=True)
class Count:
    """What came of it: answers acknowledged, and of these lost and doubled."""

    told: int
    kept: int
    lost: int
    doubled: int

    @property
    def whole(self) -> bool:
        """Whether all that was acknowledged is kept, once, and nothing else is."""
        return self.lost == self.doubled == 0 and self.kept == self.told

    def __str__(self) -> str:
        return (
            f"{self.told} answers acknowledged, {self.kept} kept, {self.lost} lost, "
            f"{self.doubled} doubled"
        )


def begun(engine: Engine, assessors: int, replicates: int) -> Evening:
    """Plan and open a session; all data in it are invented."""
    names = tuple(f"P{number:03d}" for number in range(1, assessors + 1))
    id_ = f"evening-{token_hex(4)}"
    session = planned(id_, assessors=names, replicates=replicates, pause_seconds=0)
    if summaries(engine):
        sessions.plan_session(engine, session)
    else:
        keep(engine, session)
    sessions.open_session(engine, id_, START + timedelta(days=31))
    return Evening(id_, ballots.links(engine, id_, b"secret"))


def answer_next(engine: Engine, token: str, random: Random) -> Told | None:
    """Answer the next set of a seat, tapping twice now and then; None when all are done."""
    shown = ballots.ballot(engine, token)
    if not shown.codes:
        return None
    choice = random.choice(shown.choices)
    for _ in range(1 + (random.random() < 0.3)):
        record_answer(engine, token, shown.replicate, choice, MOMENT)
    return token, shown.replicate, choice


def counted(engine: Engine, evenings: Iterable[Evening], told: Iterable[Told]) -> Count:
    """Hold what was acknowledged against what is kept, and against the record of events."""
    wanted, found = set(told), set()
    events: Counter[tuple[str, str]] = Counter()
    for evening in evenings:
        tokens = list(evening.tokens.values())
        with reading(engine) as connection:
            here = schema.answer.c.session_id == evening.session_id
            rows = connection.execute(select(schema.answer).where(here)).all()
            found |= {(tokens[row.seat], row.replicate, row.choice) for row in rows}
            noted = schema.event.c.session_id == evening.session_id
            for row in connection.execute(select(schema.event).where(noted)):
                if row.what == "answer":
                    events[tokens[row.seat], row.detail] += 1
    doubled = sum(times - 1 for times in events.values())
    doubled += len(found) - len({(token, replicate) for token, replicate, _ in found})
    if len(events) != len(found):
        raise InputError(f"{len(found)} answers, but events of {len(events)}")
    return Count(len(wanted), len(found), len(wanted - found), doubled)
