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
    write_parts,
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
        texts = [dumps(json_schema(), indent=2) + "\n"]
    else:
        with opened(existing(address_of(database))) as engine:
            texts = _texts(engine, session, csv, aside, whole=output is None)
    if output is None:
        typer.echo("".join(texts), nl=False)
    else:
        _write_parts(output, texts, as_json)
    return set_aside(aside)


def _texts(
    engine: Engine, chosen: Sequence[str] | None, csv: bool, aside: list[str], *, whole: bool
) -> list[str]:
    """whole: as one text, however large"""
    if csv:
        return [_csv(engine, chosen, aside)]
    with progress("Exporting") as show:
        document = export_document(engine, chosen, aside, show)
        return [write_document(document)] if whole else write_parts(document)


def _write_parts(output: Path, texts: Sequence[str], as_json: bool) -> None:
    """One file, or numbered ones where one would be too large to be imported again."""
    files = [output] if len(texts) == 1 else [_numbered(output, at + 1) for at in range(len(texts))]
    for file, text in zip(files, texts, strict=True):
        write_new(file, text)
    names = list(map(str, files))
    if as_json:
        show_json({"output": names[0] if len(names) == 1 else names})
    elif len(files) == 1:
        tell(f"Written to {output}.")
    else:
        tell(f"Written to {files[0]} … {files[-1].name}: too much for one file.")
        tell("Import all of them with one command: the first holds the drinks of the others.")


def _numbered(output: Path, number: int) -> Path:
    return output.with_name(f"{output.stem}-{number}{output.suffix}")


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
