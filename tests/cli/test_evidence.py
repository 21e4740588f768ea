"""`tasting analyse`."""

from pathlib import Path

import pytest
from scipy.stats import binomtest

from tasting.store.documents import Document, write_document
from tests.cli.conftest import Tasting
from tests.ui.workshop import closed, planned

PAPER = """\
# Invented for the tests.
assessor,replicate,serving_order,chosen
Ann,1,AB,2
Bo,1,BA,1
Cy,1,AB,2
Dee,1,BA,1
Eve,1,AB,2
"""
"""Five of five chose B."""

PAIRED = ("--method", "paired", "--attribute", "more sour")


@pytest.fixture
def paper(tmp_path: Path) -> Path:
    """A paired comparison on paper."""
    file = tmp_path / "paper.csv"
    file.write_text(PAPER)
    return file


def test_each_closed_session_is_told(tasting: Tasting, document: Path) -> None:
    out = tasting("analyse", document).out

    assert "  A difference was shown between Spritz, v1 and Spritz, v2.\n  10 of 12 correct" in out
    assert "  Spritz, v3 was not shown to be more sour than Spritz, v1." in out
    assert "  Spritz, v2 was preferred to Reference bottle R." in out
    assert "  Limitation: Closed early, with 8 of 12 planned answers: The bottle broke" in out
    assert "Session nobody\n  Closed without an answer that counts: nothing to conclude." in out
    assert "Session next" not in out


def test_sessions_of_the_same_two_name_each_other(tasting: Tasting, tmp_path: Path) -> None:
    """Without their drinks, too."""
    sessions = (closed(planned("one"), 4, 8, day=32), closed(planned("two"), 11, 1, day=34))
    file = tmp_path / "two.json"
    file.write_text(write_document(Document(sessions=sessions)), "utf-8")
    out = tasting("analyse", file).out

    assert "  Limitation: First test of these two: later 11 of 12, shown. Together 15 of 24" in out
    assert "  Limitation: Second test of these two: earlier 4 of 12, not shown. Together" in out


def test_machines_get_the_numbers(tasting: Tasting, document: Path) -> None:
    """p by scipy's binomtest: 10 of 12 in a triangle, 7 of 12 expected in a pair."""
    acid, syrup, liking, _, nobody = tasting("analyse", document, "--json").json

    p = {one["id"]: one["finding"]["evidence"]["p_value"] for one in (acid, syrup)}
    assert p["acid"] == pytest.approx(binomtest(10, 12, 1 / 3, "greater").pvalue)
    assert p["syrup"] == pytest.approx(binomtest(7, 12, 0.5, "greater").pvalue)
    assert acid["finding"]["evidence"]["verdict"] == "difference"
    assert acid["finding"]["evidence"]["critical"]["row"]["source"].startswith("FAO")
    assert (acid["sides"], liking["sides"]) == (1, 2)
    assert liking["finding"]["tally"]["method"] == "preference"
    assert (nobody["finding"], nobody["sides"]) == (None, None)


def test_that_data_are_invented_is_said_first(tasting: Tasting, document: Path) -> None:
    text = document.read_text().replace('"invented": ""', '"invented": "made up"')
    document.write_text(text)

    assert "Session acid\n  Invented data: made up\n" in tasting("analyse", document).out


def test_a_paper_panel_is_told_with_its_remarks(tasting: Tasting, paper: Path) -> None:
    names = ("--a", "first", "--b", "second", "--expected", "B")
    out = tasting("analyse", paper, *PAIRED, *names).out

    assert out.startswith("paper.csv\n  Invented for the tests.\n")
    assert "second was found more sour than first." in out


@pytest.mark.parametrize(
    ("more", "p", "shown"),
    [
        ((), 2 / 32, False),  # both tails of five out of five: 2 x 1/2^5
        (("--expected", "B"), 1 / 32, True),
        (("--expected", "A"), 1.0, False),
        (("--alpha", 0.1), 2 / 32, True),
    ],
)
def test_a_paper_panel_is_tested_as_asked(
    tasting: Tasting, paper: Path, more: tuple[object, ...], p: float, shown: bool
) -> None:
    (panel,) = tasting("analyse", paper, *PAIRED, *more, "--json").json

    assert panel["finding"]["evidence"]["p_value"] == pytest.approx(p)
    assert panel["finding"]["evidence"]["verdict"] == ("difference" if shown else "neither")


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        ((), "a .csv file does not name its method; add --method triangle|duo-trio"),
        (("--method", "guess"), "unknown method 'guess'; use one of: triangle"),
        (("--method", "triangle"), "line 3: 'AB' is not a serving order of triangle; use AAB"),
        (("--method", "paired"), "needs an attribute to ask about: 'more sour'"),
        (("--method", "preference", "--expected", "B"), "'preference' takes no attribute"),
        ((*PAIRED, "--expected", "C"), "Invalid value for '--expected'"),
        ((*PAIRED, "--alpha", 0.5), "alpha is 0.5 but must lie between 0 and 0.5"),
    ],
)
def test_bad_options_for_paper_are_told(
    tasting: Tasting, paper: Path, options: tuple[object, ...], sentence: str
) -> None:
    said = tasting("analyse", paper, *options)

    assert (said.code, said.out) == (2, "")
    assert sentence in said.err
    assert said.err.count("\n") == 1


def test_a_paper_panel_without_answers_is_told(tasting: Tasting, paper: Path) -> None:
    paper.write_text(PAPER.split("Ann")[0])

    assert "no answer was given" in tasting("analyse", paper, *PAIRED).err


@pytest.mark.parametrize("option", [("--method", "triangle"), ("--alpha", 0.1), ("--a", "first")])
def test_a_document_brings_its_own_plan(
    tasting: Tasting, document: Path, option: tuple[object, ...]
) -> None:
    assert "a document brings its own plan" in tasting("analyse", document, *option).err


def test_a_document_without_closed_sessions_is_told(tasting: Tasting, tmp_path: Path) -> None:
    file = tmp_path / "empty.json"
    file.write_text('{"schema": 1}')

    assert "contains no closed session" in tasting("analyse", file).err
