"""Hypothesis strategies: sessions in any state, and documents that hold them."""

from datetime import timedelta, timezone

from hypothesis import strategies as st

from tasting.panel.entries import Amendment, Exclusion
from tasting.panel.methods import METHODS
from tasting.panel.session import Session
from tasting.store.documents import Document
from tests.ui.workshop import MEASURED, SPRITZ, START, UNMEASURED, answered, opened, planned

methods = st.sampled_from(sorted(METHODS))
words = st.text(st.characters(codec="utf-8", exclude_categories=["Cc"]), min_size=1, max_size=20)
words = words.map(str.strip).filter(bool)
panels = st.lists(words, min_size=1, max_size=6, unique_by=str.casefold).map(tuple)
offsets = st.integers(-12, 14).map(lambda hours: timezone(timedelta(hours=hours)))


@st.composite
def plans(draw, id_: str) -> Session:
    """A planned session of any method."""
    method = draw(methods)
    asked = METHODS[method]
    either_way = asked.question_kind == "direction" and not asked.directional_b
    return planned(
        id_,
        method,
        assessors=draw(panels),
        replicates=draw(st.integers(1, 3)),
        alpha=draw(st.floats(0.001, 0.499)),
        allergens=draw(st.lists(words, max_size=2)),
        no_preference=asked.question_kind == "preference" and draw(st.booleans()),
        **({"expected": draw(st.sampled_from([None, "A", "B"]))} if either_way else {}),
    )


def remarked(session: Session, remarks: list[str], zone: timezone) -> Session:
    """The same session with remarks, its answers stamped in another time zone."""
    answers = [
        given.model_copy(
            update={
                "remark": remarks[place % len(remarks)],
                "given_at": given.given_at.astimezone(zone),
            }
        )
        for place, given in enumerate(session.answers)
    ]
    return Session.model_validate({**dict(session), "answers": tuple(answers)})


@st.composite
def corrections(draw, session: Session) -> Session:
    """The same open session with some answers amended, and now and then somebody excluded."""
    amendments = []
    for given in session.answers:
        if draw(st.integers(0, 3)) == 0:
            codes = session.served[given.assessor, given.replicate].codes
            amendments.append(
                Amendment(
                    assessor=given.assessor,
                    replicate=given.replicate,
                    choice=draw(st.sampled_from(session.plan.choices(codes))),
                    reason=draw(words),
                    made_at=given.given_at + timedelta(hours=1 + len(amendments)),
                )
            )
    gone = session.plan.assessors[: draw(st.integers(0, 1))]
    exclusions = [
        Exclusion(assessor=who, reason=draw(words), made_at=START + timedelta(days=32))
        for who in gone
    ]
    changes = {"amendments": tuple(amendments), "exclusions": tuple(exclusions)}
    return Session.model_validate({**dict(session), **changes})


@st.composite
def sessions(draw, id_: str = "acid", states=("planned", "open", "closed", "abandoned")) -> Session:
    """A session in one of these states; an abandoned one as it is exported, without its key."""
    session, state = draw(plans(id_)), draw(st.sampled_from(states))
    if state == "planned":
        return session
    if state == "abandoned":
        return without_key(opened(session).abandoned(START + timedelta(days=40), draw(words)))
    right = draw(st.integers(0, session.plan.tastings))
    wrong = draw(st.integers(0, session.plan.tastings - right))
    done = opened(session, seed=draw(st.integers(0, 2**32)))
    done = remarked(answered(done, right, wrong), draw(st.lists(words, min_size=1)), draw(offsets))
    done = draw(corrections(done))
    return done if state == "open" else done.closed(START + timedelta(days=40), draw(words))


def without_key(session: Session) -> Session:
    """An abandoned session as anyone outside the database sees it."""
    return Session.model_validate({**dict(session), "sets": (), "salt": ""})


@st.composite
def documents(draw) -> Document:
    """The workshop with up to three sessions."""
    count = draw(st.integers(0, 3))
    kept = tuple(draw(sessions(f"session-{number}")) for number in range(count))
    return Document(
        invented=draw(words),
        formulas=(SPRITZ,),
        references=(MEASURED, UNMEASURED),
        sessions=kept,
    )
