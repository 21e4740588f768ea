"""What a connection may say to Streamlit, how much, and how many connections there may be."""

import asyncio
from contextlib import ExitStack

import pytest
from streamlit.proto.BackMsg_pb2 import BackMsg

from tasting.web import sockets
from tasting.web.sockets import MOST_OF_ONE, MOST_STRANGERS, Frames, Sockets

RERUN = BackMsg(rerun_script={"query_string": ""})
HEARTBEAT = BackMsg(app_heartbeat=True)
UPLOAD = BackMsg(file_urls_request={"request_id": "1", "file_names": ["x"]})
STOP = BackMsg(stop_script=True)
FILE = BackMsg(backend_operation_request={"request_id": "1", "deferred_file": {"file_id": "x"}})
SKILLS = BackMsg(backend_operation_request={"request_id": "1", "install_skills": {}})
CACHE = BackMsg(clear_cache=True)
NEVER = (
    CACHE,
    SKILLS,
    BackMsg(load_git_info=True),
    BackMsg(set_run_on_save=True),
    BackMsg(debug_shutdown_runtime=True),
    BackMsg(debug_disconnect_websocket=True),
    BackMsg(),
)


def said_to_streamlit(sent: list[bytes | str], signed_in: bool) -> tuple[list[bytes], list[int]]:
    """Which of these messages reach it, and with which codes the connection was closed."""
    waiting = [
        {"type": "websocket.receive", "bytes" if isinstance(one, bytes) else "text": one}
        for one in sent
    ]
    closed: list[int] = []

    async def receive() -> dict[str, object]:
        return waiting.pop(0) if waiting else {"type": "websocket.disconnect", "code": 1000}

    async def send(message: dict[str, object]) -> None:
        closed.append(int(str(message["code"])))

    async def heard() -> list[bytes]:
        frames, told = Frames(receive, send, signed_in), []
        while (message := await frames.receive())["type"] == "websocket.receive":
            told.append(message["bytes"])
        if closed:
            await frames.send({"type": "websocket.send", "bytes": b"late", "code": 0})
        return told

    return asyncio.run(heard()), closed


@pytest.mark.parametrize("asked", NEVER, ids=lambda one: one.WhichOneof("type") or "nothing")
@pytest.mark.parametrize("signed_in", [True, False])
def test_nobody_clears_the_caches_of_all(asked: BackMsg, signed_in: bool) -> None:
    """60 messages took an SQLite app from 3 to 26 handles, a PostgreSQL app from 16 to 61."""
    sent = [asked.SerializeToString(), RERUN.SerializeToString()]

    assert said_to_streamlit(sent, signed_in) == (sent[1:], [])


@pytest.mark.parametrize(
    ("asked", "signed_in", "heard"),
    [
        *((one, True, True) for one in (RERUN, HEARTBEAT, UPLOAD, STOP, FILE)),
        *((one, False, True) for one in (RERUN, HEARTBEAT)),
        *((one, False, False) for one in (UPLOAD, STOP, FILE)),
    ],
)
def test_what_our_pages_send_is_heard(asked: BackMsg, signed_in: bool, heard: bool) -> None:
    sent = asked.SerializeToString()

    assert said_to_streamlit([sent], signed_in) == ([sent] * heard, [])


@pytest.mark.parametrize(("signed_in", "most"), [(True, 400), (False, 40)])
def test_a_flood_ends_the_connection(signed_in: bool, most: int) -> None:
    heard, closed = said_to_streamlit([HEARTBEAT.SerializeToString()] * 1_000, signed_in)

    assert most <= len(heard) <= most + 30
    assert closed == [1008]


@pytest.mark.parametrize("broken", ["a text", b"\xff\xff\xff"])
def test_what_is_no_message_ends_the_connection(broken: bytes | str) -> None:
    assert said_to_streamlit([broken, RERUN.SerializeToString()], True) == ([], [1008])


def test_a_stranger_sends_no_large_message() -> None:
    large = BackMsg(rerun_script={"query_string": "x" * 200_000}).SerializeToString()

    assert said_to_streamlit([large], True) == ([large], [])
    assert said_to_streamlit([large], False) == ([], [1008])


def taken(sockets: Sockets, clients: list[str], signed_in: bool) -> int:
    """How many of these got a connection while all stayed open."""
    with ExitStack() as open_now:
        return sum(open_now.enter_context(sockets.taken(one, signed_in)) for one in clients)


def test_a_client_has_so_many_connections_and_leaves_room_for_others() -> None:
    counted = Sockets()

    assert taken(counted, ["192.0.2.1"] * 60, False) == MOST_OF_ONE
    assert taken(counted, [f"192.0.2.{number}" for number in range(60)], False) == MOST_STRANGERS
    assert taken(counted, ["a token"] * 60, True) == MOST_OF_ONE
    assert not counted.open


def test_strangers_leave_room_for_hosts(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sockets, "MOST_SOCKETS", MOST_STRANGERS + 5)
    counted = Sockets()
    with ExitStack() as open_now:
        for number in range(60):
            open_now.enter_context(counted.taken(f"192.0.2.{number}", False))

        assert taken(counted, [f"token {number}" for number in range(9)], True) == 5


def test_who_connects_again_and_again_has_to_wait() -> None:
    """Streamlit keeps a session for a while after its connection has gone."""
    counted, reached = Sockets(), 0
    for _ in range(200):
        with counted.taken("192.0.2.1", False) as room:
            reached += room

    assert 60 <= reached <= 62
