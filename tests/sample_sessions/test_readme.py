import re

import pytest

from sample_sessions import FOLDER
from sample_sessions.truth import truth
from tasting.insight.findings.finding import conclude
from tasting.insight.findings.tally import Tally
from tasting.panel.design import TestDesign
from tasting.panel.methods import METHODS
from tasting.panel.paper_import import COLUMNS, paper_answers
from tasting.store.documents import json_schema

README = (FOLDER / "README.md").read_text("utf-8")
PAPER = (FOLDER / "paper_panel.csv").read_text("utf-8")
RECORDS = json_schema()["$defs"] | {"Document": json_schema()}


@pytest.fixture(scope="module")
def paper_finding():
    triangle = METHODS["triangle"]
    return conclude(Tally.of_paper(paper_answers(PAPER, triangle), TestDesign(triangle)))


@pytest.mark.parametrize("record", sorted(RECORDS))
def test_every_field_of_the_format_is_described(record):
    described = set(re.findall(r"[a-z0-9_]+", " ".join(re.findall(r"`([^`]+)`", README))))
    assert set(RECORDS[record]["properties"]) <= described


def test_the_numbers_of_the_truth_are_those_of_the_file():
    model, text = truth(), README.replace("−", "-")
    difference, ideal = model.difference, model.preference
    assert f"a = {difference.ta_per_g_per_l} ΔTA" in text
    assert f"s = {difference.sugar_per_g_per_l} Δsugar" in text
    assert f"ρ = {difference.rho}" in text
    assert f"gap c = {difference.character_gap}" in text
    assert f"-{ideal.curvature} (TA - {ideal.ideal_ta_g_per_l})²" in text
    assert f"is {model.seed}." in " ".join(text.split())


@pytest.mark.parametrize("attribute", ["more sour", "sweeter"])
def test_the_weights_of_each_direction_are_those_of_the_file(attribute):
    weights = truth().directions[attribute]
    sugar = f"{weights.sugar_per_g_per_l:+}".replace("+", "+ ").replace("-", "- ")
    stated = f"Δ = {weights.ta_per_g_per_l} ΔTA {sugar} Δsugar"
    assert stated in README.replace("−", "-")


def test_the_files_that_it_lists_are_there():
    listed = re.findall(r"`([a-z_]+\.(?:json|csv|py))`", README)
    assert all((FOLDER / name).is_file() for name in listed)
    there = {path.name for path in FOLDER.iterdir() if path.suffix in {".json", ".csv", ".py"}}
    assert there - {"__init__.py"} <= set(listed)


def test_the_paper_panel_finds_what_the_readme_says(paper_finding):
    tally = paper_finding.tally
    assert f"{tally.count} of {tally.n} answers were correct" in README
    assert f"{paper_finding.evidence.critical.value} are needed" in README
    assert paper_finding.shown


def test_the_paper_panel_is_balanced_and_says_that_it_is_invented():
    answers = paper_answers(PAPER, METHODS["triangle"])
    orders = [answer.order for answer in answers]
    assert {orders.count(order) for order in METHODS["triangle"].orders} == {3}
    assert PAPER.startswith("# Invented")


def test_the_columns_of_the_paper_panel_are_described():
    assert all(f"| `{column}` |" in README for column in COLUMNS)
