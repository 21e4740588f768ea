"""`tasting compose`."""

import json
from pathlib import Path

import pytest

from tasting.drink.composition import compose
from tests.cli.conftest import Tasting, workshop
from tests.ui.workshop import SPRITZ


def test_every_version_is_composed_per_litre_and_per_serving(
    tasting: Tasting, document: Path
) -> None:
    out = tasting("compose", document).out
    made = compose(SPRITZ.version("spritz-2"))
    (litre, likely, serving) = (line.split() for line in out.splitlines() if line.startswith(" v2"))

    assert "Rhubarb and bay spritz, per litre" in out
    assert litre[1:4] == [
        f"{made.ta_g_per_l:.2f}",
        f"{made.sugar_g_per_l:.1f}",
        f"{made.sugar_g_per_l / made.ta_g_per_l:.1f}",
    ]
    spread = made.intervals["ta_g_per_l"]
    assert likely[1] == f"{spread.low:.2f}–{spread.high:.2f}"
    assert serving[1:3] == [f"{made.volume_ml:.0f}", f"{made.serving().ta_g:.2f}"]
    assert "ISO 750" in out


def test_machines_get_every_figure(tasting: Tasting, document: Path) -> None:
    said = tasting("compose", document, "--json").json
    made = compose(SPRITZ.versions[0])

    assert [one["version"] for one in said] == ["spritz-1", "spritz-2", "spritz-3"]
    assert said[0]["formula"] == "Rhubarb and bay spritz"
    assert said[0]["composition"]["ta_g_per_l"] == made.ta_g_per_l
    assert said[0]["serving"]["energy_kcal"] == made.serving().energy_kcal


def test_a_reference_is_compared_with(tasting: Tasting, document: Path) -> None:
    chosen = ("compose", document, "--version", "spritz-1", "--against", "R")
    verdicts = [match["verdict"] for match in tasting(*chosen, "--json").json[0]["matches"]]
    out = tasting(*chosen).out

    assert verdicts[0] == "outside"
    assert "Against Reference bottle R" in out
    assert out.count("too uncertain") == verdicts.count("not decidable")


def test_a_reference_that_is_not_there_is_said(tasting: Tasting, document: Path) -> None:
    said = tasting("compose", document, "--against", "Q")

    assert said.err == "this document contains no reference 'Q'; it contains: R, S\n"


def test_contributions_are_told_when_asked_for(tasting: Tasting, document: Path) -> None:
    made = compose(SPRITZ.versions[0])
    out = tasting("compose", document, "--version", "spritz-1", "--contributions").out
    (lemon,) = (line.split() for line in out.splitlines() if line.startswith(" lemon juice"))

    assert lemon[2] == f"{made.contributions[1].ta_g_per_l:.2f}"
    assert "What contributes" not in tasting("compose", document).out


def test_cautions_are_told_once_with_their_versions(tasting: Tasting, document: Path) -> None:
    fresh = tasting("compose", document).out
    sealed = tasting("compose", document, "--version", "spritz-1", "--sealed", "--json").json

    assert fresh.count("Rhubarb leaves are poisonous") == 1
    assert "v1, v2, v3: Rhubarb leaves" in fresh
    assert "sealed bottle" not in fresh
    assert {"pressure", "fermentation"} <= {found["kind"] for found in sealed[0]["cautions"]}


def test_one_version_may_be_chosen(tasting: Tasting, document: Path) -> None:
    said = tasting("compose", document, "--version", "spritz-3", "--json").json

    assert [one["label"] for one in said] == ["v3"]


def test_a_version_that_is_not_there_is_said(tasting: Tasting, document: Path) -> None:
    said = tasting("compose", document, "--version", "spritz-9")

    assert said.code == 2
    assert said.err == (
        "this document contains no version 'spritz-9'; it contains: spritz-1, spritz-2, spritz-3\n"
    )


def with_parts(folder: Path, *parts: dict[str, str]) -> Path:
    """A document whose only version has these parts."""
    values = workshop().model_dump(mode="json", by_alias=True)
    (first, *_) = values["formulas"][0]["versions"]
    values |= {"sessions": [], "formulas": [{**values["formulas"][0], "versions": [first]}]}
    first["parts"] = list(parts)
    file = folder / "drink.json"
    file.write_text(json.dumps(values))
    return file


def test_water_has_no_ratio_of_sugar_to_acid(tasting: Tasting, tmp_path: Path) -> None:
    said = tasting("compose", with_parts(tmp_path, {"ingredient": "water", "amount": "1 L"}))

    assert ["v1", "0.00", "0.0", "–"] in [line.split()[:4] for line in said.out.splitlines()]


@pytest.mark.parametrize(
    ("part", "match"),
    [
        ({"ingredient": "water", "amount": "-1 L"}, "parts.0.amount.quantity: an amount must be"),
        ({"ingredient": "water", "amount": "0 L"}, "above zero"),
        ({"ingredient": "water"}, "parts.0.amount: missing; add it"),
        ({"ingredient": "water", "amount": "1 cup"}, "unknown unit 'cup'"),
        ({"ingredient": "watr", "amount": "1 L"}, "did you mean water"),
    ],
)
def test_a_bad_amount_is_told_with_its_place(
    tasting: Tasting, tmp_path: Path, part: dict[str, str], match: str
) -> None:
    file = with_parts(tmp_path, part)
    said = tasting("compose", file)

    assert (said.code, said.out) == (2, "")
    assert f"{file}: formulas.0.versions.0.parts.0" in said.err
    assert match in said.err
    assert said.err.count("\n") == 1


def test_a_document_without_formulas_is_said(tasting: Tasting, tmp_path: Path) -> None:
    file = tmp_path / "empty.json"
    file.write_text('{"schema": 1}')

    assert tasting("compose", file).err == (
        "this document contains no formula, so there is nothing to compose\n"
    )


def test_composed_as_it_is_tasted_after_the_ice(tasting: Tasting, document: Path) -> None:
    plain, stirred = (
        tasting("compose", document, "--version", "spritz-1", *more, "--json").json[0]
        for more in ((), ("--served", "stirred"))
    )
    volumes = [told["composition"]["volume_ml"] for told in (plain, stirred)]

    assert volumes[1] == pytest.approx(1.28 * volumes[0], rel=0.005)
    said = tasting("compose", document, "--version", "spritz-1", "--served", "stirred").out
    assert "Stirred: 20–40 % water from the ice (common practice, no source), 28 % taken." in said
