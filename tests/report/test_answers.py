"""The tidy table of answers, and its CSV."""

import csv
import io

import pandas as pd
import pytest

from tasting.errors import SealedError
from tasting.panel.entries import ANSWER_COLUMNS
from tasting.report.answers import answers_table, safe_csv
from tests.ui.workshop import closed, opened, planned, some_closed

ACID = closed(planned("acid"), 10, 2)


def test_one_row_for_each_answer() -> None:
    table = answers_table(some_closed())

    assert table["session"].value_counts().to_dict() == {
        "Session acid": 12,
        "Session syrup": 12,
        "Session liking": 12,
        "Session unknown": 8,
    }


def test_counted_answers_add_up_to_the_score() -> None:
    assert answers_table([ACID])["counted"].sum() == 10


def test_the_chosen_code_lies_where_its_sample_lies_in_the_serving_order() -> None:
    for row in answers_table([ACID]).to_dict("records"):
        place = row["codes"].split().index(row["chosen"])

        assert row["serving_order"][place] == row["sample"]


def test_in_a_triangle_the_counted_sample_is_the_odd_one() -> None:
    for row in answers_table([ACID]).to_dict("records"):
        assert row["counted"] == (row["serving_order"].count(row["sample"]) == 1)


def test_an_invented_session_says_so_in_every_row() -> None:
    invented = ACID.model_copy(update={"invented": "made up"})

    assert answers_table([invented])["invented"].all()


def test_without_answers_the_columns_remain() -> None:
    assert tuple(answers_table([]).columns) == ANSWER_COLUMNS


def test_an_open_session_stays_sealed() -> None:
    with pytest.raises(SealedError, match="Session acid"):
        answers_table([opened(planned("acid"))])


# First characters: OWASP ASVS 5.0, requirement 1.2.10, and the carriage return.
@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t", "\0", "\r"])
def test_a_cell_that_a_spreadsheet_would_run_is_guarded(sign: str) -> None:
    text = safe_csv(pd.DataFrame({"remark": [f"{sign}cmd"]}))

    assert list(csv.reader(io.StringIO(text, newline="")))[1] == [f"'{sign}cmd"]


@pytest.mark.parametrize("cell", ["M-1", "a=b", "", "'=1", "two\rlines", 'said "no", twice'])
def test_other_cells_stay_as_they_are(cell: str) -> None:
    text = safe_csv(pd.DataFrame({"remark": [cell], "n": [1]}))

    assert list(csv.reader(io.StringIO(text, newline="")))[1] == [cell, "1"]


def test_numbers_are_not_guarded() -> None:
    assert safe_csv(pd.DataFrame({"step": [-0.5]})) == '"step"\n-0.5\n'
