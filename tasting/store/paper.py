"""Paper beside phones: what is printed for a tray, and what is typed in from it, still blind.

A slip tells the codes of a set in the order in which they stand on the tray. The codes were drawn
at random, so neither they nor their order tell what is in a cup.
"""

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import Connection, Engine

from tasting.errors import InputError, LifeCycleError, NotFoundError
from tasting.panel.ballots import Slip, TypedAnswer, typed_choice
from tasting.panel.entries import Amendment
from tasting.panel.plan import Plan
from tasting.store import ballots, mapping, sessions
from tasting.store.database import reading, writing


def slips(engine: Engine, session_id: str) -> tuple[Slip, ...]:
    """The sets of an open session, assessor by assessor. Raises LifeCycleError."""
    known = sessions.summary(engine, session_id)
    if known.state != "open":
        raise LifeCycleError(f"the session {known.name!r} is {known.state}; that needs an open one")
    with reading(engine) as connection:
        return _slips(connection, session_id, known.plan)


def _slips(connection: Connection, session_id: str, plan: Plan) -> tuple[Slip, ...]:
    kept = sorted(
        mapping.sets(connection, session_id), key=lambda row: (row["seat"], row["replicate"])
    )
    return tuple(
        Slip(
            assessor=plan.assessors[row["seat"]],
            replicate=row["replicate"],
            codes=tuple(row["codes"].split()),
            choices=plan.choices(tuple(row["codes"].split())),
            reference=plan.procedure.poured > plan.procedure.cups,
        )
        for row in kept
    )


def enter_typed(
    engine: Engine, session_id: str, typed: Sequence[tuple[int | None, TypedAnswer]], now: datetime
) -> int:
    """Keep answers that were typed from paper, each with its line if it has one: all, or none.

    Returns their number. Raises InputError, naming the line, for the first that does not fit, and
    LifeCycleError unless the session is open.
    """
    known = {(slip.assessor, slip.replicate): slip for slip in slips(engine, session_id)}
    with writing(engine, session_id) as connection:
        for line, one in sorted(typed, key=lambda pair: pair[1].replicate):
            slip = known.get((one.assessor, one.replicate))
            choice = _meant(slip, one.choice)
            try:
                ballots.enter(connection, session_id, one.assessor, one.replicate, choice, now)
            except (InputError, NotFoundError) as error:
                where = "" if line is None else f"line {line}: "
                raise InputError(f"{where}{error}") from None
        if typed:
            mapping.note(connection, session_id, now, "answers typed from paper", f"{len(typed)}")
    return len(typed)


def amend_typed(engine: Engine, session_id: str, change: Amendment) -> None:
    """Amend an answer; the right choice may be typed as in `typed_choice`. Raises InputError."""
    known = {(slip.assessor, slip.replicate): slip for slip in slips(engine, session_id)}
    slip = known.get((change.assessor, change.replicate))
    meant = change.model_copy(update={"choice": _meant(slip, change.choice)})
    sessions.amend_answer(engine, session_id, meant)


def _meant(slip: Slip | None, text: str) -> str:
    return typed_choice(text, slip.codes, slip.choices) if slip else text
