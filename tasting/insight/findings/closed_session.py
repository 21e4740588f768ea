"""A closed session as whatever looks at many of them needs it: the pair, the design, the counts.

It is made from a session, or from the columns that the database keeps of one, so that a thousand of
them can be looked at without reading a thousand keys.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from tasting.errors import SealedError
from tasting.insight.findings.tally import Tally
from tasting.panel.plan import Sample
from tasting.panel.session import Session


@dataclass(frozen=True, slots=True)
class ClosedSession:
    """What was compared, and how often the answers counted.

    invented: says so where the data are made up
    answers: how many were given, whether they count or not
    tally: names each assessor as in `of_session`, or by the number of the seat
    weighed: whether a difference was shown, and the p-value, where both are kept with it
    """

    id: str
    name: str
    invented: str
    closed_at: datetime
    a: Sample
    b: Sample
    answers: int
    tally: Tally
    weighed: tuple[bool, float] | None = None

    @classmethod
    def of_session(cls, session: Session) -> "ClosedSession":
        """The same of a whole session. Raises SealedError while it is not closed."""
        if session.state != "closed" or session.closed_at is None:
            raise SealedError(f"the session {session.name!r} is {session.state}: close it first")
        return cls(
            id=session.id,
            name=session.name,
            invented=session.invented,
            closed_at=session.closed_at,
            a=session.plan.a,
            b=session.plan.b,
            answers=len(session.answers),
            tally=Tally.of_session(session),
        )


Closed = Session | ClosedSession
"""Either of the two; functions that look at many sessions take both."""


def closed_sessions(sessions: Iterable[Closed]) -> tuple[ClosedSession, ...]:
    """All of them in the lighter form. Raises SealedError for one that is not closed."""
    return tuple(
        one if isinstance(one, ClosedSession) else ClosedSession.of_session(one) for one in sessions
    )
