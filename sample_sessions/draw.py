"""Draws the answers of the invented panel and writes the files of this folder.

Run as `python -m sample_sessions.draw`. The same truth.json, recipes, programme and pantry give the
same files, byte for byte: every session has its own random numbers, started from the seed and its
id, so that a change in one session leaves the others as they are.
"""

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from random import Random

from sample_sessions import FOLDER, recipes
from sample_sessions.evenings import Evening, evenings
from sample_sessions.truth import Contrast, Drink, Truth, contrast, triangle, truth
from tasting.panel import care
from tasting.panel.entries import Answer
from tasting.panel.methods import TRIANGLE, Method
from tasting.panel.paper_import import COLUMNS
from tasting.panel.plan import Plan, Sample
from tasting.panel.serving import ServingSet, serving_orders
from tasting.panel.session import Session
from tasting.store.documents import Document, write_document

INVENTED = (
    "Made up for the demonstration: the panel does not exist; a script drew its answers from a "
    "stated model (truth.json, seed {seed})."
)
MODEL = (
    " The stated truth, B minus A in g/L: distance = sqrt(a^2 + s^2 + 2 rho a s + c^2) with "
    "a = {ta} TA, s = {sugar} sugar, rho = {rho}, and c = {gap} in comparisons with the reference, "
    "else 0; liking is highest at {ideal} g/L of TA."
)
REMARKS = (
    "a guess",
    "very close",
    "the bay lingers",
    "sharper at the end",
    "the bubbles were gone",
    "clear at once",
)
PAPER_PAIR = ("spritz-01", "spritz-04")
PAPER_PEOPLE = 18
PAPER_HEAD = """\
# Invented for the demonstration: this panel does not exist. Drawn by sample_sessions/draw.py, \
seed {seed}.
# Triangle test on paper, {people} assessors, one set each.
# A = {a}, B = {b}; chosen = place of the cup taken for the odd one, from 1.
"""


def main() -> None:
    """Rewrite the files of this folder."""
    for path in write(FOLDER):
        print(path)


def write(folder: Path) -> list[Path]:
    """Write workshop, sessions and paper panel into a folder; returns what was written."""
    return [_written(folder / name, text) for name, text in files(truth()).items()]


def _written(path: Path, text: str) -> Path:
    path.write_text(text, encoding="utf-8", newline="\n")
    return path


def files(model: Truth) -> dict[str, str]:
    """The text of every file that is drawn, by its name."""
    drawn = [session(model, evening) for evening in evenings()]
    about = INVENTED.format(seed=model.seed) + _stated(model)
    documents = {
        "workshop.json": Document(
            invented=recipes.INVENTED,
            formulas=(recipes.formula(),),
            references=(recipes.reference(),),
        ),
        "closed_sessions.json": Document(invented=about, sessions=_of(drawn, "closed")),
        "planned_and_open.json": Document(invented=about, sessions=_of(drawn, "planned", "open")),
    }
    texts = {name: write_document(document) for name, document in documents.items()}
    return texts | {"paper_panel.csv": paper_panel(model)}


def _of(drawn: Sequence[Session], *states: str) -> tuple[Session, ...]:
    return tuple(each for each in drawn if each.state in states)


def _stated(model: Truth) -> str:
    return MODEL.format(
        ta=model.difference.ta_per_g_per_l,
        sugar=model.difference.sugar_per_g_per_l,
        rho=model.difference.rho,
        gap=model.difference.character_gap,
        ideal=model.preference.ideal_ta_g_per_l,
    )


@cache
def drinks() -> dict[str, tuple[Sample, Drink]]:
    """Every drink by its id, with the sample that points to it."""
    formula, bottle = recipes.formula(), recipes.reference()
    known: dict[str, tuple[Sample, Drink]] = {
        version.id: (
            Sample(kind="version", id=version.id, name=f"{formula.name}, {version.label}"),
            version,
        )
        for version in formula.versions
    }
    return known | {bottle.id: (Sample(kind="reference", id=bottle.id, name=bottle.name), bottle)}


def between(a: str, b: str) -> Contrast:
    """The contrast of two drinks by their ids."""
    return contrast(drinks()[a][1], drinks()[b][1])


def session(model: Truth, evening: Evening) -> Session:
    """One session of the programme, with its answers if it was opened."""
    day = datetime.fromisoformat(evening.day).replace(tzinfo=UTC)
    planned = _planned(model, evening, day - timedelta(hours=14))
    if evening.state == "planned":
        return planned
    start = day + timedelta(hours=18)
    salt = f"{_random(model, evening.id, 'salt').getrandbits(128):032x}"
    opened = planned.opened(start, _random(model, evening.id, "serving plan"), salt)
    answers = tuple(_answers(model, evening, opened, start))[: evening.answered]
    tasted = Session.model_validate({**dict(opened), "answers": answers})
    if evening.state == "open":
        return tasted
    return tasted.closed(answers[-1].given_at + timedelta(minutes=5), evening.early_reason)


def _planned(model: Truth, evening: Evening, moment: datetime) -> Session:
    invented = INVENTED.format(seed=model.seed)
    return Session(
        id=evening.id,
        name=evening.name,
        purpose=evening.purpose,
        invented=invented,
        plan=plan(evening),
        planned_at=moment,
    )


def plan(evening: Evening) -> Plan:
    """What was fixed beforehand, with the care for who tastes."""
    (a, drink_a), (b, drink_b) = drinks()[evening.a], drinks()[evening.b]
    return Plan(
        method=evening.method,
        a=a,
        b=b,
        attribute=evening.attribute,
        expected=evening.expected,
        p_d=0.4,
        assessors=evening.assessors,
        replicates=evening.replicates,
        serving_ml=evening.serving_ml,
        allergens=care.allergens((drink_a, drink_b)),
        alcohol_percent_vol=care.alcohol_percent_vol((drink_a, drink_b)),
    )


def _random(model: Truth, *purpose: str) -> Random:
    return Random(" / ".join((str(model.seed), *purpose)))


def _answers(model: Truth, evening: Evening, opened: Session, start: datetime) -> Iterator[Answer]:
    """All answers of a session, in the order in which they are given."""
    random = _random(model, evening.id, "answers")
    probability = model.probability(opened.plan, between(evening.a, evening.b))
    turns = {who: turn for turn, who in enumerate(opened.plan.assessors)}
    for served in opened.sets:
        option = chosen(opened.plan.procedure, served.order, probability, random)
        yield Answer(
            assessor=served.assessor,
            replicate=served.replicate,
            choice=opened.plan.choices(served.codes)[option],
            remark=_remark(random),
            given_at=start + _after(served, turns[served.assessor], random),
        )


def chosen(method: Method, order: str, probability: float, random: Random) -> int:
    """The option, from 0, that is chosen when one that counts is as likely as this.

    Draws two numbers whatever happens, so that one answer never shifts the next.
    """
    counted, which = random.random() < probability, random.random()
    options = [at for at in range(len(method.options)) if method.is_counted(order, at) == counted]
    return options[int(which * len(options))]


def _remark(random: Random) -> str:
    spoken, which = random.random() < 0.12, random.random()
    return REMARKS[int(which * len(REMARKS))] if spoken else ""


def _after(served: ServingSet, turn: int, random: Random) -> timedelta:
    """A quarter of an hour for each round, in which the assessors answer one after another."""
    return timedelta(
        seconds=240 + 900 * (served.replicate - 1) + 45 * turn + int(40 * random.random())
    )


def paper_panel(model: Truth) -> str:
    """A triangle panel on paper, as CSV."""
    random = _random(model, "paper panel")
    a, b = PAPER_PAIR
    probability = triangle(model.difference.distance(between(a, b)))
    names = {letter: drinks()[id][0].name for letter, id in (("a", a), ("b", b))}
    lines = [",".join(COLUMNS)]
    orders = serving_orders(TRIANGLE, PAPER_PEOPLE, random)
    for number, order in enumerate(orders, start=1):
        place = chosen(TRIANGLE, order, probability, random)
        lines.append(f"W{number:02d},1,{order},{place + 1}")
    head = PAPER_HEAD.format(seed=model.seed, people=PAPER_PEOPLE, **names)
    return head + "\n".join(lines) + "\n"


if __name__ == "__main__":
    main()
