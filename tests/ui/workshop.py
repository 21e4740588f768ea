"""A small invented workshop, made through the domain models alone."""

from datetime import UTC, datetime, timedelta
from random import Random

from sqlalchemy import Engine

from tasting.drink.formula import Formula, Part, Version
from tasting.drink.label import Reference
from tasting.panel.entries import Answer
from tasting.panel.methods import METHODS
from tasting.panel.plan import Plan, Sample
from tasting.panel.session import Session
from tasting.store.documents import Document, fill

START = datetime(2026, 1, 10, 18, 0, tzinfo=UTC)
ASSESSORS = tuple(f"Assessor {number}" for number in range(1, 13))
INVENTED = "made up for the tests"


def version(number: int, lemon_ml: float, syrup_ml: float, reason: str = "") -> Version:
    """Version number v of the spritz."""
    amounts = {"rhubarb-juice": 60.0, "lemon-juice": lemon_ml, "bay-syrup": syrup_ml}
    amounts["sparkling-water"] = 90.0
    return Version(
        id=f"spritz-{number}",
        label=f"v{number}",
        parent="spritz-1" if number > 1 else None,
        reason=reason,
        parts=tuple(
            Part.model_validate({"ingredient": key, "amount": f"{ml} mL"})
            for key, ml in amounts.items()
        ),
        created_at=START + timedelta(days=number),
    )


SPRITZ = Formula(
    id="spritz",
    name="Rhubarb and bay spritz",
    versions=(
        version(1, 10, 20),
        version(2, 14, 20, "More lemon: *flat* beside R"),
        version(3, 10, 24, "More syrup"),
    ),
)
MEASURED = Reference(
    id="R",
    name="Reference bottle R",
    serving_ml=330,
    alcohol_percent_vol=0.5,
    energy_kcal_per_100ml=38,
    sugar_g_per_100ml=8.1,
    ta_g_per_l=6.4,
)
UNMEASURED = Reference(id="S", name="Reference bottle S", serving_ml=250, sugar_g_per_100ml=7.0)


def sample(id: str) -> Sample:
    """The sample that points to a version or to a reference."""
    if id in ("R", "S"):
        return Sample(kind="reference", id=id, name=f"Reference bottle {id}")
    return Sample(kind="version", id=id, name=f"Spritz, v{id[-1]}")


def planned(
    id: str, method: str = "triangle", a: str = "spritz-1", b: str = "spritz-2", **more: object
) -> Session:
    """A planned session; `more` goes into its plan."""
    fields = {"method": method, "a": sample(a), "b": sample(b), "assessors": ASSESSORS}
    asked = METHODS[method]
    question = {"attribute": "more sour"} if asked.question_kind == "direction" else {}
    direction = {"expected": "B"} if asked.directional_b else {}
    plan = Plan.model_validate({**fields, **question, **direction, **more})
    when = START + timedelta(days=30)
    return Session(id=id, name=f"Session {id}", plan=plan, planned_at=when)


def opened(session: Session, seed: int = 1, day: int = 31) -> Session:
    """The same session, open."""
    return session.opened(START + timedelta(days=day), Random(seed))


def answered(session: Session, right: int, wrong: int) -> Session:
    """An open session with that many answers that count and that many that do not."""
    wanted = [True] * right + [False] * wrong
    moment = session.opened_at or START
    answers = [
        Answer(
            assessor=served.assessor,
            replicate=served.replicate,
            choice=next(
                choice
                for choice in session.plan.choices(served.codes)
                if session.plan.is_counted(served, choice) == count
            ),
            given_at=moment + timedelta(minutes=place),
        )
        for place, (served, count) in enumerate(zip(session.sets, wanted, strict=False))
    ]
    return Session.model_validate({**dict(session), "answers": tuple(answers)})


def closed(session: Session, right: int, wrong: int, reason: str = "", day: int = 32) -> Session:
    """A planned session, opened, answered and closed."""
    done = answered(opened(session, day=day - 1), right, wrong)
    return done.closed(START + timedelta(days=day), reason)


def some_closed() -> tuple[Session, ...]:
    """Five closed sessions of all three methods: shown, not shown, early, unanswered."""
    return (
        closed(planned("acid"), 10, 2, day=32),
        closed(planned("syrup", "paired", "spritz-1", "spritz-3", expected="B"), 7, 5, day=33),
        closed(planned("liking", "preference", "R", "spritz-2"), 11, 1, day=34),
        closed(planned("unknown", "triangle", "S", "spritz-1"), 4, 4, "The bottle broke", day=35),
        closed(planned("nobody"), 0, 0, "Nobody came", day=36),
    )


def keep(engine: Engine, *sessions: Session) -> None:
    """Keep the workshop with these sessions."""
    fill(
        engine,
        Document(formulas=(SPRITZ,), references=(MEASURED, UNMEASURED), sessions=sessions),
    )
