"""A bare route to hold the app against: Starlette, and one row with the same durability.

`python -m tests.faults.bare ADDRESS PORT` serves it. The row goes through SQLAlchemy into a table
of its own in the same kind of database: on SQLite with WAL and synchronous FULL.
"""

import asyncio
import sys
import time
from collections.abc import Sequence
from contextlib import ExitStack
from pathlib import Path
from subprocess import DEVNULL, Popen

import uvicorn
from sqlalchemy import Engine, text
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from tasting.store.database import open_database, writing
from tests.faults.phone import Phone
from tests.serving import free_port, healthy


def app(engine: Engine) -> Starlette:
    """The application: a form in, a row on disk, a word back."""
    row = text("INSERT INTO bare (said) VALUES (:said)")

    def kept(said: str) -> None:
        with writing(engine) as connection:
            connection.execute(row, {"said": said})

    async def answer(request: Request) -> Response:
        await run_in_threadpool(kept, (await request.body()).decode())
        return PlainTextResponse("ok")

    routes = [Route("/", answer, methods=["POST"]), Route("/health", lambda _: ok())]
    return Starlette(routes=routes)


def ok() -> Response:
    """That it answers."""
    return PlainTextResponse("ok")


def rate(address: str, folder: Path, processes: int, phones: int, rows: int) -> float:
    """Rows a second, from so many phones that send so many each, over these processes."""
    engine = open_database(address)
    with writing(engine) as connection:
        connection.execute(text("CREATE TABLE IF NOT EXISTS bare (said TEXT)"))
    engine.dispose()
    ports = [free_port() for _ in range(processes)]
    urls = [f"http://127.0.0.1:{port}" for port in ports]
    with ExitStack() as running:
        for port in ports:
            command = [sys.executable, "-m", __name__, address, str(port)]
            server = Popen(command, cwd=Path(__file__).parents[2], stderr=DEVNULL)
            running.callback(server.wait)
            running.callback(server.kill)
        while not all(map(healthy, urls)):
            time.sleep(0.1)
        began = time.monotonic()
        asyncio.run(_sent(urls, phones, rows))
        return phones * rows / (time.monotonic() - began)


async def _sent(urls: Sequence[str], phones: int, rows: int) -> None:
    async def one(number: int) -> None:
        phone = Phone(urls[number % len(urls)])
        for turn in range(rows):
            await phone.ask("POST", "/", f"set={turn}&choice=741&key=abcdefghijklmnopqrst")
        phone.drop()

    async with asyncio.TaskGroup() as together:
        for number in range(phones):
            together.create_task(one(number))
    await asyncio.sleep(0.1)  # until the last connection is closed


if __name__ == "__main__":
    served = app(open_database(sys.argv[1]))
    uvicorn.run(served, port=int(sys.argv[2]), log_level="warning", access_log=False)
