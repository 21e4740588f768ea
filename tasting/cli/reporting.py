"""`tasting report`: the report of a closed session as one file to send or to print."""

from pathlib import Path
from typing import Annotated

import typer
from sqlalchemy import Engine

from tasting.cli.connection import Database, address_of, existing, opened
from tasting.cli.import_export import write_new
from tasting.cli.show import Json, show_json, tell
from tasting.errors import InputError
from tasting.panel.session import Session
from tasting.report.session_report import session_report_html, summary
from tasting.store import formulas
from tasting.store.sessions import closed_session, summaries
from tasting.store.todays_finding import todays_finding

Wanted = Annotated[str, typer.Argument(metavar="SESSION", help="Its id, or its name.")]
Output = Annotated[
    Path | None, typer.Option(help="A new HTML file to write; else report-ID.html here.")
]
Paragraph = Annotated[bool, typer.Option("--summary", help="One paragraph to paste, and no file.")]


def report(
    wanted: Wanted,
    output: Output = None,
    paragraph: Paragraph = False,
    database: Database = None,
    as_json: Json = False,
) -> None:
    """The report of a closed session: one HTML file to send, or to print on A4 or Letter."""
    with opened(existing(address_of(database))) as engine:
        session = closed_session(engine, _id_of(engine, wanted))
        said, page = _reported(engine, session)
    if paragraph:
        return show_json({"summary": said}) if as_json else tell(said)
    file = output or Path(f"report-{session.id}.html")
    write_new(file, page)
    show_json({"output": str(file), "summary": said}) if as_json else tell(f"Written to {file}.")


def _reported(engine: Engine, session: Session) -> tuple[str, str]:
    """The summary and the page."""
    found = todays_finding(engine, session)
    a, b = formulas.compared(engine, session)
    return summary(session, found), session_report_html(session, found, a, b)


def _id_of(engine: Engine, wanted: str) -> str:
    """An id as it is; a name that one session bears becomes its id. Raises InputError for more."""
    known = summaries(engine)
    named = [one.id for one in known if one.name == wanted]
    if len(named) > 1 and wanted not in {one.id for one in known}:
        raise InputError(f"{len(named)} sessions are called {wanted!r}: {', '.join(named)}")
    return named[0] if len(named) == 1 else wanted
