"""What README.md and DEVELOPERS.md say is true: commands run, pages and paths are there."""

import re
import shlex
from pathlib import Path

import pytest

import tasting
from tasting.cli import cli, run
from tasting.ui import pages

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text("utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text("utf-8")
EXAMPLES = re.findall(r"^tasting (.+)$", README, re.MULTILINE)
COMMANDS = sorted(str(command.name) for command in cli.registered_commands)
HOST_PAGES = [page.title for page in pages.MENU]


def block(name: str) -> list[str]:
    """The lines of the code block behind the mark of this name."""
    found = re.search(rf"<!-- {name} -->\n```sh\n(.*?)```", README, re.DOTALL)
    assert found, f"README.md has no block marked {name}"
    return found[1].strip().splitlines()


def test_the_job_comes_first_in_one_paragraph() -> None:
    title, paragraph = README.split("\n\n")[:2]
    assert title.startswith("# ")
    assert len(paragraph) > 400
    assert "\n" not in paragraph


@pytest.mark.parametrize("name", ["run", "test"])
def test_each_of_the_two_commands_is_one_line_with_pinned_versions(name: str) -> None:
    (line,) = block(name)
    assert "-c .ci/constraints.txt" in line


def test_ci_runs_the_test_command_of_the_readme() -> None:
    script = (ROOT / ".ci" / "run").read_text("utf-8")
    assert "<!-- test -->" in script
    assert "README.md" in script


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_example_runs(
    example: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(ROOT)
    assert run(shlex.split(example)) == 0
    assert capsys.readouterr().out.strip()


def test_every_command_is_described_and_no_other() -> None:
    described = re.findall(r"^\| `tasting (\w+)", README, re.MULTILINE)
    assert sorted(described) == COMMANDS


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_explains_itself(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([command, "--help"]) == 0
    assert "Usage" in capsys.readouterr().out


@pytest.mark.parametrize("label", HOST_PAGES)
def test_every_page_of_the_host_is_named(label: str) -> None:
    assert f"**{label}**" in README


def test_every_page_that_is_named_is_there() -> None:
    assert set(re.findall(r"\*\*([A-Z]\w+)\*\*", README)) <= set(HOST_PAGES)


def test_every_public_name_is_named() -> None:
    named = set(re.findall(r"`tasting\.(\w+)`", README))
    assert named == set(tasting.__all__)


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_every_path_that_is_named_is_there(text: str) -> None:
    named = re.findall(r"`((?:tasting|tests|\.ci|sample_sessions)/[\w./]+)`", text)
    links = re.findall(r"\]\(([\w./]+)\)", text)
    assert not [path for path in (*named, *links) if not (ROOT / path).exists()]
