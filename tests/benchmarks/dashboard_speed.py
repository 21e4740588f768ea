"""How long the dashboard's script runs with 1,000 closed sessions, against its floors.

Run from the project's folder: `python -m tests.benchmarks.dashboard_speed [SESSIONS]`. Cold is the
first run of a fresh process, warm the best of several further ones; reading is what the same page
would take if it read and fitted all sessions again. Exits with 1 if a floor is missed.
"""

import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from random import Random

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.drink.formula import Formula, Part, Version
from tasting.insight.noticing.model import fit_thresholds
from tasting.panel.entries import Answer
from tasting.panel.plan import Plan, Sample
from tasting.panel.session import Session
from tasting.settings import DATABASE
from tasting.store import formulas, host_logins, sessions
from tasting.store.access import choose_passphrase, link_secret
from tasting.store.database import file_address, open_database
from tasting.store.documents import Document, import_documents
from tasting.ui import access
from tests.benchmarks.stat_speed import Line, seconds

APP = Path(__file__).parents[2] / "streamlit_app.py"
START = datetime(2026, 1, 10, 18, 0, tzinfo=UTC)
ASSESSORS = tuple(f"P{number:02d}" for number in range(1, 13))
SESSIONS, VERSIONS = 1000, 20
MOST_MS, LEAST_RATIO = 500.0, 10.0


def versions() -> tuple[Version, ...]:
    """A formula's versions on a grid of acid and sugar."""
    made = []
    for number in range(VERSIONS):
        amounts = {"rhubarb-juice": 60.0, "lemon-juice": 8.0 + 1.5 * (number % 5)}
        amounts |= {"bay-syrup": 16.0 + 2.0 * (number // 5), "sparkling-water": 90.0}
        parts = tuple(
            Part.model_validate({"ingredient": key, "amount": f"{ml} mL"})
            for key, ml in amounts.items()
        )
        made.append(
            Version(
                id=f"v{number}",
                label=f"v{number + 1}",
                parent="v0" if number else None,
                reason="a step" if number else "",
                parts=parts,
                created_at=START + timedelta(days=number),
            )
        )
    return tuple(made)


def session(number: int, random: Random) -> Session:
    """A triangle test of two versions by twelve assessors."""
    a, b = random.sample(range(VERSIONS), 2)
    pair = [Sample(kind="version", id=f"v{one}", name=f"v{one + 1}") for one in (a, b)]
    plan = Plan(method="triangle", a=pair[0], b=pair[1], assessors=ASSESSORS)
    at = START + timedelta(days=30 + number)
    opened = Session(id=f"s{number}", name=f"Session {number}", plan=plan, planned_at=at).opened(
        at, random
    )
    share = 0.85 if abs(a % 5 - b % 5) + abs(a // 5 - b // 5) > 2 else 0.5
    answers = tuple(
        Answer(
            assessor=served.assessor,
            replicate=served.replicate,
            choice=_choice(opened, served, random.random() < share),
            given_at=at,
        )
        for served in opened.sets
    )
    return Session.model_validate({**dict(opened), "answers": answers}).closed(at)


def _choice(opened: Session, served: object, right: bool) -> str:
    return next(
        choice
        for choice in opened.plan.choices(served.codes)  # type: ignore[attr-defined]
        if opened.plan.is_counted(served, choice) == right  # type: ignore[arg-type]
    )


def fill(engine: Engine, count: int) -> None:
    """A database with so many closed sessions."""
    random = Random(1)
    formula = Formula(id="spritz", name="Spritz", invented="a benchmark", versions=versions())
    made = tuple(session(number, random) for number in range(count))
    import_documents(engine, [Document(formulas=(formula,), sessions=made)])


@contextmanager
def signed_in_app(count: int) -> Iterator[tuple[Engine, AppTest]]:
    """The app for a host who has signed in, on such a database."""
    with tempfile.TemporaryDirectory() as folder, pytest.MonkeyPatch.context() as patch:
        address = file_address(Path(folder) / "log.sqlite3")
        engine = open_database(address)
        fill(engine, count)
        choose_passphrase(engine, "rhubarb and bay")
        token = host_logins.begin(engine, link_secret(engine, "rhubarb and bay"), datetime.now(UTC))
        patch.setenv(DATABASE, address)
        patch.setattr(access, "host_token", lambda: token)
        yield engine, AppTest.from_file(str(APP), default_timeout=300)
        engine.dispose()


def reading(engine: Engine) -> None:
    """What every run would do without keeping anything."""
    fit_thresholds(sessions.closed_sessions(engine), partial(formulas.drink, engine))


def main(count: int) -> int:
    """Measure, print, and compare with the floors."""
    with signed_in_app(count) as (engine, app):
        cold = seconds(app.run, 1)
        if app.exception or app.error:
            print("the page failed:", [one.value for one in (*app.exception, *app.error)])
            return 1
        warm = seconds(app.run, 9)
        again = seconds(partial(reading, engine), 1)
    print(f"{count} closed sessions: first run {cold:.2f} s, reading and fitting {again:.2f} s")
    lines = [
        Line("dashboard, warm, in milliseconds", 1000 * warm, MOST_MS, at_least=False),
        Line("reading and fitting all of them again / warm", again / warm, LEAST_RATIO, True),
    ]
    print(*lines, sep="\n")
    return 0 if all(line.met for line in lines) else 1


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if sys.argv[1:] else SESSIONS))
