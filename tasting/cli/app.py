"""`tasting app` and `tasting demo`: the web app on your own database, or on the sample workshop."""

from typing import Annotated

import typer
from sqlalchemy import Engine

from sample_sessions import documents
from tasting.cli.connection import Database, DemoDatabase, address_of, opened, shown
from tasting.cli.numbers import port_number
from tasting.cli.show import Json, show_json, tell
from tasting.store.database import data_folder
from tasting.store.documents import fill, read_document
from tasting.store.formulas import samples
from tasting.store.sessions import kept_any

Port = Annotated[int, typer.Option(parser=port_number, metavar="N", help="Where the app listens.")]
Lan = Annotated[
    bool, typer.Option("--lan", help="Listen to the whole network, so that phones reach it.")
]
NoApp = Annotated[bool, typer.Option("--no-app", help="Only fill the database.")]
_DEMO_FILE = "demo.sqlite3"


def app(
    database: Database = None, port: Port = 8501, lan: Lan = False, as_json: Json = False
) -> None:
    """Start the web app."""
    _serve(address_of(database), port, lan, as_json)


def demo(
    database: DemoDatabase = None,
    port: Port = 8501,
    lan: Lan = False,
    no_app: NoApp = False,
    as_json: Json = False,
) -> None:
    """Fill a new database with the sample workshop, all of it invented, and start the web app."""
    address = address_of(database or str(data_folder() / _DEMO_FILE))
    with opened(address) as engine:
        filled = _fill(engine)
    if not as_json:
        tell(_filled_in_words(address, filled))
    if not no_app:
        _serve(address, port, lan, as_json)
    elif as_json:
        show_json({"database": shown(address), "filled": filled})


def _filled_in_words(address: str, filled: bool) -> str:
    if filled:
        return f"Filled {shown(address)} with the sample workshop; all of it is invented."
    return f"{shown(address)} is not empty, so it is used as it is."


def _fill(engine: Engine) -> bool:
    """Put the sample workshop into an empty database; False when it is not empty."""
    if samples(engine) or kept_any(engine):
        return False
    fill(engine, *map(read_document, documents()))
    return True


def _serve(address: str, port: int, lan: bool, as_json: bool) -> None:
    from tasting.cli import server  # imports Streamlit, which no other command needs

    start = server.prepare(address, port, lan)
    if as_json:
        show_json({"url": start.url, "database": shown(address), "setup_code": start.setup_code})
    else:
        tell(*_start_in_words(start.url, shown(address), lan, start.setup_code))
    server.run(start)


def _start_in_words(url: str, database: str, lan: bool, setup_code: str | None) -> list[str]:
    lines = [f"Open {url} in a browser (Ctrl+C stops the app). Database: {database}"]
    if setup_code:
        lines.append(f"Setup code, asked for when you choose the host's passphrase: {setup_code}")
    if lan:
        lines.append(
            "Everyone on this network can reach it, and nothing is encrypted: for HTTPS, leave "
            "out --lan, put a reverse proxy with a certificate in front of it, and set "
            "TASTING_BASE_URL to the proxy's address."
        )
    return lines
