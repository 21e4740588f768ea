"""The command line: `tasting ...`, or `python -m tasting ...`.

Every command prints for people, and with `--json` for machines. Exit code 0: done; 1: something
that is kept is damaged, which is named on standard error, and all else is done; 2: bad input, with
one sentence on standard error. Only the module of the command that was typed is imported.
"""

import os
import re
import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from typing import Any

import typer
from pydantic_core import ValidationError
from typer.core import TyperGroup
from typer.main import get_command

from tasting.errors import DamagedError, TastingError

DONE, DAMAGED, BAD_INPUT, INTERRUPTED = 0, 1, 2, 130
_LONGEST_SENTENCE = 800
_TOO_MUCH = re.compile(r"Got unexpected extra argument(?:s|\(s\))? \((.*)\)\.?", re.DOTALL)

# Where each command lives in this folder, and its line in the list of commands.
COMMANDS = {
    "app": ("app:app", "Start the web app."),
    "demo": (
        "app:demo",
        "Fill a new database with the sample workshop, all of it invented, and start the web app.",
    ),
    "compose": (
        "drinks:compose_file",
        "Composition of the formulas in a document, with intervals and cautions.",
    ),
    "adjust": (
        "adjusting:adjust_file",
        "Which pinch: every move to a goal with one ingredient, and the best combination.",
    ),
    "formulate": (
        "formulating:formulate_file",
        "From the label: amounts that match all a reference states, or what excludes what.",
    ),
    "measured": (
        "measuring:measured",
        "What measurements of a bottle say: extract, sugar, alcohol and TA, with uncertainty.",
    ),
    "batch": (
        "batching:batch_file",
        "From the bench to a batch, rounded to what the scale and the cylinder can show.",
    ),
    "size": (
        "panel_size:size",
        "How many tastings a method needs, or what a number of tastings can detect.",
    ),
    "methods": (
        "panel_size:methods",
        "Every method side by side: what each needs for the same sensory distance.",
    ),
    "table": (
        "tables:table",
        "Critical numbers: the fewest answers of a kind that show a difference.",
    ),
    "analyse": (
        "evidence:analyse",
        "The finding of each closed session in a document, or of a panel on paper.",
    ),
    "notice": (
        "noticing:notice_files",
        "How big a step in acid or sugar people notice, and what the sessions cannot tell.",
    ),
    "rank": (
        "ranking:rank",
        "Do three or more products differ in their ranks? Friedman's test, and which pairs do.",
    ),
    "answers": (
        "paper:answers",
        "Save answers from paper in an open session: all of the file, or none of it.",
    ),
    "import": (
        "import_export:import_files",
        "Import formulas, references and sessions from documents into the database.",
    ),
    "export": (
        "import_export:export",
        "Export everything but open sessions, or some sessions, as a JSON document or CSV.",
    ),
    "data": (
        "data_out:data",
        "Closed sessions and all versions as tidy tables with a dictionary of their columns.",
    ),
    "report": (
        "reporting:report",
        "The report of a closed session: one HTML file to send, or to print on A4 or Letter.",
    ),
    "backup": (
        "backup:backup",
        "Copy the whole database to a new file; the app can keep running.",
    ),
    "selfcheck": (
        "selfcheck:selfcheck",
        "Compute every published value again on this machine; exit 1 on a miss.",
    ),
    "restore": (
        "backup:restore",
        "Check a copy and restore it as the database; stop the app first.",
    ),
    "check": (
        "backup:check",
        "Check all that is saved: file, schema, triggers, drinks, seals, and counts of sessions.",
    ),
}


class _ImportedWhenTyped(TyperGroup):
    """A group that lists commands by their lines, and imports the one that is to run."""

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """The command that these arguments name, its parameters with it."""
        name, listed, rest = super().resolve_command(ctx, args)
        return name, _command(name) if name in COMMANDS else listed, rest


def function_of(name: str) -> Callable[..., int | None]:
    """The function that runs this command."""
    module, _, function = COMMANDS[name][0].partition(":")
    run_it: Callable[..., int | None] = getattr(import_module(f"tasting.cli.{module}"), function)
    return run_it


def _command(name: str) -> Any:
    alone = typer.Typer(add_completion=False, pretty_exceptions_enable=False)
    alone.command(name)(function_of(name))
    return get_command(alone)


cli = typer.Typer(
    cls=_ImportedWhenTyped,
    help="A blind-tasting log for people who develop drinks.",
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
)
for name, (_, line) in COMMANDS.items():
    cli.command(name, help=line)(lambda: None)


def run(arguments: Sequence[str]) -> int:
    """Run one command and return its exit code; a fault is said in one sentence."""
    try:
        code = cli(list(arguments), prog_name="tasting", standalone_mode=False)
    except typer.Abort:
        return INTERRUPTED
    except typer.TyperException as error:
        return _refuse(_in_our_words(next(iter(arguments), ""), error.format_message()))
    except ValidationError as error:
        from tasting.records import sentence  # imports pydantic, which the help does not need

        return _refuse(sentence(error))
    except DamagedError as error:
        _refuse(str(error))
        return DAMAGED
    except TastingError as error:
        return _refuse(str(error))
    except BrokenPipeError:  # whoever reads has enough, as `head` does after some lines
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except OSError as error:
        return _refuse(f"cannot use {error.filename or 'a file'}: {error.strerror or error}")
    return code or DONE


def _in_our_words(command: str, message: str) -> str:
    """What was typed too much, and how to mend it."""
    extra = _TOO_MUCH.fullmatch(message.strip())
    if not extra:
        return message
    if command == "analyse":
        return (
            f"analyse takes one file, so {extra[1]} is too much. Write counts to a .csv with the "
            "columns assessor,tastings,correct; `tasting table METHOD` shows the number needed."
        )
    return f"{extra[1]} is too much for {command}; `tasting {command} --help` lists what it takes."


def _refuse(message: str) -> int:
    """Say one sentence of bounded length, whatever was typed into it."""
    if not message:
        return BAD_INPUT
    from tasting.cli.show import one_line

    said = one_line(message)
    if len(said) > _LONGEST_SENTENCE:
        said = f"{said[: _LONGEST_SENTENCE // 2]} … {said[-_LONGEST_SENTENCE // 2 :]}"
    typer.echo(said.encode("utf-8", "replace").decode(), err=True)
    return BAD_INPUT
