"""The assessor's page: one set at a time, and nothing that tells which code is which."""

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.errors import StoreError
from tasting.panel.methods import METHODS
from tasting.store import ballots, sessions
from tasting.store.database import writing
from tests.ui import workshop
from tests.ui.conftest import APP

CHOSEN = " :small[✓ chosen]"
SECRET = b"a secret of these tests, 32 bytes"


def seated(engine: Engine, app: AppTest, **more: object) -> AppTest:
    """The page of the first assessor of an open session."""
    opened = workshop.opened(workshop.planned("blind", **more))
    workshop.keep(engine, opened)
    app.query_params["seat"] = token(engine)
    assert not app.run().exception
    return app


def token(engine: Engine) -> str:
    """The first assessor's."""
    return ballots.links(engine, "blind", SECRET)[workshop.ASSESSORS[0]]


def begin(app: AppTest) -> AppTest:
    """Agree on the first screen."""
    app.checkbox(key="agreed").check()
    return app.button(key="begin").click().run()


def codes(app: AppTest) -> list[str]:
    """The codes on the buttons, from left to right."""
    return [
        button.label.removesuffix(CHOSEN)
        for button in app.button
        if button.key and button.key.startswith("code-")
    ]


def texts(app: AppTest) -> str:
    """Everything that stands on the page."""
    elements = [*app.title, *app.header, *app.markdown, *app.caption, *app.warning, *app.error]
    return " ".join(str(element.value) for element in elements)


def test_the_first_screen_tells_allergens_and_alcohol(engine: Engine, app: AppTest) -> None:
    seated(engine, app, allergens=("sulphites",), alcohol_percent_vol=5.5)
    assert "sulphites" in texts(app)
    assert "5\\.5 % vol" in texts(app)
    assert "3 cups, 90 mL in all\\: at most 3\\.9 g of ethanol" in texts(app)
    assert codes(app) == []
    assert not app.exception


def test_codes_stand_in_serving_order(engine: Engine, app: AppTest) -> None:
    begin(seated(engine, app))
    ballot = ballots.ballot(engine, token(engine))
    assert codes(app) == list(ballot.codes)


def test_the_chosen_button_says_so_and_stays_the_same_element(engine: Engine, app: AppTest) -> None:
    begin(seated(engine, app))
    button = next(button for button in app.button if button.label == codes(app)[1])
    chosen = button.click().run().button(key=button.key)
    assert chosen.label == f"{button.label}{CHOSEN}"
    assert (chosen.proto.id, chosen.proto.type) == (button.proto.id, button.proto.type)
    assert app.info[0].value == f"You chose **{button.label}**. You may still change that."


def test_nothing_can_be_recorded_before_a_choice(engine: Engine, app: AppTest) -> None:
    begin(seated(engine, app))
    assert not [button for button in app.button if "Record" in button.label]


def test_without_consent_there_is_nothing_to_taste(engine: Engine, app: AppTest) -> None:
    seated(engine, app).button(key="begin").click().run()
    assert "Tick the box" in app.error[0].value
    assert codes(app) == []


def test_who_stops_keeps_what_was_given(engine: Engine, app: AppTest) -> None:
    begin(seated(engine, app, replicates=2))
    answer(app, codes(app)[0])
    app.button(key="stop").click().run()
    assert "You stopped this tasting" in texts(app)
    assert sessions.summary(engine, "blind").answered == 1


def test_the_next_set_waits_for_the_planned_rest(engine: Engine, app: AppTest) -> None:
    begin(seated(engine, app, replicates=2, pause_seconds=600))
    answer(app, codes(app)[0])
    assert app.header[0].value == "Rest your palate"
    assert codes(app) == []


@pytest.mark.parametrize("key", sorted(set(METHODS) - {"paired"}))
def test_every_method_can_be_answered(engine: Engine, app: AppTest, key: str) -> None:
    directed = METHODS[key].question_kind == "direction"
    asked = {"attribute": "more sour", "expected": "B"} if directed else {}
    begin(seated(engine, app, method=key, **asked))
    answer(app, codes(app)[0])
    assert sessions.summary(engine, "blind").answered == 1
    assert not app.exception


def test_who_tastes_alone_chooses_a_place_before_the_code(engine: Engine, app: AppTest) -> None:
    me = workshop.ASSESSORS[0]
    begin(seated(engine, app, assessors=(me,), alone=True))
    under = ballots.ballot(engine, token(engine)).codes
    assert not [code for code in under if code in texts(app)]
    next(button for button in app.button if button.label == "2").click().run()
    assert not app.warning
    app.text_input[0].input(under[1])
    next(button for button in app.button if "Record" in button.label).click().run()
    assert sessions.summary(engine, "blind").answered == 1


def answer(app: AppTest, code: str) -> AppTest:
    """Choose a code and record it."""
    next(button for button in app.button if button.label == code).click().run()
    return next(button for button in app.button if "Record" in button.label).click().run()


def test_an_answer_leads_to_the_next_set(engine: Engine, app: AppTest) -> None:
    begin(seated(engine, app, replicates=2))
    first = codes(app)
    answer(app, first[1])
    assert sessions.summary(engine, "blind").answered == 1
    assert codes(app) != first
    assert "set 2 of 2" in texts(app)


def test_the_last_screen_thanks_and_tells_nothing(engine: Engine, app: AppTest) -> None:
    begin(seated(engine, app))
    answer(app, codes(app)[0])
    assert app.title[0].value == "Thank you"
    assert "correct" not in texts(app)


def test_no_page_of_an_assessor_names_a_sample(engine: Engine, app: AppTest) -> None:
    seated(engine, app)
    pages = texts(app)
    begin(app)
    pages += texts(app)
    answer(app, codes(app)[0])
    pages += texts(app)
    assert not [name for name in ("Spritz", "spritz", "v1", "v2", "blind") if name in pages]


def test_a_reload_comes_back_to_the_same_set(engine: Engine, app: AppTest) -> None:
    begin(seated(engine, app, replicates=2))
    answer(app, codes(app)[0])
    again = AppTest.from_file(str(APP), default_timeout=20)
    again.query_params["seat"] = token(engine)
    again.run()
    assert codes(again) == codes(app)


def another_screen(engine: Engine) -> AppTest:
    """A second telephone, or a second tab, on the first assessor's seat."""
    screen = AppTest.from_file(str(APP), default_timeout=20)
    screen.query_params["seat"] = token(engine)
    return screen.run()


def test_a_second_screen_is_told_that_the_first_answer_counts(engine: Engine, app: AppTest) -> None:
    begin(seated(engine, app, replicates=3))
    other = another_screen(engine)
    first, second, _ = codes(app)
    next(button for button in other.button if button.label == second).click().run()
    answer(app, first)
    next(button for button in other.button if "Record" in button.label).click().run()
    assert other.warning[0].value == (
        "Set 1 had been answered already, on another screen or on paper; the first answer counts."
    )
    assert "set 2 of 3" in texts(other)
    assert not answer(other, codes(other)[0]).warning, "told once, on the next screen alone"
    assert not app.run().warning[1:], "the first screen is told about set 2 only"
    sessions.close_session(engine, "blind", workshop.START.replace(year=2027), "enough")
    assert sessions.closed_session(engine, "blind").answers[0].choice == first


def test_the_end_tells_it_too_but_no_screen_that_answered_itself(
    engine: Engine, app: AppTest
) -> None:
    begin(seated(engine, app))
    other = another_screen(engine)
    answer(app, codes(app)[0])
    assert not app.warning
    assert not app.run().warning, "nor after a reload of the same page"
    assert other.run().warning[0].value.startswith("Set 1 had been answered already")


def test_a_closed_session_takes_no_more_answers(engine: Engine, app: AppTest) -> None:
    begin(seated(engine, app))
    first = codes(app)
    sessions.close_session(engine, "blind", workshop.START.replace(year=2027), "tired")
    next(button for button in app.button if button.label == first[0]).click().run()
    assert "takes no more answers" in texts(app)
    assert not app.exception


def spoil(engine: Engine) -> None:
    """Nothing that reads or adds answers works any more."""
    with writing(engine) as connection:
        connection.exec_driver_sql("ALTER TABLE answer RENAME TO gone")


def test_a_database_that_fails_tells_an_assessor_what_to_do(engine: Engine, app: AppTest) -> None:
    begin(seated(engine, app))
    next(button for button in app.button if button.label == codes(app)[0]).click().run()
    spoil(engine)
    for screen in (app.run(), another_screen(engine)):
        assert "nothing of this tap was kept" in screen.error[0].value
        assert "sqlite" not in screen.error[0].value
        assert not screen.exception


def test_a_tap_that_cannot_be_written_is_said_and_can_be_repeated(
    engine: Engine, app: AppTest, monkeypatch: pytest.MonkeyPatch
) -> None:
    def locked(*_: object, **__: object) -> None:
        raise StoreError("the database sqlite:////home/kim/log does not answer as it should")

    begin(seated(engine, app, replicates=2))
    with monkeypatch.context() as failing:
        failing.setattr(ballots, "record_answer", locked)
        answer(app, codes(app)[0])
    assert "nothing of this tap was kept" in app.error[0].value
    assert "/home/kim" not in texts(app)
    next(button for button in app.button if "Record" in button.label).click().run()
    assert "set 2 of 2" in texts(app)


def test_an_unknown_link_says_so(engine: Engine, app: AppTest) -> None:
    app.query_params["seat"] = "nonsense"
    app.run()
    assert app.title[0].value == "This link is not known"
    assert not app.exception
