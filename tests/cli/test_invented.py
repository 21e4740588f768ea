"""Whatever shows invented drinks says so, once."""

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


def test_one_s_own_drinks_are_not(tasting: Tasting, document: Path) -> None:
    said = tasting("batch", document, "--version", "spritz-1", "--litres", 5)

    assert said.code == 0
    assert "Invented" not in said.out
