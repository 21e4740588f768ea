from collections import Counter
from random import Random

import numpy as np
import pytest
from scipy import stats

from sample_sessions import FOLDER, draw
from sample_sessions.evenings import evenings
from sample_sessions.truth import truth
from tasting.panel.methods import METHODS
from tests.sample_sessions.answered import about, answered, deviance, least, true_numbers

NAMES = ("workshop.json", "closed_sessions.json", "planned_and_open.json", "paper_panel.csv")
QUESTIONS = ("triangle", "more sour", "sweeter", "preference")
NUMBERS = [(question, n) for question in QUESTIONS for n in range(true_numbers(question).size)]


@pytest.fixture(scope="module")
def drawn(tmp_path_factory):
    folder = tmp_path_factory.mktemp("drawn")
    draw.write(folder)
    return folder


@pytest.mark.parametrize("name", NAMES)
def test_the_script_gives_the_committed_files_byte_for_byte(drawn, name):
    hint = "the pantry, the physics or the script has changed: run python -m sample_sessions.draw"
    assert (drawn / name).read_bytes() == (FOLDER / name).read_bytes(), hint


def test_the_script_writes_nothing_else(drawn):
    assert {path.name for path in drawn.iterdir()} == set(NAMES)


def test_another_seed_gives_other_answers_to_the_same_programme():
    evening = evenings()[0]
    other = truth().model_copy(update={"seed": 1})
    first, second = draw.session(truth(), evening), draw.session(other, evening)
    assert first.plan == second.plan
    assert first.answers != second.answers
    assert first.sets != second.sets


def test_every_serving_order_is_used_equally_often(closed):
    for kept in closed:
        orders = Counter(served.order for served in kept.sets)
        assert max(orders.values()) - min(orders.values()) <= 1


@pytest.mark.parametrize("method", METHODS.values(), ids=str)
@pytest.mark.parametrize(("probability", "counts"), [(0.0, False), (1.0, True)])
def test_a_sure_thing_is_always_chosen(method, probability, counts):
    random = Random(2)
    for order in method.orders:
        place = draw.chosen(method, order, probability, random)
        assert method.is_counted(order, place) == counts


def test_one_answer_never_shifts_the_random_numbers_of_the_next():
    never, always = Random(3), Random(3)
    draw.chosen(METHODS["triangle"], "ABA", 0.0, never)
    draw.chosen(METHODS["triangle"], "ABA", 1.0, always)
    assert never.random() == always.random()


def test_each_session_agrees_with_the_stated_model(closed):
    for row in map(answered, closed):
        probability = truth().probability(row.session.plan, row.between)
        assert stats.binomtest(row.count, row.n, probability).pvalue > 0.01


@pytest.mark.parametrize("question", QUESTIONS)
def test_pooled_counts_lie_within_their_bounds(workshop, question):
    rows = about(question, workshop)
    p = np.array([truth().probability(row.session.plan, row.between) for row in rows])
    n = np.array([row.n for row in rows])
    spread = np.sqrt((n * p * (1 - p)).sum())
    surplus = sum(row.count for row in rows) - (n * p).sum()
    assert abs(surplus) < stats.norm.ppf(0.995) * spread


@pytest.mark.parametrize("question", QUESTIONS)
def test_the_truth_fits_the_answers(workshop, question):
    # Wilks 1938: the deviance is nearly chi-squared with one degree of freedom a session.
    rows = about(question, workshop)
    assert deviance(question, rows, true_numbers(question)) < stats.chi2.ppf(0.99, len(rows))


@pytest.mark.parametrize(("question", "number"), NUMBERS)
def test_the_truth_lies_inside_the_interval_of_each_number(workshop, question, number):
    # The profile-likelihood interval at 95 %, by scipy alone.
    rows = about(question, workshop)
    rise = least(question, rows, held=number) - least(question, rows)
    assert rise < stats.chi2.ppf(0.95, 1)


def test_acid_and_sugar_were_moved_alone_together_and_apart(closed):
    steps = [draw.between(kept.plan.a.id, kept.plan.b.id) for kept in closed]
    moved = {(round(step.ta_g_per_l / 0.3), round(step.sugar_g_per_l / 4)) for step in steps}
    signs = {(np.sign(acid), np.sign(sugar)) for acid, sugar in moved}
    assert {(1, 0), (0, -1), (0, 1), (1, 1), (1, -1)} <= signs
