"""The commands as a whole: help, faults, exit codes."""

import subprocess
import sys

import pytest

from tasting.cli import COMMANDS, drinks, function_of
from tasting.cli.show import one_line
from tasting.errors import StoreError
from tests.cli.conftest import Tasting
from tests.sources import ROOT


def test_the_commands_of_the_plan_are_there() -> None:
    planned = {"app", "demo", "compose", "size", "table", "analyse", "import", "export"}

    assert planned <= set(COMMANDS)


def test_without_a_command_the_help_is_shown(tasting: Tasting) -> None:
    said = tasting()

    assert said.code == 2
    assert all(command in said.out for command in COMMANDS)
    assert said.err == ""


@pytest.mark.parametrize("command", COMMANDS)
def test_each_command_explains_itself_and_speaks_json(tasting: Tasting, command: str) -> None:
    said = tasting(command, "--help")

    assert (said.code, said.err) == (0, "")
    _, line = COMMANDS[command]
    assert line.split(",")[0].split(".")[0][:40] in said.out
    assert "--json" in said.out


@pytest.mark.parametrize("command", COMMANDS)
def test_the_list_of_commands_says_what_the_command_says_of_itself(command: str) -> None:
    _, line = COMMANDS[command]
    assert function_of(command).__doc__ == line


def test_only_the_module_of_the_command_is_imported() -> None:
    code = "import sys; from tasting.cli import run; run(['--help']); print(*sys.modules)"
    modules = (
        subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
        .stdout.splitlines()[-1]
        .split()
    )

    assert not {"numpy", "sqlalchemy", "streamlit", "pydantic"} & set(modules)


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["guess"], "No such command 'guess'."),
        (["size"], "Missing argument 'METHOD'."),
        (["size", "triangle", "--guess"], "No such option: --guess"),
        (["size", "triangle", "paired"], "paired is too much for size; `tasting size --help`"),
        (
            ["analyse", "triangle", "15", "24"],
            "analyse takes one file, so 15 24 is too much. Write counts to a .csv with the columns "
            "assessor,tastings,correct; `tasting table METHOD` shows the number needed.",
        ),
        (["size", "triangle", "--alpha", "x"], "Invalid value for '--alpha'"),
        (["size", "triangle", "--alpha"], "Option '--alpha' requires an argument."),
        (["import"], "Missing argument 'FILES'."),
    ],
)
def test_a_mistyped_command_is_told_in_one_sentence(
    tasting: Tasting, arguments: list[str], sentence: str
) -> None:
    said = tasting(*arguments)

    assert (said.code, said.out) == (2, "")
    assert said.err.startswith(sentence)
    assert said.err.count("\n") == 1


def fail_with(error: BaseException, monkeypatch: pytest.MonkeyPatch) -> None:
    """Makes `tasting compose` fail."""

    def fail(*_: object) -> None:
        raise error

    monkeypatch.setattr(drinks, "read_document", fail)


def test_any_error_of_ours_is_told_in_one_sentence(
    tasting: Tasting, monkeypatch: pytest.MonkeyPatch
) -> None:
    fail_with(StoreError("the disk\nis \x1b[31mfull"), monkeypatch)
    said = tasting("compose", "x.json")

    assert (said.code, said.out, said.err) == (2, "", "the disk is  [31mfull\n")


def test_an_error_of_nobody_is_not_swallowed(
    tasting: Tasting, monkeypatch: pytest.MonkeyPatch
) -> None:
    fail_with(ZeroDivisionError(), monkeypatch)
    with pytest.raises(ZeroDivisionError):
        tasting("compose", "x.json")


def test_interrupting_ends_quietly(tasting: Tasting, monkeypatch: pytest.MonkeyPatch) -> None:
    """130 = 128 + SIGINT, as shells have it."""
    fail_with(KeyboardInterrupt(), monkeypatch)

    assert tasting("compose", "x.json").code == 130


def test_python_m_tasting_is_the_same_command() -> None:
    command = [sys.executable, "-m", "tasting", "size", "guess"]
    done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, check=False)

    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("unknown method 'guess'; use one of: triangle, duo-trio")


@pytest.mark.parametrize(
    ("text", "line"),
    [("two\nlines", "two lines"), ("bell\a\x1b]0;x", "bell  ]0;x"), ("é → α ", "é → α")],
)
def test_what_others_typed_cannot_move_the_terminal(text: str, line: str) -> None:
    assert one_line(text) == line
