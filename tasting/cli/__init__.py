"""The command line: `tasting ...`, or `python -m tasting ...`.

Every command prints for people, and with `--json` for machines. Exit code 0: done; 1: something
that is kept is damaged, which is named on standard error, and all else is done; 2: bad input, with
one sentence on standard error.
"""

import sys
from collections.abc import Callable, Sequence

import typer
from pydantic import ValidationError

from tasting.cli import (
    adjusting,
    app,
    backup,
    batching,
    drinks,
    evidence,
    import_export,
    noticing,
    panel_size,
    paper,
    ranking,
    tables,
)
from tasting.cli.show import one_line
from tasting.errors import DamagedError, TastingError
from tasting.records import sentence

DONE, DAMAGED, BAD_INPUT, INTERRUPTED = 0, 1, 2, 130

cli = typer.Typer(
    help="A blind-tasting log for people who develop drinks.",
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
)
COMMANDS: dict[str, Callable[..., int | None]] = {
    "app": app.app,
    "demo": app.demo,
    "compose": drinks.compose_file,
    "adjust": adjusting.adjust_file,
    "batch": batching.batch_file,
    "size": panel_size.size,
    "methods": panel_size.methods,
    "table": tables.table,
    "analyse": evidence.analyse,
    "notice": noticing.notice_files,
    "rank": ranking.rank,
    "answers": paper.answers,
    "import": import_export.import_files,
    "export": import_export.export,
    "backup": backup.backup,
    "restore": backup.restore,
    "check": backup.check,
}
for name, command in COMMANDS.items():
    cli.command(name)(command)


def main() -> None:
    """Run the command that was typed, and exit."""
    sys.exit(run(sys.argv[1:]))


def run(arguments: Sequence[str]) -> int:
    """Run one command and return its exit code; a fault is said in one sentence."""
    try:
        code = cli(list(arguments), prog_name="tasting", standalone_mode=False)
    except typer.Abort:
        return INTERRUPTED
    except typer.TyperException as error:
        return _refuse(error.format_message())
    except ValidationError as error:
        return _refuse(sentence(error))
    except DamagedError as error:
        _refuse(str(error))
        return DAMAGED
    except TastingError as error:
        return _refuse(str(error))
    return code or DONE


def _refuse(message: str) -> int:
    if message:
        typer.echo(one_line(message), err=True)
    return BAD_INPUT
