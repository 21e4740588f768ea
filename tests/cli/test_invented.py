"""Whatever shows invented drinks says so, once."""

from json import loads
from pathlib import Path

import pytest

from sample_sessions import FOLDER
from tests.cli.conftest import Tasting

WORKSHOP = FOLDER / "workshop.json"
COMMANDS = [
    ("compose", WORKSHOP, "--version", "spritz-04", "--against", "bottle-r"),
    ("adjust", WORKSHOP, "--version", "spritz-04", "--ta", "+1.0", "--with", "lemon-juice"),
    ("batch", WORKSHOP, "--version", "spritz-04", "--litres", "5"),
    ("batch", WORKSHOP, "--version", "spritz-04", "--litres", "5", "--html"),
    ("formulate", WORKSHOP, "--reference", "bottle-r", "--with", "water", "--with", "sugar"),
]


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: f"{command[0]}{command[-1]}")
def test_invented_drinks_are_labelled_once(tasting: Tasting, command: tuple[object, ...]) -> None:
    assert tasting(*command).out.count("Invented data: Made up for the demonstration") == 1


@pytest.mark.parametrize("command", [one for one in COMMANDS if "--html" not in one], ids=str)
def test_machines_are_told_as_well(tasting: Tasting, command: tuple[object, ...]) -> None:
    said = loads(tasting(*command, "--json").out)
    found = said[0] if isinstance(said, list) else said

    assert found["invented"].startswith("Made up for the demonstration")


def test_one_s_own_drinks_are_not(tasting: Tasting, document: Path) -> None:
    said = tasting("batch", document, "--version", "spritz-1", "--litres", 5)

    assert said.code == 0
    assert "Invented" not in said.out
