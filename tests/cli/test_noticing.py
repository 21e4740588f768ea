"""`tasting notice`."""

import json
from pathlib import Path

import pytest

import tasting as package
from sample_sessions import FOLDER, documents
from tasting.cli.noticing import figures
from tasting.insight.noticing.model import fit_thresholds
from tasting.store.database import file_address, open_database
from tasting.store.documents import fill, read_document
from tests.cli.conftest import Tasting
from tests.insight.workshop import document as sample
from tests.insight.workshop import noticed

WORKSHOP = (FOLDER / "workshop.json", FOLDER / "closed_sessions.json")


def test_it_is_a_public_name() -> None:
    assert package.notice is fit_thresholds


def test_drinks_and_sessions_may_come_in_files_of_their_own(tasting: Tasting) -> None:
    said = tasting("notice", *WORKSHOP).out

    assert "Half of assessors notice 0.95 g/L" in said
    assert "more acid in a triangle test" in said
    assert "Extrapolated: the largest step tasted was 0.88 g/L." in said
    assert "lemon juice, in a 225 mL serving" in said
    assert "Assumed: d′ grows in proportion to the step" in said
    assert said.startswith("Invented data: Made up for the demonstration")


def test_json_has_the_numbers_of_the_model(tasting: Tasting) -> None:
    found = tasting("notice", *WORKSHOP, "--json").json
    step = noticed().step("sugar")
    sugar = next(one for one in found["steps"] if one["driver"] == "sugar")

    assert sugar["unit_step"]["amount"]["value"] == step.step_at_d_prime_1.amount.value
    assert sugar["half_step"]["practice"][0]["key"] == "sugar"
    assert found["fit"]["sessions"] == noticed().fit.sessions
    assert found["refusals"][0]["cure"]


def test_a_database_says_what_its_documents_say(tasting: Tasting, log: Path) -> None:
    engine = open_database(file_address(log))
    fill(engine, *map(read_document, documents()))
    engine.dispose()

    assert (
        tasting("notice", "--database", log, "--json").json["steps"]
        == (tasting("notice", *WORKSHOP, "--json").json["steps"])
    )


def test_one_formula_may_be_chosen(tasting: Tasting) -> None:
    whole = tasting("notice", *WORKSHOP, "--json").json
    name = sample().formulas[0].name

    assert tasting("notice", *WORKSHOP, "--formula", name, "--json").json == whole
    assert "there is no formula 'Tea'" in tasting("notice", *WORKSHOP, "--formula", "Tea").err


def test_what_is_not_known_comes_with_its_cure(tasting: Tasting, document: Path) -> None:
    said = tasting("notice", document).out

    assert "Not known: " in said
    assert "Run a triangle test" in said


def test_drivers_and_the_log_scale_may_be_chosen(tasting: Tasting) -> None:
    found = tasting("notice", *WORKSHOP, "--driver", "ta", "--log", "--json").json

    assert [step["driver"] for step in found["steps"]] == ["ta"]
    assert found["scale"] == "log"


@pytest.mark.parametrize(
    ("arguments", "fault"),
    [
        (("--driver", "salt"), "unknown driver 'salt'"),
        (("--database", "x.sqlite3"), "either files or a database, not both"),
    ],
)
def test_bad_input_is_refused_in_one_sentence(
    tasting: Tasting, arguments: tuple[str, ...], fault: str
) -> None:
    said = tasting("notice", *WORKSHOP, *arguments)

    assert said.code == 2
    assert fault in said.err


def test_without_a_closed_session_it_says_so(tasting: Tasting) -> None:
    assert "no closed session yet" in tasting("notice", WORKSHOP[0]).err


def test_json_knows_no_infinity() -> None:
    text = json.dumps(figures(fit_thresholds([], {})))

    assert "Infinity" not in text
    assert "NaN" not in text
