"""`tasting import` and `tasting export`: documents in and out of the database, and tidy CSV."""

from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from itertools import chain
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
    export_texts,
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
    if schema:
        _hand_over(output, iter([dumps(json_schema(), indent=2) + "\n"]), as_json)
        return 0
    aside: list[str] = []
    with opened(existing(address_of(database))) as engine, progress("Exporting") as show:
        if csv:
            texts = iter([_csv(engine, session, aside)])
        elif output is None:  # one document, however large
            texts = iter([write_document(export_document(engine, session, aside, show))])
        elif session is not None:
            texts = write_parts(export_document(engine, session, aside, show))
        else:
            texts = export_texts(engine, aside, show)
        _hand_over(output, texts, as_json)
    return set_aside(aside)


def _hand_over(output: Path | None, texts: Iterator[str], as_json: bool) -> None:
    """To standard output, or into one file, or into numbered ones where they are several; all of
    them, or none."""
    if output is None:
        typer.echo("".join(texts), nl=False)
        return
    first, second = next(texts), next(texts, None)
    with ExitStack() as unwanted:
        if second is None:
            files = [_write(output, first, unwanted)]
        else:
            numbered = enumerate(chain([first, second], texts), start=1)
            files = [_write(_numbered(output, at), text, unwanted) for at, text in numbered]
        unwanted.pop_all()
    _tell_files(list(map(str, files)), as_json)


def _write(file: Path, text: str, unwanted: ExitStack) -> Path:
    write_new(file, text)
    unwanted.callback(file.unlink)
    return file


def _tell_files(names: Sequence[str], as_json: bool) -> None:
    if as_json:
        show_json({"output": names[0] if len(names) == 1 else names})
    elif len(names) == 1:
        tell(f"Written to {names[0]}.")
    else:
        tell(f"Written to {names[0]} … {Path(names[-1]).name}: too much for one file.")
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
