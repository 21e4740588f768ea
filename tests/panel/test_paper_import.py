"""Answers on paper: read from a CSV file, each fault told with its line."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tasting.errors import InputError
from tasting.panel.methods import METHODS, PAIRED, TRIANGLE, Method
from tasting.panel.paper_import import (
    COLUMNS,
    COUNT_COLUMNS,
    PaperAnswer,
    PaperCount,
    paper_answers,
    paper_counts,
    paper_remarks,
)

HEAD = ",".join(COLUMNS) + "\n"


def test_a_file_is_read_line_by_line() -> None:
    text = f"# Invented for the tests.\n\n{HEAD}Ann,1,AAB,3\n Bo , 1 , BAB , 2 \n"

    assert paper_answers(text, TRIANGLE) == (
        PaperAnswer(assessor="Ann", replicate=1, serving_order="AAB", chosen=3),
        PaperAnswer(assessor="Bo", replicate=1, serving_order="BAB", chosen=2),
    )


def test_a_file_saved_by_a_spreadsheet_is_read_too() -> None:
    text = "\ufeff" + HEAD.replace("\n", "\r\n") + '"Ann, the elder",1,AB,2\r\n'

    assert paper_answers(text, PAIRED)[0].assessor == "Ann, the elder"


@pytest.mark.parametrize("method", METHODS.values())
def test_every_choice_on_the_ballot_of_every_method_can_be_written_down(method: Method) -> None:
    order, choices = method.orders[0], len(method.options)
    text = HEAD + "".join(f"Ann,{place},{order},{place}\n" for place in range(1, choices + 1))

    assert [one.chosen for one in paper_answers(text, method)] == list(range(1, choices + 1))
    with pytest.raises(InputError, match=f"but a set has {choices} choices"):
        paper_answers(text + f"Ann,99,{order},{choices + 1}\n", method)


def test_a_file_without_answers_has_none() -> None:
    assert paper_answers(HEAD, TRIANGLE) == ()


def test_remarks_are_kept_apart() -> None:
    text = f"\ufeff# Invented.\n{HEAD}Ann,1,AAB,3\n#two\n"

    assert paper_remarks(text) == ("Invented.", "two")


@pytest.mark.parametrize(
    ("line", "match"),
    [
        ("Ann,1,AAB", "line 2: 3 cells where 4 are needed"),
        ("Ann,1,AAB,3,late", "line 2: 5 cells where 4 are needed"),
        ("Ann,one,AAB,3", "line 2: replicate: must be a whole number"),
        ("Ann,0,AAB,3", "line 2: replicate: must be 1 or more"),
        ("Ann,1,AAB,0", "line 2: chosen: must be 1 or more"),
        ("Ann,1,AAB,4", "line 2: chosen is 4, but a set has 3 choices"),
        ("Ann,1,AAA,1", "line 2: 'AAA' is not a serving order of triangle; use AAB, ABA"),
        (",1,AAB,3", "line 2: assessor is empty"),
        ("Ann,1,AAB,3\nBo,1,AAB,3\nAnn,1,ABA,2", "line 4: assessor 'Ann' already answered set 1"),
    ],
)
def test_a_fault_is_told_with_its_line(line: str, match: str) -> None:
    with pytest.raises(InputError, match=match):
        paper_answers(HEAD + line, TRIANGLE)


@pytest.mark.parametrize("text", ["", "# only a remark", "Ann,1,AAB,3", "assessor,chosen\nAnn,3"])
def test_the_columns_have_to_be_named(text: str) -> None:
    with pytest.raises(InputError, match="first line has to name the columns: assessor,replicate"):
        paper_answers(text, TRIANGLE)


def read(text: str) -> str:
    """What is wrong with a text, or nothing."""
    try:
        paper_answers(HEAD + text, TRIANGLE)
    except InputError as error:
        return str(error)
    return ""


@given(st.text(st.characters(codec="utf-8"), max_size=60).filter(str.strip))
@settings(deadline=None)
def test_any_other_text_is_refused_with_its_line(text: str) -> None:
    assert text.lstrip().startswith("#") or read(text).startswith("line ")


def test_a_cell_of_monstrous_length_is_refused() -> None:
    assert read("x" * 200_000 + ",1,AAB,3").startswith("line 2: ")


COUNTS = ",".join(COUNT_COLUMNS) + "\n"


def test_counts_are_read_line_by_line() -> None:
    assert paper_counts(f"# Invented.\n{COUNTS}Ann,6,4\nBo,6,0\n") == (
        PaperCount(assessor="Ann", tastings=6, correct=4),
        PaperCount(assessor="Bo", tastings=6, correct=0),
    )


@pytest.mark.parametrize(
    ("line", "match"),
    [
        ("Ann,4,5", "line 2: 5 correct of 4 tastings cannot be"),
        ("Ann,0,0", "line 2: tastings: "),
        ("Ann,6,-1", "line 2: correct: "),
        ("Ann,6,4\nAnn,6,5", "line 3: assessor 'Ann' appears twice"),
        ("Ann,100000000,1", "line 2: tastings: "),
    ],
)
def test_a_count_that_cannot_be_is_told_with_its_line(line: str, match: str) -> None:
    with pytest.raises(InputError, match=match):
        paper_counts(COUNTS + line)
