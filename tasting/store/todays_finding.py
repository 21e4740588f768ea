"""The finding of a closed session as it stands today: it knows the drinks and what came since."""

from sqlalchemy import Engine

from tasting.insight.findings.finding import Finding, finding
from tasting.insight.findings.levels import differing
from tasting.insight.findings.next_step import tasted_since
from tasting.panel.session import Session
from tasting.store import formulas, sessions


def todays_finding(engine: Engine, session: Session) -> Finding:
    """The finding, with a next step that knows the drinks, as they were known when the session
    closed, and what was tasted since.

    Raises SealedError while the session is not closed, InputError when nobody answered.
    """
    a, b = formulas.compared(engine, session)
    since = tasted_since(session, sessions.summaries(engine))
    return finding(session, differing=differing(a, b), since=since)
