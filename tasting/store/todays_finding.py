"""The finding of a closed session as it stands today: it knows the drinks and what came since."""

from sqlalchemy import Engine

from tasting.insight.findings.asked_again import others_in_words
from tasting.insight.findings.finding import Finding, finding
from tasting.insight.findings.levels import differing
from tasting.panel.session import Session
from tasting.store import formulas, session_index


def todays_finding(engine: Engine, session: Session) -> Finding:
    """The finding, with a next step that knows the drinks, as they were known when the session
    closed, and what was tasted since; its limitations know all sessions that asked the same.

    Raises SealedError while the session is not closed, InputError when nobody answered.
    """
    a, b = formulas.compared(engine, session)
    since = session_index.compared_since(engine, session)
    pair = session_index.of_pair(engine, session.plan.a.id, session.plan.b.id)
    others = others_in_words(session.id, pair)
    return finding(session, differing=differing(a, b), since=since, others=others)
