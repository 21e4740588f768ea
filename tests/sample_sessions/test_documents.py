from collections import Counter
from itertools import pairwise

import pytest

from sample_sessions import FOLDER, documents
from tasting.drink.composition import compose
from tasting.panel import care
from tasting.store import formulas, sessions
from tasting.store.documents import fill, read_document, write_document

# 14 g of ethanol is one drink in the United States (NIAAA, from memory).
ONE_DRINK_G = 14.0


@pytest.mark.parametrize("path", documents(), ids=lambda path: path.name)
def test_a_document_is_written_back_as_it_was_read(path):
    assert write_document(read_document(path)) == path.read_text("utf-8")


def test_every_json_file_but_the_truth_is_a_document():
    found = {path.name for path in FOLDER.glob("*.json")}
    assert found == {path.name for path in documents()} | {"truth.json"}


def test_all_documents_import_one_after_another_into_an_empty_database(engine, workshop, closed):
    for path in documents():
        fill(engine, read_document(path))
    assert formulas.formulas(engine) == workshop.formulas
    assert formulas.references(engine) == workshop.references
    assert sorted(sessions.closed_sessions(engine), key=lambda kept: kept.id) == closed


def test_one_session_is_open_and_one_is_planned(engine, workshop):
    assert Counter(kept.state for kept in workshop.sessions) == {
        "closed": 23,
        "open": 1,
        "planned": 1,
    }


def test_the_open_session_has_its_key_and_about_half_of_its_answers(workshop):
    (running,) = (kept for kept in workshop.sessions if kept.state == "open")
    assert len(running.sets) == running.plan.tastings == 20
    assert len(running.answers) == 11
    assert running.invented.startswith("Made up for the demonstration")


def test_the_formula_is_a_tree_with_branches_and_a_reason_for_each_change(workshop):
    (spritz,) = workshop.formulas
    children = Counter(version.parent for version in spritz.versions if version.parent)
    assert len(spritz.versions) == 12
    assert sum(count > 1 for count in children.values()) >= 3
    assert all(version.reason for version in spritz.versions[1:])


def test_labels_are_numbered_in_order_of_time(workshop):
    (spritz,) = workshop.formulas
    by_age = sorted(spritz.versions, key=lambda version: version.created_at)
    assert [version.label.split()[0] for version in by_age] == [f"v{n}" for n in range(1, 13)]


def test_the_reference_has_label_values_and_a_titrated_acidity(workshop):
    (bottle,) = workshop.references
    declared = (bottle.alcohol_percent_vol, bottle.sugar_g_per_100ml, bottle.energy_kcal_per_100ml)
    assert all(declared)
    assert bottle.ta_g_per_l == 6.2
    assert "titrated" in bottle.source_note


def test_the_label_of_the_reference_adds_up(workshop):
    # Regulation (EU) 1169/2011, annex XIV: 4 kcal/g of sugar, 3 of organic acid, 7 of alcohol.
    (bottle,) = workshop.references
    ethanol_g = bottle.alcohol_percent_vol * 0.789
    declared = 4 * bottle.sugar_g_per_100ml + 3 * bottle.ta_g_per_l / 10 + 7 * ethanol_g
    assert declared == pytest.approx(bottle.energy_kcal_per_100ml, abs=1)


def test_every_version_is_a_plausible_spritz(workshop):
    for version in workshop.formulas[0].versions:
        made = compose(version)
        assert 4 <= made.ta_g_per_l <= 8
        assert 40 <= made.sugar_g_per_l <= 90
        assert 4 <= made.alcohol_percent_vol <= 7
        assert 200 <= made.volume_ml <= 250


def test_all_methods_are_there_with_one_and_two_sides(closed):
    kinds = {(kept.plan.method, kept.plan.attribute, kept.plan.sides) for kept in closed}
    assert kinds == {
        ("triangle", "", 1),
        ("paired", "more sour", 1),
        ("paired", "more sour", 2),
        ("paired", "sweeter", 2),
        ("preference", "", 2),
    }


def test_panels_have_6_to_12_assessors_or_one_with_replicates(closed):
    alone = [kept for kept in closed if len(kept.plan.assessors) == 1]
    assert {len(kept.plan.assessors) for kept in closed} - {1} <= set(range(6, 13))
    assert [kept.plan.replicates for kept in alone] == [8]


def test_one_session_was_closed_early_with_its_reason(closed):
    (early,) = (kept for kept in closed if kept.early)
    assert early.early_reason == "The verjus ran out after 13 sets."
    assert len(early.answers) == 13


def test_sessions_run_over_some_months_of_2026_and_never_at_once(workshop):
    opened = [kept for kept in workshop.sessions if kept.opened_at]
    assert {kept.opened_at.year for kept in opened} == {2026}
    assert (opened[-1].opened_at - opened[0].opened_at).days > 150
    assert all(one.closed_at < next_.opened_at for one, next_ in pairwise(opened))


def test_drinks_are_older_than_the_sessions_that_compare_them(workshop):
    for kept in workshop.sessions:
        for sample in (kept.plan.a, kept.plan.b):
            drink = workshop.drink(sample)
            if sample.kind == "version":
                assert drink.created_at < kept.planned_at


def test_answers_come_in_order_of_time_before_the_session_is_closed(workshop):
    for kept in workshop.sessions:
        given = [answer.given_at for answer in kept.answers]
        moments = [kept.planned_at, *filter(None, [kept.opened_at]), *given]
        moments += filter(None, [kept.closed_at])
        assert all(earlier < later for earlier, later in pairwise(moments))


def test_samples_are_named_as_the_tool_names_them(engine, workshop):
    fill(engine, workshop)
    known = formulas.samples(engine)
    assert all(kept.plan.a in known and kept.plan.b in known for kept in workshop.sessions)


def test_every_plan_tells_allergens_and_alcohol_of_both_samples(workshop):
    for kept in workshop.sessions:
        drinks = [workshop.drink(sample) for sample in (kept.plan.a, kept.plan.b)]
        assert kept.plan.allergens == care.allergens(drinks)
        assert kept.plan.alcohol_percent_vol == care.alcohol_percent_vol(drinks) > 4


def test_nobody_is_served_more_than_one_drink_an_evening(workshop):
    for kept in workshop.sessions:
        cups_ml = kept.plan.serving_ml * kept.plan.procedure.cups * kept.plan.replicates
        assert care.ethanol_g(cups_ml, kept.plan.alcohol_percent_vol) < ONE_DRINK_G


@pytest.mark.parametrize("path", documents(), ids=lambda path: path.name)
def test_everything_says_that_it_is_invented(path):
    document = read_document(path)
    parts = [document, *document.formulas, *document.references, *document.sessions]
    assert all(part.invented.startswith("Made up") for part in parts)
