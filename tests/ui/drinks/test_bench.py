"""An evening at the bench, on its page: nothing that was tapped, typed or noted is lost."""

import re
from datetime import timedelta

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.drink.bench import Added, SavedAs, Tasted, TastedAway, Undone
from tasting.drink.composition import compose
from tasting.drink.formula import Part
from tasting.store import bench, formulas, schema
from tasting.store.database import writing
from tests.ui.conftest import visit
from tests.ui.drinks.opening import V3, drink, field, html, spritz, stored
from tests.ui.reading import ESCAPED, linked
from tests.ui.reading import read as words
from tests.ui.workshop import INVENTED, SPRITZ, closed, keep, planned

PINCH = Added(part=Part.model_validate({"ingredient": "citric-acid", "amount": "0.1 g"}))
LINE, NOTE = "Add, or taste away", "How does it taste now?"


@pytest.fixture
def glass(engine: Engine) -> str:
    """A glass of v3, 184 mL as it is served; its id."""
    keep(engine)
    return bench.pour(engine, V3.id, 184)


def at(host: AppTest, glass: str) -> AppTest:
    page = visit(host, "bench", id=glass)
    assert not page.exception
    return page


def tap(page: AppTest, name: str) -> AppTest:
    button = next(one for one in page.button if ESCAPED.sub(r"\1", one.label) == name)
    button.click().run()
    assert not page.exception
    return page


def typed(page: AppTest, text: str, label: str = LINE) -> AppTest:
    """Type a line, or a note, and send it."""
    field(page.text_input, label).input(text)
    return tap(page, "Add" if label == LINE else "Note")


def to_the_bench(page: AppTest) -> AppTest:
    """Press the button on the page of a drink."""
    page.button(key="bench").click().run()
    assert not page.exception
    return page


def title(page: AppTest) -> str:
    return ESCAPED.sub(r"\1", page.title[0].value)


def steps(engine: Engine, glass: str) -> tuple[object, ...]:
    return bench.glass(engine, glass).log.steps


def said(page: AppTest) -> str:
    """All that the page says: its texts and what is HTML of ours."""
    return re.sub(r"<[^>]+>", "", html(page)) + words(page)


def test_the_drinks_page_leads_to_a_glass(engine: Engine, host: AppTest) -> None:
    keep(engine)
    page = to_the_bench(spritz(host))
    assert title(page) == "Pour a glass of v3"
    page = visit(host, "bench", version=V3.id)
    field(page.text_input, "Poured, mL").input("100")
    tap(page, "Pour")
    (poured,) = bench.poured(engine, [V3.id])
    assert poured.poured_ml == 100
    assert title(page) == "At the bench: v3"
    assert "100 mL of v3, as poured" in said(page)
    back = {ESCAPED.sub(r"\1", label): where for label, where in linked(page).items()}
    assert back["Rhubarb and bay spritz, v3"] == "drink?id=spritz&version=spritz-3"


def test_this_evenings_glass_is_gone_on_with(engine: Engine, host: AppTest, glass: str) -> None:
    page = to_the_bench(spritz(host))
    assert title(page) == "At the bench: v3"


def test_another_evening_is_another_glass(engine: Engine, host: AppTest, glass: str) -> None:
    kept = bench.glass(engine, glass)
    with writing(engine) as connection:
        earlier = (kept.poured_at - timedelta(days=1)).isoformat()
        connection.execute(schema.bench.update().values(poured_at=earlier))
    page = to_the_bench(spritz(host))
    assert title(page) == "Pour a glass of v3"
    assert "184 mL of v3" in html(page)


def test_a_volume_that_nobody_pours_is_refused(engine: Engine, host: AppTest) -> None:
    keep(engine)
    page = visit(host, "bench", version=V3.id)
    field(page.text_input, "Poured, mL").input("0")
    tap(page, "Pour")
    assert "not between 5 and 10000" in page.error[0].value.replace("\\", "")
    assert bench.poured(engine, [V3.id]) == ()


def test_a_tap_adds_its_pinch(engine: Engine, host: AppTest, glass: str) -> None:
    page = tap(tap(at(host, glass), "+0.1 g citric acid"), "+0.1 g citric acid")
    assert steps(engine, glass) == (PINCH, PINCH)
    assert "+0.1 g citric acid, anhydrous" in said(page)
    change = re.search(r"TA, g/L</th><td>[\d.]+</td><td>\+([\d.]+)", html(page))
    assert change
    assert float(change[1]) == pytest.approx(0.2 / 0.184, abs=0.03)


@pytest.mark.parametrize(
    ("line", "step"),
    [
        ("+0.1 g citric acid", "+0.1 g citric acid, anhydrous"),
        ("2 ml lemon", "+2 mL lemon juice"),
        ("15 mL tasted away", "15 mL tasted away"),
    ],
)
def test_a_line_adds_or_takes_away(
    engine: Engine, host: AppTest, glass: str, line: str, step: str
) -> None:
    page = typed(at(host, glass), line)
    (made,) = steps(engine, glass)
    assert str(made) == step
    assert field(page.text_input, LINE).value == ""


def test_what_is_not_understood_stays_and_is_said(
    engine: Engine, host: AppTest, glass: str
) -> None:
    page = typed(at(host, glass), "some lemon")
    assert steps(engine, glass) == ()
    assert page.error[0].value.startswith("How much?")
    assert field(page.text_input, LINE).value == "some lemon"


def test_a_doubtful_name_is_asked_and_a_tap_settles_it(
    engine: Engine, host: AppTest, glass: str
) -> None:
    page = typed(at(host, glass), "0.1 g maleic acid")
    assert "is not known here" in page.error[0].value
    tap(page, "malic acid")
    (made,) = steps(engine, glass)
    assert isinstance(made, Added)
    assert made.part.ingredient.key == "malic-acid"
    assert not page.error


def test_more_than_there_is_cannot_be_tasted(engine: Engine, host: AppTest, glass: str) -> None:
    page = typed(at(host, glass), "200 mL tasted away")
    assert "200 mL cannot be taken out of 184 mL" in page.error[0].value
    assert steps(engine, glass) == ()


def test_a_note_is_kept_with_its_step(engine: Engine, host: AppTest, glass: str) -> None:
    page = typed(tap(at(host, glass), "+0.1 g citric acid"), "*still* thin", NOTE)
    assert steps(engine, glass) == (PINCH, Tasted(note="*still* thin"))
    assert "*still* thin" in html(page)
    assert field(page.text_input, NOTE).value == ""


def test_an_empty_note_is_refused(engine: Engine, host: AppTest, glass: str) -> None:
    page = typed(at(host, glass), "  ", NOTE)
    assert "The note is empty" in page.error[0].value
    assert steps(engine, glass) == ()


def test_undoing_is_a_step_of_its_own(engine: Engine, host: AppTest, glass: str) -> None:
    page = tap(at(host, glass), "+0.1 g citric acid")
    before = html(page)
    page = tap(tap(page, "10 mL tasted away"), "Undo 10 mL tasted away")
    assert steps(engine, glass) == (PINCH, TastedAway(volume_ml=10), Undone())
    assert re.search(r"Volume, mL</th><td>184\.1", html(page))
    assert re.search(r"Volume, mL</th><td>184\.1", before)
    assert "<s>10 mL tasted away</s> undone" in html(page)


def test_another_device_shows_the_same(engine: Engine, host: AppTest, glass: str) -> None:
    """Two phones on one glass: what the other one did is there, and is not undone unseen."""
    page = tap(at(host, glass), "+0.1 g citric acid")
    bench.add_step(engine, glass, TastedAway(volume_ml=10), 1)
    tap(page, "Undo +0.1 g citric acid, anhydrous")
    assert "another device added a step" in page.error[0].value.lower()
    assert steps(engine, glass) == (PINCH, TastedAway(volume_ml=10))
    assert "10 mL tasted away" in said(page)


def test_without_sessions_no_number_of_pinches_is_told(
    engine: Engine, host: AppTest, glass: str
) -> None:
    page = tap(at(host, glass), "+0.1 g citric acid")
    assert "alf of assessors" not in said(page)
    assert "Last step" in said(page)


@pytest.fixture
def noticed(engine: Engine) -> str:
    """A glass of v3 where closed sessions show how much acid is noticed."""
    some = [
        closed(planned("acid"), 9, 3, day=32),
        closed(planned("again"), 8, 4, day=33),
        closed(planned("syrup", a="spritz-1", b="spritz-3"), 8, 4, day=34),
        closed(planned("both", a="spritz-2", b="spritz-3"), 9, 3, day=35),
    ]
    keep(engine, *some)
    return bench.pour(engine, V3.id, 184)


def test_it_says_how_many_more_and_then_proposes_the_comparison(
    engine: Engine, host: AppTest, noticed: str
) -> None:
    page = tap(at(host, noticed), "+0.1 g citric acid")
    assert re.search(r"About \d more of these before half of assessors would notice\.", said(page))
    assert "since v3. Half of assessors notice" in said(page)
    page = typed(page, "1 g citric acid")
    assert "About half of assessors would notice this." in said(page)
    assert "Save it as a version, then compare it blind with v3." in said(page)


def save(page: AppTest) -> AppTest:
    """Press Save, and once more where something was asked first."""
    page.button(key="bench-save").click().run()
    sure = [box for box in page.checkbox if str(box.key).startswith("sure-")]
    if sure:
        sure[0].check()
        page.button(key="bench-save").click().run()
    assert not page.exception
    return page


def test_a_step_becomes_a_version_and_is_compared_blind(
    engine: Engine, host: AppTest, glass: str
) -> None:
    page = tap(tap(at(host, glass), "+0.1 g citric acid"), "10 mL tasted away")
    field(page.text_input, "Why? (the steps are noted with it)").input("Towards R.").run()
    page = save(page)
    child = stored(engine).versions[-1]
    assert (child.label, child.parent, child.parts[:4]) == ("v4", V3.id, V3.parts)
    assert child.reason == (
        "Towards R. At the bench, 184 mL poured: +0.1 g citric acid, anhydrous; 10 mL tasted away"
    )
    assert steps(engine, glass)[-1] == SavedAs(version_id=child.id, label="v4", after=2)
    assert "drink?id=spritz&amp;version=" in html(page)
    page.button(key="bench-compare").click().run()
    assert not page.exception
    assert title(page) == "New tasting"
    chosen = [page.session_state[letter].id for letter in "ab"]
    assert chosen == [V3.id, child.id]


def test_what_was_added_since_is_no_longer_the_version(
    engine: Engine, host: AppTest, glass: str
) -> None:
    page = tap(save(tap(at(host, glass), "+0.1 g citric acid")), "+2 mL lemon juice")
    assert "bench-compare" not in [button.key for button in page.button]


def test_an_earlier_step_can_be_saved(engine: Engine, host: AppTest, glass: str) -> None:
    page = tap(tap(at(host, glass), "+0.1 g citric acid"), "+2 mL lemon juice")
    which = field(page.selectbox, "Which glass?")
    assert which.options == ["as it is now", "after +0.1 g citric acid, anhydrous"]
    which.select_index(1).run()
    save(page)
    child = stored(engine).versions[-1]
    assert [part.ingredient.key for part in child.parts] == [
        *[part.ingredient.key for part in V3.parts],
        "citric-acid",
    ]


def test_what_may_be_a_slip_is_asked_and_rounding_mends_it(
    engine: Engine, host: AppTest, glass: str
) -> None:
    """0.13 g are on no scale in steps of 0.1 g."""
    page = typed(at(host, glass), "0.13 g citric acid")
    page.button(key="bench-save").click().run()
    assert "a scale in steps of 0.1 g shows 0.1 g" in page.warning[0].value.replace("\\", "")
    assert stored(engine) == SPRITZ
    field(page.checkbox, "Round what went in to 0.1 g, as your scale shows it").check().run()
    assert re.search(r"TA [\d.]+ g/L; in the glass [\d.]+\.", words(page))
    page.button(key="bench-save").click().run()
    assert str(stored(engine).versions[-1].parts[-1].amount) == "0.1 g"


def test_a_serving_can_stay_as_large_as_it_was(engine: Engine, host: AppTest, glass: str) -> None:
    page = typed(at(host, glass), "20 mL lemon juice")
    field(page.checkbox, "Scale all amounts to a serving of 184 mL").check().run()
    save(page)
    assert compose(stored(engine).versions[-1]).volume_ml == pytest.approx(184, abs=0.2)


def test_a_name_that_is_taken_is_refused(engine: Engine, host: AppTest, glass: str) -> None:
    page = tap(at(host, glass), "+0.1 g citric acid")
    field(page.text_input, "Version name").input("v1").run()
    save(page)
    assert "two versions have the label 'v1'" in page.error[0].value
    assert stored(engine) == SPRITZ


def test_alcohol_is_cautioned_quietly_and_above_the_limit_loudly(
    engine: Engine, host: AppTest
) -> None:
    """By hand: 60 mL at 40 % vol are 24 mL, 18.9 g at 0.789 g/mL; 5 mL more pass the 20 g."""
    neat = Part.model_validate({"ingredient": "neutral-spirit", "amount": "200 mL"})
    first = V3.model_copy(update={"id": "neat", "parent": None, "parts": (neat,)})
    formulas.keep_formula(engine, SPRITZ.model_copy(update={"versions": (first,)}))
    page = typed(at(host, bench.pour(engine, "neat", 200)), "60 mL tasted away")
    assert "18.9 g of alcohol if swallowed" in words(page)
    assert not page.warning
    page = typed(page, "5 mL tasted away")
    assert "above your limit of 20 g" in page.warning[0].value


def test_alcohol_of_all_glasses_of_the_evening_adds_up(engine: Engine, host: AppTest) -> None:
    neat = Part.model_validate({"ingredient": "neutral-spirit", "amount": "200 mL"})
    first = V3.model_copy(update={"id": "neat", "parent": None, "parts": (neat,)})
    formulas.keep_formula(engine, SPRITZ.model_copy(update={"versions": (first,)}))
    for _ in range(2):
        glass = bench.pour(engine, "neat", 100)
        bench.add_step(engine, glass, TastedAway(volume_ml=20), 0)
    page = at(host, glass)
    assert "Tasted away of 2 glasses within 12 hours: 12.6 g" in words(page)


def test_invented_data_says_so_once(engine: Engine, host: AppTest) -> None:
    formulas.keep_formula(engine, SPRITZ.model_copy(update={"invented": INVENTED}))
    page = at(host, bench.pour(engine, V3.id, 100))
    assert words(page).count(f"Invented data: {INVENTED}") == 1


def test_what_somebody_typed_is_shown_as_it_was_typed(engine: Engine, host: AppTest) -> None:
    """Names, versions and notes with Markdown and HTML in them."""
    nasty = "<b>x</b> *y* [z](http://a.b) :red[c]"
    first = V3.model_copy(update={"id": "nasty", "parent": None, "label": nasty})
    formulas.keep_formula(engine, SPRITZ.model_copy(update={"name": nasty, "versions": (first,)}))
    glass = bench.pour(engine, "nasty", 100)
    bench.add_step(engine, glass, Tasted(note=nasty), 0)
    page = at(host, glass)
    assert "<b>x</b>" not in html(page)
    assert "&lt;b&gt;x&lt;/b&gt; *y*" in html(page)
    assert nasty in title(page)
    (link,) = [label for label in linked(page) if "red" in label]
    assert r"\*y\* \[z\]" in link


@pytest.mark.parametrize("query", [{}, {"id": "<b>x</b>"}, {"version": "nobody"}])
def test_an_unknown_glass_is_said(engine: Engine, host: AppTest, query: dict[str, str]) -> None:
    keep(engine)
    page = visit(host, "bench", **query)
    assert not page.exception
    assert title(page) == "No such glass"
    assert linked(page)["All drinks"] == "drinks"


def test_a_damaged_glass_is_said(engine: Engine, host: AppTest, glass: str) -> None:
    bench.add_step(engine, glass, PINCH, 0)
    with writing(engine) as connection:
        connection.exec_driver_sql("UPDATE bench_step SET body = '{}'")
    page = visit(host, "bench", id=glass)
    assert not page.exception
    assert "is damaged" in page.error[0].value


def test_many_steps_are_folded(engine: Engine, host: AppTest, glass: str) -> None:
    for seen in range(6):
        bench.add_step(engine, glass, PINCH, seen)
    page = at(host, glass)
    assert "3 earlier" in [one.label for one in page.expander]


def test_an_earlier_glass_says_which_pinches_are_likely(
    engine: Engine, host: AppTest, glass: str
) -> None:
    salt = Added(part=Part.model_validate({"ingredient": "salt", "amount": "0.1 g"}))
    bench.add_step(engine, glass, salt, 0)
    page = at(host, bench.pour(engine, "spritz-1", 100))
    offered = [button.label for button in page.button if str(button.key).startswith("tap-")]
    assert offered[0] == r"\+0\.1 g table salt"
    assert offered[-1] == "10 mL tasted away"
    assert "184 mL of v3" in html(page)
    assert drink(host, id=SPRITZ.id)
