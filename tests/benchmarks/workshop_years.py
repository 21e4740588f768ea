"""An invented workshop that tasted for years: any number of closed sessions, in documents.

Twenty versions on a grid of acid and sugar; 24 answers a session, by 24 assessors or, in every
tenth session, by twelve with two sets each. All of it is drawn by a program.
"""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from tasting.drink.formula import Formula, Part, Version
from tasting.panel.entries import Answer
from tasting.panel.plan import Plan, Sample
from tasting.panel.serving import ServingSet
from tasting.panel.session import Session
from tasting.store.documents import Document, write_document

START = datetime(2016, 1, 10, 18, 0, tzinfo=UTC)
ASSESSORS = tuple(f"P{number:02d}" for number in range(1, 25))
VERSIONS, IN_A_FILE = 20, 500
INVENTED = "drawn for a benchmark"


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


def planned(number: int, random: Random, at: datetime) -> Session:
    """A triangle test of two versions; every fifth is a preference, every seventh a direction."""
    a, b = random.sample(range(VERSIONS), 2)
    pair = [Sample(kind="version", id=f"v{one}", name=f"v{one + 1}") for one in (a, b)]
    method = "preference" if number % 5 == 0 else "paired" if number % 7 == 0 else "triangle"
    asked = {"attribute": "more sour"} if method == "paired" else {}
    panel = {"assessors": ASSESSORS}
    if number % 10 == 3:
        panel = {"assessors": ASSESSORS[:12], "replicates": 2}
    plan = Plan.model_validate({"method": method, "a": pair[0], "b": pair[1]} | asked | panel)
    return Session(
        id=f"s{number}", name=f"Evening {number}", plan=plan, planned_at=at, invented=INVENTED
    )


def session(number: int, random: Random) -> Session:
    """A planned one after its evening; who tastes notices the more, the further the two lie apart
    on the grid."""
    at = START + timedelta(hours=8 * number)
    opened = planned(number, random, at).opened(at, random)
    a, b = (int(sample.id.removeprefix("v")) for sample in (opened.plan.a, opened.plan.b))
    share = 0.85 if abs(a % 5 - b % 5) + abs(a // 5 - b // 5) > 2 else 0.5
    answers = tuple(
        Answer(
            assessor=served.assessor,
            replicate=served.replicate,
            choice=_choice(opened, served, random.random() < share),
            given_at=at + timedelta(seconds=20 * place),
        )
        for place, served in enumerate(opened.sets)
    )
    done = Session.model_validate({**dict(opened), "answers": answers})
    return done.closed(at + timedelta(hours=1))


def _choice(opened: Session, served: ServingSet, right: bool) -> str:
    choices = opened.plan.choices(served.codes)
    return next(one for one in choices if opened.plan.is_counted(served, one) == right)


def documents(count: int) -> Iterator[Document]:
    """So many sessions in documents of IN_A_FILE; the first one holds the formula."""
    random = Random(1)
    for first in range(0, count, IN_A_FILE):
        formula = Formula(id="spritz", name="Spritz", invented=INVENTED, versions=versions())
        yield Document(
            invented=INVENTED,
            formulas=() if first else (formula,),
            sessions=tuple(
                session(number, random) for number in range(first, min(count, first + IN_A_FILE))
            ),
        )


def write_files(folder: Path, count: int) -> list[Path]:
    """The same as files."""
    files = []
    for number, document in enumerate(documents(count)):
        files.append(folder / f"years-{number:03d}.json")
        files[-1].write_text(write_document(document), "utf-8")
    return files
