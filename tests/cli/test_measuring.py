"""`tasting measured`."""

import pytest

from tests.cli.conftest import Tasting


def test_density_alcohol_and_titration(tasting: Tasting) -> None:
    """100 g/L of sucrose at 5 % vol: 1029.5 g/L (OIML R 22 and ICUMSA by Tabarié)."""
    said = tasting(
        *("measured", "--density", "1,0295 ± 0.0003", "--alcohol", "5", "--base-ml", "9.7"),
        *("--sample-ml", "10", "--json"),
    ).json
    told = {one["figure"]: one for one in said}

    assert told["extract_g_per_l"]["value"] == pytest.approx(100, abs=0.1)
    assert told["ta_g_per_l"]["value"] == pytest.approx(6.21, abs=0.01)
    assert told["sugar_g_per_l"]["value"] == pytest.approx(93.8, abs=0.1)
    assert told["sugar_g_per_l"]["low"] < 93.8 < told["sugar_g_per_l"]["high"]


def test_what_is_told_can_be_asked_for(tasting: Tasting) -> None:
    said = tasting("measured", "--base-ml", "9.7", "--sample-ml", "10")

    assert said.code == 0, said.err
    assert '--also "ta 6.10-6.32"' in said.out
    assert "Stir the gas out first" in said.out


def test_boiling_has_its_caution(tasting: Tasting) -> None:
    said = tasting("measured", "--refractometer", "11.5", "--after-boiling", "9.6")

    assert "Alcohol vapour catches fire" in said.out


def test_a_better_instrument_tells_more(tasting: Tasting) -> None:
    widths = []
    for half in ("0.002", "0.0002"):
        asked = ("measured", "--density", f"1.0295+-{half}", "--refractometer", "11.5", "--json")
        alcohol = tasting(*asked).json[0]
        widths.append(alcohol["high"] - alcohol["low"])

    assert widths[1] < widths[0]


@pytest.mark.parametrize(
    ("more", "match"),
    [
        ([], "nothing follows from that alone"),
        (["--ta", "5"], "nothing follows from that alone"),
        (["--base-ml", "5"], "needs both --base-ml and --sample-ml"),
        (["--density", "heavy", "--alcohol", "5"], "'heavy' is not a number"),
        (["--density", "3", "--alcohol", "5"], "more than any syrup's"),
        (["--base-ml", "5", "--sample-ml", "10", "--acid", "lemon"], "unknown acid 'lemon'"),
    ],
)
def test_bad_questions(tasting: Tasting, more: list[str], match: str) -> None:
    said = tasting("measured", *more)

    assert (said.code, said.out) == (2, "")
    assert match in said.err
    assert said.err.count("\n") == 1
