"""The command line: `tasting ...`, or `python -m tasting ...`.

Every command prints for people, and with `--json` for machines. Exit code 0: done; 2: bad input,
with one sentence on standard error.
"""

import os
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
from tasting.errors import TastingError
from tasting.records import sentence

DONE, BAD_INPUT, INTERRUPTED = 0, 2, 130
_LONGEST_SENTENCE = 800

cli = typer.Typer(
    help="A blind-tasting log for people who develop drinks.",
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
)
COMMANDS: dict[str, Callable[..., None]] = {
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
}
for name, command in COMMANDS.items():
    cli.command(name)(command)


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
    except TastingError as error:
        return _refuse(str(error))
    except BrokenPipeError:  # whoever reads has enough, as `head` does after some lines
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except OSError as error:
        return _refuse(f"cannot use {error.filename or 'a file'}: {error.strerror or error}")
    return code or DONE


def _refuse(message: str) -> int:
    """Say one sentence of bounded length, whatever was typed into it."""
    said = one_line(message)
    if len(said) > _LONGEST_SENTENCE:
        said = f"{said[: _LONGEST_SENTENCE // 2]} … {said[-_LONGEST_SENTENCE // 2 :]}"
    if said:
        typer.echo(said.encode("utf-8", "replace").decode(), err=True)
    return BAD_INPUT
