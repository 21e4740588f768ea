"""`tasting answers`: answers from paper ballots into an open session, which stays blind."""

from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated

import typer

from tasting.cli.connection import Database, address_of, existing, opened
from tasting.cli.show import Json, show_json, tell
from tasting.panel.ballots import SLIP_COLUMNS, typed_answers
from tasting.store import sessions
from tasting.store.documents import read_text
from tasting.store.paper import enter_typed

SessionId = Annotated[str, typer.Argument(metavar="SESSION", help="The id of an open session.")]
SlipFile = Annotated[
    Path,
    typer.Argument(metavar="FILE", help=f"A .csv with the columns {', '.join(SLIP_COLUMNS)}."),
]


def answers(
    session: SessionId, file: SlipFile, database: Database = None, as_json: Json = False
) -> None:
    """Save answers from paper in an open session: all of the file, or none of it."""
    typed = typed_answers(read_text(file))
    with opened(existing(address_of(database))) as engine:
        kept = enter_typed(engine, session, typed, datetime.now(UTC))
        known = sessions.summary(engine, session)
    if as_json:
        return show_json({"kept": kept, "answered": known.answered, "planned": known.plan.tastings})
    what = "answer" if kept == 1 else "answers"
    tell(f"Saved {kept} {what}: {known.answered} of {known.plan.tastings} are in.")
