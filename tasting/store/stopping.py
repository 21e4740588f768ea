"""What the host may know of a sequential test while its session is open."""

from sqlalchemy import Engine

from tasting.errors import LifeCycleError
from tasting.store import mapping
from tasting.store.database import reading


def enough_answers(engine: Engine, session_id: str) -> bool:
    """Whether the sequential test of an open session has decided; never which way, nor any count.

    Raises LifeCycleError for a session that is not open or whose plan is not sequential, and
    NotFoundError.
    """
    with reading(engine) as connection:
        session = mapping.load(connection, session_id)
    if session.state != "open" or not session.plan.sequential:
        raise LifeCycleError(
            f"the session {session.name!r} has no sequential test that is going on"
        )
    return session.decided
