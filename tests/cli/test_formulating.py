"""`tasting formulate`."""

import json
import re
import shlex
from pathlib import Path

import pytest

from tasting.drink.composition import compose
from tests.cli.conftest import Tasting
from tests.ui.workshop import SPRITZ

ROOT = Path(__file__).parents[2]
DRINK = compose(SPRITZ.version("spritz-1"))
WITH = (
    *("--with", "rhubarb juice 40-80 mL", "--with", "lemon-juice", "--with", "bay-syrup"),
    *("--with", "sparkling-water"),
)


@pytest.fixture
def labelled(document: Path) -> Path:
    """The workshop, its reference with the figures of the first version."""
    whole = json.loads(document.read_text("utf-8"))
    whole["references"] = [
        {
            "id": "R",
            "name": "Reference bottle R",
            "serving_ml": DRINK.volume_ml,
            "sugar_g_per_100ml": round(DRINK.known("sugar_g_per_l") / 10, 1),
            "ta_g_per_l": round(DRINK.known("ta_g_per_l"), 2),
            "ph": round(DRINK.known("ph"), 2),
        },
        {"id": "S", "name": "Reference bottle S", "serving_ml": 250, "sugar_g_per_100ml": 7.0},
    ]
    whole["sessions"] = []
    document.write_text(json.dumps(whole), "utf-8")
    return document


def test_the_recipe_behind_the_label(tasting: Tasting, labelled: Path) -> None:
    said = tasting("formulate", labelled, "--reference", "R", *WITH)

    assert said.code == 0, said.err
    assert "Recipes that could be Reference bottle R, per serving" in said.out
    assert "In the middle, for a serving: " in said.out
    assert "In steps of 0.1 g or mL it meets every demand." in said.out
    assert "Measure next: " in said.out
    assert "Local codes and licensed practice decide" in said.out


def test_the_readmes_example_has_recipes(tasting: Tasting, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    (example,) = re.findall(r"^tasting (formulate .+)$", (ROOT / "README.md").read_text(), re.M)
    said = tasting(*shlex.split(example))

    assert said.code == 0, said.err
    assert "Recipes that could be Reference bottle R" in said.out
    assert "it meets every demand" in said.out


def test_for_machines(tasting: Tasting, labelled: Path) -> None:
    said = tasting("formulate", labelled, "--reference", "R", *WITH, "--json").json
    lemon = next(one for one in said["ranges"] if one["key"] == "lemon-juice")

    assert said["found"]
    assert not said["impossible"]
    assert lemon["proven_least"] - 1e-6 <= 10 <= lemon["proven_most"] + 1e-6
    assert said["weighed"]["kept"]


def test_what_excludes_what(tasting: Tasting, labelled: Path) -> None:
    """None of the four holds alcohol."""
    said = tasting("formulate", labelled, "--reference", "R", *WITH, "--also", "alcohol 4-5")

    assert said.code == 0, said.err
    assert "These ingredients do not give alcohol 4.00–5.00 % vol" in said.out
    assert "alcohol 0.00 % vol at best, 4.00 too low" in said.out
    assert "Proven for the usual figures of these ingredients" in said.out


def test_after_the_ice(tasting: Tasting, labelled: Path) -> None:
    still = ("--with", "rhubarb juice", "--with", "lemon juice", "--with", "sugar", "--with")
    said = tasting(
        "formulate", labelled, "--reference", "S", *still, "water", "--served", "stirred", "--json"
    ).json

    assert [part["ingredient"]["key"] for part in said["parts"]][-1] == "ice"


@pytest.mark.parametrize(
    ("more", "match"),
    [
        (["--reference", "Q", "--with", "water"], "contains no reference 'Q'; it contains: R, S"),
        (["--reference", "R", "--with", "watter <= 5 mL"], "did you mean"),
        (["--reference", "R", "--with", "40-80 lemon juice"], "does not say how much"),
        (["--reference", "R", "--with", "water", "--also", "co2 7-6"], "an empty range"),
        (["--reference", "R", "--with", "water", "--served", "hot"], "not a way of serving"),
        (["--reference", "R"], "Missing option"),
    ],
)
def test_bad_questions_are_told_in_one_sentence(
    tasting: Tasting, labelled: Path, more: list[str], match: str
) -> None:
    said = tasting("formulate", labelled, *more)

    assert (said.code, said.out) == (2, "")
    assert match in said.err
    assert said.err.count("\n") == 1
