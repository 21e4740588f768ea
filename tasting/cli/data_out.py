"""`tasting data`: what is closed as tidy tables for other programs."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tasting.cli.connection import Database, address_of, existing, opened
from tasting.cli.show import Json, progress, set_aside, show_json, tell
from tasting.errors import InputError
from tasting.store.formulas import formulas
from tasting.store.private_files import new_file
from tasting.store.sessions import closed_sessions

if TYPE_CHECKING:
    from pandas import DataFrame

Folder = Annotated[Path, typer.Argument(help="A new folder to write the tables into.")]
Parquet = Annotated[bool, typer.Option("--parquet", help="Parquet instead of CSV.")]


def data(
    folder: Folder, parquet: Parquet = False, database: Database = None, as_json: Json = False
) -> int:
    """Closed sessions and all versions as tidy tables with a dictionary of their columns."""
    from tasting.report.data_tables import data_tables  # pandas, which is slow to import
    from tasting.store.all_answers import all_answers

    with opened(existing(address_of(database))) as engine:
        aside: list[str] = []
        with progress("Reading sessions") as show:
            closed = closed_sessions(engine, aside, show)
            tables = data_tables(all_answers(engine, aside), closed, formulas(engine)).by_name
    _write(folder, tables, parquet)
    rows = {name: len(table) for name, table in tables.items()}
    counts = ", ".join(f"{name} {count}" for name, count in rows.items())
    if as_json:
        show_json({"folder": str(folder), "rows": rows})
    else:
        tell(f"Written to {folder}: {counts} rows.")
    return set_aside(list(dict.fromkeys(aside)))


def _write(folder: Path, tables: Mapping[str, "DataFrame"], parquet: bool) -> None:
    from tasting.report.answers import safe_csv

    try:
        folder.mkdir(mode=0o700)
        for name, table in tables.items():
            with new_file(folder / f"{name}.{'parquet' if parquet else 'csv'}") as unfinished:
                if parquet:
                    table.to_parquet(unfinished, index=False)
                else:
                    unfinished.write_text(safe_csv(table), "utf-8", newline="")
    except FileExistsError:
        raise InputError(f"{folder} exists already; name a new folder") from None
    except OSError as error:
        raise InputError(f"cannot write {folder}: {error.strerror}") from None
