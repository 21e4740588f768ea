"""Every page of the app, in each of its states: what is walked to see that all can use it.

A page that is added gets one line in a list here; `test_access.py` and `heights.py` take it from
there.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from urllib.parse import quote

from sqlalchemy import Engine

from sample_sessions import documents
from tasting.drink.bench import Added, Tasted, TastedAway
from tasting.panel.session import Session
from tasting.store import ballots, bench, formulas, sessions
from tasting.store.documents import Document, fill, read_document
from tests.ui.workshop import closed, planned

SECRET = b"secret of the links"
DRINKS_COMPARED = ("spritz-11", "spritz-12")


@dataclass(frozen=True, slots=True)
class Place:
    """A page and what is opened on it.

    address: below the app's, with the ids of `ids` in braces; title: what stands on its tab before
    "· Tasting log"; menu: the place in the menu that is marked; parts: what is pressed on it, one
    after the other, and looked at each time; deep: whether its address opens some depth already
    """

    name: str
    address: str
    title: str
    menu: str = ""
    parts: tuple[str, ...] = ()
    deep: bool = False


SPRITZ, BOTTLE = "Rhubarb and bay spritz", "Reference bottle R"

EMPTY = (
    Place("Dashboard, empty", "", "Dashboard", "Dashboard"),
    Place("Drinks, empty", "drinks", "Drinks", "Drinks"),
    Place("Tastings, empty", "tastings", "Tastings", "Tastings"),
    Place("New tasting, without drinks", "new", "New tasting", "Tastings"),
    Place("History, empty", "history", "History", "History"),
)
"""Pages of the host before anything is saved."""

DASHBOARD = (
    "Change",
    "Versions",
    "Noticeable steps",
    "Predict a test",
    "Next session",
    "Next version",
    "All sessions",
    "Against the label",
)
DRINK = (
    "Versions",
    "Notes and cost",
    "Adjust",
    "Batch",
    "All figures",
    "Label",
    "Edit as a table",
    "Duplicate, rename, archive",
)
READ_CLOSER = (
    "Numbers and sources",
    "Panel checks",
    "Answers and serving key",
    "Plan",
    "Record and fingerprint",
    "Summary to copy",
)
LOOKS = (
    "Repeated comparisons",
    "Closer to the reference?",
    "Preferred versions",
    "False alarms",
    "Assessors",
)
WORKSHOP = (
    Place("Dashboard", "", "Dashboard", "Dashboard", DASHBOARD),
    Place("Drinks", "drinks", "Drinks", "Drinks"),
    Place("Drink", "drink?id={formula}", SPRITZ, "Drinks", DRINK),
    Place("Reference", "drink?id={reference}", BOTTLE, "Drinks", ("Correct or complete it",)),
    Place("New formula", "drink?new=formula", "New formula", "Drinks", ("Version name and aim",)),
    Place("New reference", "drink?new=reference", "New reference", "Drinks"),
    Place("From the label", "label?id={reference}", f"From the label of {BOTTLE}", "Drinks"),
    Place("Bench, pouring", "bench?version={latest}", "Pour a glass of v12", "Drinks"),
    Place("No such glass", "bench?id=none", "No such glass", "Drinks"),
    Place("No such drink", "drink?id=none", "No such drink", "Drinks"),
    Place("Tastings", "tastings", "Tastings", "Tastings"),
    Place("New tasting", "new", "New tasting", "Tastings"),
    Place("Edit the plan", "new?edit={planned}", "Edit the plan", "Tastings"),
    Place("Tasting, planned", "tasting?id={planned}", "{planned name}", "Tastings"),
    Place(
        "Tasting, open",
        "tasting?id={open}",
        "{open name}",
        "Tastings",
        ("Answers", "Pour", "Paper", "Corrections", "Close"),
    ),
    Place("Tasting, closed", "tasting?id={closed}", "{closed name}", "Tastings", READ_CLOSER),
    Place("Tasting, closed, preference", "tasting?id={liking}", "{liking name}", "Tastings"),
    Place("No such tasting", "tasting?id=none", "Tasting", "Tastings"),
    Place("History", "history", "History", "History"),
    *(
        Place(f"History, {look}", f"history?look={quote(look)}", "History", "History", deep=True)
        for look in LOOKS
    ),
    Place("History, nothing fits", "history?search=xyzzy", "History", "History"),
    Place("Data and help", "host", "Data and help", "", ("Host",)),
)
"""Pages of the host in the invented workshop, with what is opened on them."""

LATER = (
    Place("Bench", "bench?id={glass}", "At the bench: v12", "Drinks"),
    Place("Tasting, given up", "tasting?id=given-up", "Session given-up", "Tastings"),
    Place("Tasting, alone", "tasting?id=alone", "Session alone", "Tastings", ("Pour", "Link")),
    Place(
        "Tasting, closed, sequential",
        "tasting?id=looked",
        "Session looked",
        "Tastings",
        ("Numbers and sources",),
    ),
    Place(
        "Tasting, closed, nobody",
        "tasting?id=nobody",
        "Session nobody",
        "Tastings",
    ),
)
"""Sessions that the workshop has none of: `add_later` makes them."""

PRINTED = (
    Place("Report", "print/{closed}/report", "Report: {closed name}"),
    Place("Paper ballots", "print/{open}/ballots", "Paper ballots"),
    Place("Cup labels", "print/{open}/labels", "Cup labels"),
    Place("Seat cards", "print/{open}/cards", "Seat cards"),
)
FAULTS = (
    Place("No such page", "nothing", "No such page"),
    Place("Nothing to print", "print/none/labels", "Nothing to print"),
    Place("Ballot without a seat", "ballot", "Your tasting"),
    Place("Ballot, unknown link", "?seat=unknown", "Your tasting"),
    Place("Pour sheet, unknown link", "pour/none", "Pour sheet"),
    Place("Pour sheet, door", "pour/{open}", "Pour sheet"),
)


def fill_workshop(engine: Engine) -> None:
    """The invented workshop, in a log that may have been open before."""
    fill(engine, *map(read_document, documents()))


def ids(engine: Engine) -> dict[str, str]:
    """What the addresses and titles of places hold in braces."""
    known = {one.state: one for one in sessions.summaries(engine) if one.id.startswith("session")}
    known["liking"] = next(
        one
        for one in sessions.summaries(engine)
        if one.state == "closed" and one.plan.method == "preference"
    )
    (formula,), (reference,) = formulas.formulas(engine), formulas.references(engine)
    names = {f"{state} name": one.name for state, one in known.items()}
    found = {state: one.id for state, one in known.items()}
    drinks = {"formula": formula.id, "reference": reference.id, "latest": formula.versions[-1].id}
    return {**found, **names, **drinks}


def session(name: str, method: str = "triangle", **more: object) -> Session:
    """A planned session of two versions of the workshop, for one assessor."""
    return planned(name, method, *DRINKS_COMPARED, **{"assessors": ("P01",), **more})


def add_later(engine: Engine) -> dict[str, str]:
    """A glass at the bench, and sessions given up, tasted alone, and ended in other ways."""
    now = datetime.now(UTC)
    for one in (session("given-up"), session("alone", alone=True)):
        sessions.plan_session(engine, one)
    sessions.abandon_session(engine, "given-up", now, "The bottle broke")
    sessions.open_session(engine, "alone", now)
    panel = tuple(f"P{seat:02d}" for seat in range(1, 13))
    looked = session("looked", sequential=True, first_look=6, look_every=3, assessors=panel)
    ended = closed(looked, 10, 2), closed(session("nobody"), 0, 0, "Nobody came")
    fill(engine, Document(sessions=ended))
    latest = formulas.formulas(engine)[0].versions[-1]
    glass = bench.pour(engine, latest.id, 225)
    bench.add_step(engine, glass, Added(part=latest.parts[1]), 0)
    bench.add_step(engine, glass, TastedAway(volume_ml=10), 1)
    bench.add_step(engine, glass, Tasted(note="Sharper, still flat at the end."), 2)
    return {"glass": glass}


def ballot_links(engine: Engine, wanted: Sequence[Session]) -> list[str]:
    """The addresses of the ballots of these sessions, which are saved and opened."""
    found = []
    for one in wanted:
        sessions.plan_session(engine, one)
        sessions.open_session(engine, one.id, datetime.now(UTC) - timedelta(hours=1))
        found += [f"?seat={token}" for token in ballots.links(engine, one.id, SECRET).values()]
    return found
