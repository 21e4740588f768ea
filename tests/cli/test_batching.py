"""`tasting batch`."""

from pathlib import Path

import pytest

from tasting.drink.composition import compose
from tests.cli.conftest import Tasting
from tests.ui.workshop import SPRITZ

MADE = ("--version", "spritz-1")


def test_litres_are_measured_out(tasting: Tasting, document: Path) -> None:
    """60 mL of the juice in each serving, and 5 L over the volume of a serving (arithmetic)."""
    out = tasting("batch", document, *MADE, "--litres", 5).out
    juice = 60 * 5000 / compose(SPRITZ.versions[0]).volume_ml

    assert f"{juice:.0f} mL" in next(line for line in out.splitlines() if "rhubarb" in line)
    assert "5 L" in out.splitlines()[0]
    assert "As measured" in out


def test_servings_are_measured_out(tasting: Tasting, document: Path) -> None:
    said = tasting("batch", document, *MADE, "--servings", 20, "--json").json

    assert [line["measured"]["amount"]["quantity"] for line in said["lines"]] == [
        1200,
        200,
        400,
        1800,
    ]


def test_the_steps_of_the_kit_count(tasting: Tasting, document: Path) -> None:
    said = tasting("batch", document, *MADE, "--servings", 1.01, "--cylinder-ml", 10, "--json").json

    assert said["lines"][3]["measured"]["amount"]["quantity"] == 90


def test_a_page_to_print(tasting: Tasting, document: Path) -> None:
    said = tasting("batch", document, *MADE, "--litres", 5, "--html")

    assert said.out.startswith("<!doctype html>")
    assert "Batch sheet: v1" in said.out


@pytest.mark.parametrize(
    ("more", "match"),
    [
        ([], "give the size of the batch once"),
        (["--litres", 1, "--servings", 2], "give the size of the batch once"),
        (["--litres", -1], "above zero"),
        (["--litres", 1, "--scale-g", 0], "scale_step_g"),
        (["--litres", 1e-7], "too little to measure"),
    ],
)
def test_a_batch_that_cannot_be_is_told(
    tasting: Tasting, document: Path, more: list[object], match: str
) -> None:
    said = tasting("batch", document, *MADE, *more)

    assert (said.code, said.out) == (2, "")
    assert match in said.err
