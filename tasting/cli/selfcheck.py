"""`tasting selfcheck`: every published value, computed again on this machine."""

from typing import Annotated

import typer
from rich.console import Console
from rich.progress import track

from tasting.cli.show import Json, show_json, show_table, tell, to_json
from tasting.published.check import PublishedValue
from tasting.published.tables import OVERVIEW, TABLES, VALUES, overview, summary, value_row

All = Annotated[bool, typer.Option("--all", help="List every value, not only what deviates.")]
_MISSED = 1


def selfcheck(every_value: All = False, as_json: Json = False) -> None:
    """Compute every published value again on this machine; exit 1 on a miss."""
    checks = _computed()
    if as_json:
        show_json(
            [
                {**to_json(check), "deviation": check.deviation, "agrees": check.agrees}
                for check in checks
            ]
        )
    else:
        shown = [check for check in checks if every_value or check.deviates]
        show_table("Published values", OVERVIEW, overview(checks), text_columns=3)
        show_table("One by one", VALUES, map(value_row, shown), text_columns=4)
        tell(summary(checks))
    if not all(check.agrees for check in checks):
        raise typer.Exit(_MISSED)


def _computed() -> list[PublishedValue]:
    screen = Console(stderr=True)
    steps = track(
        TABLES, "Computing", console=screen, transient=True, disable=not screen.is_terminal
    )
    return [check for table in steps for check in table()]
