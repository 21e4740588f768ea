"""Sessions with one thing changed, for the tests that this is noticed."""

from datetime import timedelta

from tasting.panel.entries import Amendment, Answer, Exclusion
from tasting.panel.session import Session
from tasting.records import checked
from tests.ui.workshop import START, closed, planned

DURING = START + timedelta(days=31, hours=2)
AFTER = START + timedelta(days=40)


def changed(session: Session, **more: object) -> Session:
    """The same session with other fields, checked again."""
    return checked(Session, {**dict(session), **more})


def answer(**more: object) -> Answer:
    """The first answer of a closed session, changed."""
    return closed(planned("acid"), 10, 2).answers[0].model_copy(update=more)


def other_choice(session: Session) -> str:
    """What the first answer of a session did not choose."""
    first = session.answers[0]
    codes = session.served[first.assessor, first.replicate].codes
    return next(one for one in session.plan.choices(codes) if one != first.choice)


def amendment(session: Session, **more: object) -> Amendment:
    """The first answer of a session, corrected to another choice."""
    first = session.answers[0]
    fields = {"assessor": first.assessor, "replicate": first.replicate, "made_at": DURING}
    fields |= {"choice": other_choice(session), "reason": "mistyped"}
    return Amendment.model_validate({**fields, **more})


def exclusion(assessor: str, **more: object) -> Exclusion:
    """An assessor left out."""
    fields = {"assessor": assessor, "reason": "had a cold", "made_at": DURING}
    return Exclusion.model_validate({**fields, **more})
