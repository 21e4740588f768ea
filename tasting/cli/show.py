"""How the commands print: sentences and tables for people, JSON for machines."""

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager, nullcontext
from dataclasses import fields, is_dataclass
from enum import Enum
from typing import Annotated, Any

import typer
from pydantic import BaseModel
from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table

from tasting.panel.methods import Method

Json = Annotated[bool, typer.Option("--json", help="Print JSON for machines.")]


def one_line(text: str) -> str:
    """A text on one line, without the control characters that a terminal would obey."""
    return "".join(sign if sign.isprintable() else " " for sign in text).rstrip()


def tell(*lines: str) -> None:
    """Print lines as they are."""
    for line in lines:
        typer.echo(one_line(line))


def set_aside(sentences: Sequence[str]) -> int:
    """Says on standard error which sessions were left out because they are damaged; returns the
    exit code: 0 for none, else 1."""
    for sentence in sentences:
        typer.echo(one_line(f"Set aside: {sentence}."), err=True)
    return 1 if sentences else 0


@contextmanager
def progress(what: str) -> Iterator[Callable[[float, float], None]]:
    """Takes how much is done, of how much; draws it on standard error where somebody looks.

    what: is being done; nothing is drawn before the first step is
    """
    screen = Console(stderr=True)
    if not screen.is_terminal:
        yield lambda done, of: None
        return
    from rich.progress import Progress  # which takes long to import

    with ExitStack() as drawn:
        bar = Progress(console=screen, transient=True)
        step = bar.add_task(one_line(what), total=None)

        def show(done: float, of: float) -> None:
            if not bar.live.is_started:
                drawn.enter_context(bar)
            bar.update(step, completed=done, total=of)

        yield show


@contextmanager
def waiting(what: str) -> Iterator[None]:
    """Says on standard error what takes its time, where somebody looks."""
    screen = Console(stderr=True)
    with screen.status(one_line(what)) if screen.is_terminal else nullcontext():
        yield


def show_table(
    title: str, header: Sequence[str], rows: Iterable[Sequence[str]], *, text_columns: int = 1
) -> None:
    """Print a table whose first columns hold text and whose others hold numbers."""
    table = Table(box=SIMPLE_HEAD, padding=(0, 0), pad_edge=False)
    for index, name in enumerate(header):
        numeric = index >= text_columns
        table.add_column(
            name, justify="right" if numeric else "left", no_wrap=numeric, overflow="fold"
        )
    for row in rows:
        table.add_row(*map(one_line, row))
    tell(title)
    Console(markup=False, emoji=False, highlight=False).print(table)


def show_json(value: object) -> None:
    """Print a value as JSON."""
    typer.echo(json.dumps(to_json(value), indent=2, ensure_ascii=False))


def to_json(value: object) -> Any:
    """A result made of what JSON knows; a method becomes its key.

    >>> from tasting.stats.results import Interval
    >>> to_json(Interval(0.25, 0.5, 0.95))
    {'low': 0.25, 'high': 0.5, 'confidence': 0.95}
    """
    if isinstance(value, Method):
        return value.key
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, BaseModel):
        return value.model_dump(mode="json", by_alias=True)
    if is_dataclass(value):
        return {field.name: to_json(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Mapping):
        return {name: to_json(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple):
        return [to_json(inner) for inner in value]
    return value
