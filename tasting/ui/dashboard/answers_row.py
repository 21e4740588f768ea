"""The first thing on the dashboard: three answers side by side, each with one thing to do."""

from functools import partial
from html import escape

import streamlit as st
from sqlalchemy import Engine

from tasting.insight.advice.answers import three_answers
from tasting.insight.advice.question import (
    Action,
    Going,
    GoToSession,
    PlanComparison,
    Question,
    Reply,
)
from tasting.insight.findings.pair import Claim
from tasting.store import sessions
from tasting.store.sessions import Summary
from tasting.ui import pages
from tasting.ui.dashboard import cached
from tasting.ui.dashboard.cached import DashboardModel
from tasting.ui.dashboard.make_plan import offer_plan
from tasting.ui.page import escape_markdown


def asked(engine: Engine, board: DashboardModel) -> Question:
    """What the page is asked about."""
    return Question(
        formula=board.formula,
        reference=board.reference,
        compared=partial(cached.compared, engine, board.index),
        newest=partial(cached.newest, engine, board.index),
        thresholds=board.thresholds,
        going=[_going(engine, one) for one in sessions.going(engine, [])],
        best=cached.best_next(board),
    )


def _going(engine: Engine, kept: Summary) -> Going:
    """What may be known of a session before it is closed: how many answers are in."""
    seats = sessions.seats(engine, kept.id) if kept.state == "open" else ()
    here = [seat for seat in seats if not (seat.withdrawn or seat.excluded)]
    return Going(
        id=kept.id,
        name=kept.name,
        open=kept.state == "open",
        answered=kept.answered,
        planned=kept.plan.tastings,
        waiting=sum(not seat.answered for seat in here),
        drinks=frozenset((kept.plan.a.id, kept.plan.b.id)),
        distance=kept.plan.procedure.measures_distance,
    )


def show(engine: Engine, board: DashboardModel, question: Question) -> None:
    """The three cards."""
    answers = three_answers(question)
    for place, (column, answer) in enumerate(zip(st.columns(3), answers, strict=True)):
        tone = _tone(answer)
        box = column.container(border=True, height="stretch", key=f"answer-{place}-{tone}")
        with box:
            _show_answer(engine, board, answer, f"answer_{place}")


def _tone(answer: Reply) -> str:
    """How its card is marked: what was shown, being tasted now, or nothing yet."""
    if answer.claim in (Claim.DIFFERS, Claim.SMALL):
        return "differs"
    if answer.claim is Claim.SIMILAR:
        return "good"
    return "open" if answer.going else "untested"


def _show_answer(engine: Engine, board: DashboardModel, answer: Reply, key: str) -> None:
    st.html(f'<h2 class="asks">{escape(answer.question)}</h2>')
    st.html(f'<p class="says">{escape(answer.sentence)}</p>')
    st.caption(escape_markdown(answer.evidence), help=escape_markdown(answer.explained) or None)
    if answer.action:
        _offer(engine, board, answer.action, key)


def _offer(engine: Engine, board: DashboardModel, action: Action, key: str) -> None:
    """The one button."""
    if isinstance(action, PlanComparison):
        offer_plan(engine, board, action, key)
    elif isinstance(action, GoToSession):
        st.page_link(
            pages.TASTING.script, label=action.label, query_params={"id": action.session_id}
        )
    else:
        st.page_link(pages.DRINKS.script, label=action.label)
