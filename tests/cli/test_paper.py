"""`tasting answers`, and `tasting analyse` on counts alone."""

from pathlib import Path

import pytest
from scipy.stats import binomtest

from tasting.store import sessions
from tasting.store.database import file_address, open_database
from tasting.store.paper import slips
from tests.cli.conftest import Tasting
from tests.ui.workshop import keep, opened, planned

HEAD = "assessor,set,choice\n"


@pytest.fixture
def first(log: Path) -> tuple[str, ...]:
    """The codes of the first set of an open session that is kept in the log."""
    engine = open_database(file_address(log))
    keep(engine, opened(planned("acid")))
    codes = slips(engine, "acid")[0].codes
    engine.dispose()
    return codes


def answered(log: Path) -> int:
    """How many answers are in."""
    engine = open_database(file_address(log))
    count = sessions.summary(engine, "acid").answered
    engine.dispose()
    return count


def test_answers_from_paper_are_kept(
    tasting: Tasting, log: Path, first: tuple[str, ...], tmp_path: Path
) -> None:
    file = tmp_path / "paper.csv"
    file.write_text(f"{HEAD}Assessor 1,1,{first[1]}\n")
    said = tasting("answers", "acid", file, "--database", log)

    assert said.out == "Saved 1 answer: 1 of 12 are in.\n"
    assert answered(log) == 1


def test_machines_get_the_counts(
    tasting: Tasting, log: Path, first: tuple[str, ...], tmp_path: Path
) -> None:
    file = tmp_path / "paper.csv"
    file.write_text(f"{HEAD}Assessor 1,1,{first[1]}\n")
    said = tasting("answers", "acid", file, "--database", log, "--json")

    assert said.json == {"kept": 1, "answered": 1, "planned": 12}


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ("Nobody,1,482", "line 3: this session has no assessor called 'Nobody'"),
        ("Assessor 2,1,000", "line 3: '000' cannot be chosen in set 1"),
        ("Assessor 2,one,482", "line 3: set: "),
    ],
)
def test_a_fault_names_its_line_and_nothing_is_kept(
    tasting: Tasting, log: Path, first: tuple[str, ...], tmp_path: Path, line: str, sentence: str
) -> None:
    file = tmp_path / "paper.csv"
    file.write_text(f"{HEAD}Assessor 1,1,{first[1]}\n{line}\n")
    said = tasting("answers", "acid", file, "--database", log)

    assert (said.code, sentence in said.err) == (2, True)
    assert answered(log) == 0


def test_an_unknown_session_is_said(
    tasting: Tasting, log: Path, first: tuple[str, ...], tmp_path: Path
) -> None:
    file = tmp_path / "paper.csv"
    file.write_text(f"{HEAD}Assessor 1,1,{first[1]}\n")

    assert (
        "no session is saved under the id 'sugar'"
        in tasting("answers", "sugar", file, "--database", log).err
    )


def test_counts_alone_are_analysed(tasting: Tasting, tmp_path: Path) -> None:
    """p by scipy's binomtest: 13 of 24."""
    file = tmp_path / "counts.csv"
    rows = [f"P{seat},1,{int(seat < 13)}" for seat in range(24)]
    file.write_text("\n".join(["# Invented.", "assessor,tastings,correct", *rows]))
    (panel,) = tasting("analyse", file, "--method", "triangle", "--json").json

    wanted = binomtest(13, 24, 1 / 3, "greater").pvalue
    assert panel["finding"]["evidence"]["p_value"] == pytest.approx(wanted)
    assert panel["remarks"] == ["Invented."]


def test_counts_that_cannot_be_are_told_with_their_line(tasting: Tasting, tmp_path: Path) -> None:
    file = tmp_path / "counts.csv"
    file.write_text("assessor,tastings,correct\nAnn,2,3\n")
    said = tasting("analyse", file, "--method", "triangle")

    assert (said.code, "line 2: 3 correct of 2" in said.err) == (2, True)
