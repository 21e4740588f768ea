"""`tasting import` and `tasting export`: documents in and out of the database, and tidy CSV."""

from collections.abc import Sequence
from json import dumps
from pathlib import Path
from typing import Annotated

import typer
from sqlalchemy import Engine

from tasting.cli.connection import Database, address_of, existing, opened, shown
from tasting.cli.show import Json, progress, set_aside, show_json, tell
from tasting.errors import InputError
from tasting.store.documents import (
    PARTS,
    export_document,
    import_documents,
    json_schema,
    read_document,
    write_document,
)
from tasting.store.private_files import new_file
from tasting.store.sessions import closed_session

Files = Annotated[
    list[Path], typer.Argument(metavar="FILES", help="JSON documents; all are saved, or none.")
]
Sessions = Annotated[
    list[str] | None,
    typer.Option("--session", help="Only the session with this id; may be repeated."),
]
AsCsv = Annotated[bool, typer.Option("--csv", help="The answers of closed sessions as CSV.")]
Schema = Annotated[bool, typer.Option("--schema", help="The JSON Schema of documents instead.")]
Output = Annotated[Path | None, typer.Option(help="A new file to write; else standard output.")]


def import_files(files: Files, database: Database = None, as_json: Json = False) -> None:
    """Import formulas, references and sessions from documents into the database."""
    address = address_of(database)
    with opened(address) as engine, progress("Importing") as show:
        documents = (read_document(file) for file in files)
        counts = import_documents(engine, documents, lambda done: show(done, len(files)))
    told = {part: counts[part] for part in PARTS}
    if as_json:
        return show_json(told)
    kept = ", ".join(f"{what} {count}" for what, count in told.items())
    tell(f"Saved in {shown(address)}: {kept}.")


def export(
    session: Sessions = None,
    csv: AsCsv = False,
    schema: Schema = False,
    output: Output = None,
    database: Database = None,
    as_json: Json = False,
) -> int:
    """Export everything but open sessions, or some sessions, as a JSON document or CSV."""
    if csv and (schema or (as_json and not output)):
        raise InputError("--csv does not go with --schema, nor with --json on standard output")
    aside: list[str] = []
    if schema:
        text = dumps(json_schema(), indent=2) + "\n"
    else:
        with opened(existing(address_of(database))) as engine:
            text = _text(engine, session, csv, aside)
    if output is None:
        typer.echo(text, nl=False)
    else:
        write_new(output, text)
        show_json({"output": str(output)}) if as_json else tell(f"Written to {output}.")
    return set_aside(aside)


def _text(engine: Engine, chosen: Sequence[str] | None, csv: bool, aside: list[str]) -> str:
    if csv:
        return _csv(engine, chosen, aside)
    with progress("Exporting") as show:
        return write_document(export_document(engine, chosen, aside, show))


def _csv(engine: Engine, chosen: Sequence[str] | None, aside: list[str]) -> str:
    from tasting.report.answers import answers_table, safe_csv  # pandas, which is slow to import
    from tasting.store.all_answers import all_answers

    if chosen is None:
        return safe_csv(all_answers(engine, aside))
    return safe_csv(answers_table(closed_session(engine, id_) for id_ in chosen))


def write_new(output: Path, text: str) -> None:
    """Write a file that is not there yet. Raises InputError."""
    if output.exists():
        raise InputError(f"{output} exists already; name a new file")
    try:
        with new_file(output) as unfinished:
            unfinished.write_text(text, "utf-8", newline="")
    except FileExistsError:
        raise InputError(f"{output} exists already; name a new file") from None
    except OSError as error:
        raise InputError(f"cannot write {output}: {error.strerror}") from None
