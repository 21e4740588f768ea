"""`tasting app` and `tasting demo`."""

import json
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

import pytest
from streamlit import config

from sample_sessions import documents
from tasting.cli import server
from tasting.store.access import choose_passphrase
from tasting.store.database import file_address, open_database
from tasting.store.documents import parse_document, read_document
from tests.cli.conftest import Said, Tasting


@pytest.fixture
def port() -> int:
    """A port that is free now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[dict[str, object]]]:
    """What the server would have been started with."""
    starts: list[dict[str, object]] = []

    def keep(program: str, arguments: list[str], environment: dict[str, str]) -> None:
        starts.append({"arguments": arguments, "environment": environment})

    monkeypatch.setattr(os, "execve", keep)
    return starts


def flags(start: dict[str, object]) -> dict[str, str]:
    """The options given to the server, by name."""
    given = [flag for flag in start["arguments"] if flag.startswith("--")]
    return dict(flag.removeprefix("--").split("=", 1) for flag in given)


def test_the_app_listens_to_this_machine_only(tasting: Tasting, log: Path, port, started) -> None:
    said = tasting("app", "--database", log, "--port", port)
    (start,) = started

    assert said.out.startswith(f"Open http://localhost:{port} in a browser")
    assert flags(start)["server.address"] == "127.0.0.1"
    assert flags(start)["server.port"] == str(port)
    assert start["environment"]["TASTING_DATABASE"] == f"sqlite:///{log}"
    assert "TASTING_BASE_URL" not in start["environment"]


def test_every_option_is_known_to_the_server(tasting: Tasting, log: Path, port, started) -> None:
    tasting("app", "--database", log, "--port", port)

    assert set(flags(started[0])) <= set(config.get_config_options())


def test_errors_and_statistics_stay_at_home(tasting: Tasting, log: Path, port, started) -> None:
    tasting("app", "--database", log, "--port", port)
    given = flags(started[0])

    assert given["client.showErrorDetails"] == "none"
    assert given["browser.gatherUsageStats"] == "false"
    assert given["server.enableStaticServing"] == "false"


def test_charts_get_the_colours_of_okabe_and_ito() -> None:
    """Okabe and Ito 2008, "Color universal design": blue, vermilion, green, purple, orange, sky
    blue (from memory)."""
    colours = json.loads(server.OPTIONS["theme.chartCategoricalColors"])

    assert colours == ["#0072B2", "#D55E00", "#009E73", "#CC79A7", "#E69F00", "#56B4E9"]


def code_in(said: Said) -> str:
    """The setup code in what was said."""
    (line,) = [line for line in said.out.splitlines() if line.startswith("Setup code")]
    return line.split()[-1]


def test_the_first_start_prints_a_fresh_setup_code(
    tasting: Tasting, log: Path, port, started
) -> None:
    codes = [code_in(tasting("app", "--database", log, "--port", port)) for _ in range(2)]

    assert codes == [start["environment"]["TASTING_SETUP_CODE"] for start in started]
    assert codes[0] != codes[1]


def test_a_setup_code_that_was_set_is_kept(
    tasting: Tasting, log: Path, port, started, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TASTING_SETUP_CODE", "8f3a-11")

    assert code_in(tasting("app", "--database", log, "--port", port)) == "8f3a-11"


def test_once_a_passphrase_is_chosen_there_is_no_code(
    tasting: Tasting, log: Path, port, started
) -> None:
    engine = open_database(file_address(log))
    choose_passphrase(engine, "rhubarb and bay")
    engine.dispose()
    said = tasting("app", "--database", log, "--port", port)

    assert "Setup code" not in said.out
    assert "TASTING_SETUP_CODE" not in started[0]["environment"]


def test_the_whole_network_may_reach_it_with_a_warning(
    tasting: Tasting, log: Path, port, started, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(server, "lan_address", lambda: "192.0.2.7")
    said = tasting("app", "--lan", "--database", log, "--port", port)

    assert f"Open http://192.0.2.7:{port} in a browser" in said.out
    assert "Everyone on this network can reach it, and nothing is encrypted" in said.out
    assert flags(started[0])["server.address"] == "0.0.0.0"
    assert flags(started[0])["browser.serverAddress"] == "192.0.2.7"
    assert started[0]["environment"]["TASTING_BASE_URL"] == f"http://192.0.2.7:{port}"


def test_an_address_behind_a_proxy_is_kept(
    tasting: Tasting, log: Path, port, started, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TASTING_BASE_URL", "https://tasting.example/log")
    said = tasting("app", "--database", log, "--port", port)

    assert "Open https://tasting.example/log in a browser" in said.out
    assert flags(started[0])["browser.serverAddress"] == "tasting.example"


def test_without_a_network_it_is_said(tasting: Tasting, log: Path, port, monkeypatch) -> None:
    monkeypatch.setattr(server, "ELSEWHERE", ("no address", 9))
    said = tasting("app", "--lan", "--database", log, "--port", port)

    assert (said.code, said.err) == (2, "this machine is in no network; leave out --lan\n")


def test_machines_get_the_address_and_the_code(tasting: Tasting, log: Path, port, started) -> None:
    said = tasting("app", "--json", "--database", log, "--port", port).json

    assert said == {
        "url": f"http://localhost:{port}",
        "database": str(log),
        "setup_code": started[0]["environment"]["TASTING_SETUP_CODE"],
    }


def test_a_port_that_is_taken_is_said(tasting: Tasting, log: Path, started) -> None:
    with socket.socket() as busy:
        busy.bind(("127.0.0.1", 0))
        busy.listen()
        said = tasting("app", "--database", log, "--port", busy.getsockname()[1])

    assert said.code == 2
    assert "cannot be used (Address already in use); give another --port" in said.err
    assert started == []


@pytest.mark.parametrize("port", [0, 65536, "http"])
def test_a_port_that_is_none_is_said(tasting: Tasting, port: object) -> None:
    said = tasting("app", "--port", port)

    assert said.code == 2
    assert said.err.startswith("Invalid value for '--port'")


def test_a_database_that_cannot_be_opened_is_said(tasting: Tasting, log: Path) -> None:
    log.write_text("Dear guest, " * 100)

    assert "file is not a database" in tasting("app", "--database", log).err


def test_the_demo_fills_a_new_database_with_the_sample_workshop(
    tasting: Tasting, log: Path
) -> None:
    said = tasting("demo", "--no-app", "--database", log)
    kept = parse_document(tasting("export", "--database", log).out)
    samples = [read_document(path) for path in documents()]

    assert said.out == f"Filled {log} with the sample workshop; all of it is invented.\n"
    assert {formula.id for formula in kept.formulas} == {
        formula.id for sample in samples for formula in sample.formulas
    }
    assert {session.id for session in kept.sessions} == {
        session.id for sample in samples for session in sample.sessions if session.state != "open"
    }


def test_the_demo_leaves_what_is_there_alone(tasting: Tasting, document: Path, log: Path) -> None:
    tasting("import", document, "--database", log)
    before = tasting("export", "--database", log).out
    said = tasting("demo", "--no-app", "--database", log)

    assert said.out == f"{log} is not empty, so it is used as it is.\n"
    assert tasting("demo", "--no-app", "--database", log, "--json").json["filled"] is False
    assert tasting("export", "--database", log).out == before


def test_the_demo_has_a_database_of_its_own_and_starts_the_app(
    tasting: Tasting, tmp_path: Path, port, started
) -> None:
    said = tasting("demo", "--port", port)

    assert str(tmp_path) in started[0]["environment"]["TASTING_DATABASE"]
    assert started[0]["environment"]["TASTING_DATABASE"].endswith("demo.sqlite3")
    assert said.out.splitlines()[1].startswith(f"Open http://localhost:{port}")


def healthy(port: int, seconds: float = 30) -> bool:
    """Whether the server answers in time."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        try:
            with urlopen(f"http://127.0.0.1:{port}/health", timeout=1) as answer:
                return bool(answer.read() == b"ok")
        except (URLError, OSError):
            time.sleep(0.1)
    return False


def test_the_app_really_starts_and_stops(log: Path, port: int, tmp_path: Path) -> None:
    """From another folder, in which a file has the name of a library."""
    (tmp_path / "streamlit.py").write_text("raise SystemExit('not me')")
    command = [sys.executable, "-P", "-m", "tasting", "app", "--json", "--port", str(port)]
    with subprocess.Popen(
        [*command, "--database", str(log)], cwd=tmp_path, stdout=subprocess.PIPE, text=True
    ) as app:
        reached = healthy(port)
        app.terminate()
        out, _ = app.communicate(timeout=20)

    assert reached
    assert json.JSONDecoder().raw_decode(out)[0]["url"] == f"http://localhost:{port}"
