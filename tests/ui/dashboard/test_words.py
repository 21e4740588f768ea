"""What the dashboard's sections say: truth, forecast, next test, aim and plan."""

from dataclasses import replace

from sqlalchemy import Engine

from sample_sessions.truth import truth
from sample_sessions.truth_check import compared
from tasting.drink.adjust import Change
from tasting.insight.advice.forecast import forecast
from tasting.insight.advice.next_session import next_sessions, questions
from tasting.insight.advice.question import PlanComparison
from tasting.insight.advice.target import aim_at_liking, aim_at_reference
from tasting.insight.noticing.drivers import DEFAULT_DRIVERS, DRIVERS
from tasting.insight.noticing.model import fit_thresholds
from tasting.store import formulas
from tasting.store.session_index import EVERY, Index
from tasting.ui.dashboard import forecast as dashboard_forecast
from tasting.ui.dashboard import next_session, sample_truth, target
from tasting.ui.dashboard.cached import DashboardModel, load
from tasting.ui.dashboard.make_plan import asked_for_by, with_version
from tests.insight.workshop import bottle, document, noticed
from tests.ui.workshop import SPRITZ, keep

FORMULA = document().formulas[0]
INDEX = Index(EVERY, len(document().sessions), "2026")
SAMPLE = DashboardModel("address", INDEX, (), noticed(), FORMULA, bottle())


def test_the_stated_truth_stands_beside_each_estimate() -> None:
    rows = {name: (true, estimate) for name, true, estimate in compared(
        noticed(), truth()
    )}  # fmt: skip

    assert len(rows) == 10
    assert rows["d′ for 1 g/L of TA"][0] == truth().difference.ta_per_g_per_l
    assert rows["not explained by acid and sugar, d′"][1] == noticed().character_gap.estimate  # type: ignore[union-attr]


def test_a_truth_outside_its_interval_is_told() -> None:
    off = truth().model_copy(
        update={"difference": truth().difference.model_copy(update={"ta_per_g_per_l": 9.0})}
    )
    table = sample_truth.table(list(compared(noticed(), off)))

    assert table["Within"].tolist().count("no") == 1


def test_only_the_invented_workshop_has_a_stated_truth() -> None:
    assert sample_truth.is_sample(SAMPLE)
    more = replace(noticed(), session_ids=(*noticed().session_ids, "one of mine"))
    assert not sample_truth.is_sample(replace(SAMPLE, thresholds=more))
    assert not sample_truth.is_sample(replace(SAMPLE, index=Index(EVERY, 0, "")))
    assert not sample_truth.is_sample(replace(SAMPLE, formula=SPRITZ))
    assert not sample_truth.is_sample(replace(SAMPLE, thresholds=noticed(drivers=("ta",))))


def test_a_forecast_has_a_row_for_each_method() -> None:
    found = forecast(noticed(), FORMULA.versions[0], FORMULA.versions[1], n=24)
    table = dashboard_forecast.table(found.outlooks)

    assert table["Needed"].tolist()[0] == "13 of 24"  # ISO 4120, table A.1 (from memory)
    assert len(table) == len(found.outlooks)


def test_a_next_test_names_what_is_to_be_made() -> None:
    (first, *_) = next_sessions(noticed(), "ta", FORMULA.versions)

    assert "citric acid" in next_session.title(first)


def test_whatever_driver_there_is_can_be_asked_about() -> None:
    asked = questions(tuple(DRIVERS.values()))

    assert asked["ta"] == "the noticeable step of acid"
    assert asked["ideal alcohol"] == "the best-liked level of alcohol"
    assert len(asked) == 2 * len(DRIVERS) + 1


def test_an_aim_tells_levels_and_what_is_left() -> None:
    lines = target.in_words(aim_at_reference(noticed(), FORMULA.versions[-1], bottle()))

    assert lines[0].endswith(" of TA: already there, as far as is known.")
    assert lines[-1].startswith("Expected there: d′ ")


def test_what_is_liked_best_leaves_nothing_to_compare() -> None:
    assert target.in_words(aim_at_liking(noticed(), FORMULA.versions[-1]))[0].startswith(
        "Go to 6.0 g/L ("
    )


def test_a_change_is_written_with_its_sign() -> None:
    more = Change("citric-acid", "citric acid", "g", 0.42, 0.21, 0.42)
    less = replace(more, per_batch=-0.42, per_serving=-0.21)

    assert target.change_in_words(more) == "+0.21 g citric acid per serving"
    assert target.table([less]).iloc[0].tolist() == ["citric acid", "−0.42 g", "−0.21 g"]


def test_a_wish_stands_in_the_address_of_the_new_tasting() -> None:
    first, second, _ = SPRITZ.versions
    asked = asked_for_by(PlanComparison("Plan", "triangle", first, second, 24))

    assert asked == {
        "a": first.id,
        "b": second.id,
        "method": "triangle",
        "tastings": "24",
        "name": "Triangle test: v1 and v2",
    }


def test_what_is_not_there_yet_is_kept_as_a_child(engine: Engine) -> None:
    keep(engine)
    board = load(engine, Index(EVERY, 0, ""), DEFAULT_DRIVERS, SPRITZ, None)
    base = SPRITZ.versions[2]
    richer = base.model_copy(update={"parts": SPRITZ.versions[1].parts})
    ready = with_version(
        engine, board, PlanComparison("Plan", "triangle", base, richer, 24, "v3 with more")
    )

    kept = formulas.formula(engine, SPRITZ.id).versions[-1]
    assert ready.b == kept
    assert (kept.label, kept.parent, kept.parts) == ("v4", base.id, richer.parts)
    assert kept.reason == "v3 with more"


def test_two_versions_that_are_there_stay_as_they_are(engine: Engine) -> None:
    wish = PlanComparison("Plan", "triangle", SPRITZ.versions[0], SPRITZ.versions[1], 24)

    assert with_version(engine, SAMPLE, wish) is wish


def test_a_fit_is_kept_by_the_sessions_it_rests_on(engine: Engine) -> None:
    keep(engine)
    first, second = (
        load(engine, Index(EVERY, 0, ""), DEFAULT_DRIVERS, SPRITZ, None) for _ in range(2)
    )
    other = load(engine, Index(EVERY, 0, ""), ("alcohol",), SPRITZ, None)

    assert first.thresholds is second.thresholds
    assert first.thresholds.session_ids == fit_thresholds([], {}).session_ids
    assert other.thresholds is not first.thresholds
    assert other.key != first.key
