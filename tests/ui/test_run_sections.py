"""The sections of an open session: paper, corrections, lost phones, and tasting alone."""

from collections.abc import Callable
from datetime import timedelta
from functools import partial

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.errors import InputError
from tasting.panel.care import HostLimits
from tasting.panel.entries import Event
from tasting.store import limits, sessions
from tasting.store.paper import slips
from tasting.store.sessions import Seat
from tasting.ui.tastings.event_log import event_rows
from tasting.ui.tastings.running.links import addresses
from tasting.ui.tastings.running.paper import MOST_BYTES, text_of
from tasting.ui.tastings.running.progress import standing
from tests.ui import workshop

Show = Callable[..., AppTest]
FIRST, SECOND = workshop.ASSESSORS[:2]


@pytest.mark.parametrize(
    ("told", "more"),
    [
        ("not begun", {}),
        ("consented", {"consented": True}),
        ("tasting", {"consented": True, "answered": 1}),
        ("tasting", {"answered": 1}),
        ("done", {"answered": 2}),
        ("stopped", {"answered": 1, "withdrawn": True}),
        ("excluded", {"answered": 2, "withdrawn": True, "excluded": True}),
    ],
)
def test_where_an_assessor_stands(told: str, more: dict[str, object]) -> None:
    fields = {"number": 0, "assessor": FIRST, "answered": 0, "planned": 2}
    marks = {"consented": False, "withdrawn": False, "excluded": False}
    assert standing(Seat(**{**fields, **marks, **more})) == told


def test_a_log_has_one_row_for_each_event_in_utc() -> None:
    at = workshop.START + timedelta(seconds=7)
    rows = event_rows([Event(at=at, what="opened", detail="seal abc"), Event(at=at, what="poured")])
    assert rows.iloc[0].tolist() == ["10 Jan 2026, 18:00:07", "opened", "seal abc"]
    assert len(rows) == 2


def test_every_assessor_has_an_address() -> None:
    assert addresses("https://tasting.example", {"P01": "abc"}) == {
        "P01": "https://tasting.example/?seat=abc"
    }


@pytest.mark.parametrize(
    ("data", "match"), [(b"x" * (MOST_BYTES + 1), "at most 500 kB"), (b"\xff\xfe\x00", "not UTF-8")]
)
def test_a_file_that_is_no_text_is_refused(data: bytes, match: str) -> None:
    with pytest.raises(InputError, match=match):
        text_of(data)


def test_a_spreadsheets_mark_is_left_out() -> None:
    assert text_of("\ufeffassessor".encode()) == "assessor"


@pytest.fixture
def at(engine: Engine, show_session: Show) -> Callable[[str], AppTest]:
    """A section of an open session of two sets each, with the first set of one assessor in."""
    session = workshop.opened(workshop.planned("one", replicates=2))
    workshop.keep(engine, workshop.answered(session, 1, 0))
    return partial(show_session, "one")


@pytest.fixture
def paper(at: Callable[[str], AppTest]) -> AppTest:
    """The section for answers on paper."""
    return at("Paper")


@pytest.fixture
def corrections(at: Callable[[str], AppTest]) -> AppTest:
    """The section for corrections."""
    return at("Corrections")


def told(paper: AppTest) -> str:
    """All messages of a paper."""
    return " ".join(str(one.value) for one in [*paper.error, *paper.success, *paper.warning])


def test_an_answer_on_paper_is_typed_in(engine: Engine, paper: AppTest) -> None:
    code = slips(engine, "one")[1].codes[0]
    paper.text_input(key=f"paper-choice-one-{FIRST}-2").input(code)
    paper.button(key="paper-keep-one").click().run()
    assert sessions.seats(engine, "one")[0].answered == 2
    assert not paper.error


def upload(page: AppTest, text: str) -> AppTest:
    """Read a file of this text."""
    page.file_uploader(key="paper-csv-one").set_value(("paper.csv", text.encode(), "text/csv"))
    return page.button(key="paper-read-one").click().run()


def test_a_file_of_answers_is_kept_whole_or_not_at_all(engine: Engine, paper: AppTest) -> None:
    codes = {(slip.assessor, slip.replicate): slip.codes[0] for slip in slips(engine, "one")}
    good = f"assessor,set,choice\n{FIRST},2,{codes[FIRST, 2]}\n{SECOND},1,{codes[SECOND, 1]}\n"
    upload(paper, f"{good}{SECOND},2,000\n")
    assert "line 4" in told(paper).lower()
    assert sessions.summary(engine, "one").answered == 1
    upload(paper, good)
    assert "Saved 2 answers" in told(paper)
    assert sessions.summary(engine, "one").answered == 3


def test_a_wrong_code_on_paper_is_told(engine: Engine, paper: AppTest) -> None:
    paper.text_input(key=f"paper-choice-one-{FIRST}-2").input("000")
    paper.button(key="paper-keep-one").click().run()
    assert paper.error[0].value.endswith("look at the codes on the cups again")
    assert "ine 1" not in paper.error[0].value
    assert sessions.summary(engine, "one").answered == 1


def test_an_amendment_needs_a_reason_and_is_kept(engine: Engine, corrections: AppTest) -> None:
    corrections.text_input(key="amend-choice-one").input(slips(engine, "one")[0].codes[1])
    corrections.button(key="amend-keep-one").click().run()
    assert "Reason" in told(corrections)
    corrections.text_input(key="amend-why-one").input("misread the ballot")
    corrections.button(key="amend-keep-one").click().run()
    assert "answer amended" in [event.what for event in sessions.events(engine, "one")]


def test_an_exclusion_needs_a_tick_and_a_reason(engine: Engine, corrections: AppTest) -> None:
    corrections.selectbox(key="exclude-who-one").select(SECOND)
    corrections.text_input(key="exclude-why-one").input("a cold")
    corrections.button(key="exclude-keep-one").click().run()
    assert "Tick the box" in told(corrections)
    corrections.checkbox(key="exclude-sure-one").check()
    corrections.button(key="exclude-keep-one").click().run()
    assert [seat.excluded for seat in sessions.seats(engine, "one")][:2] == [False, True]


def test_an_abandoned_session_stays_in_the_history(engine: Engine, corrections: AppTest) -> None:
    corrections.text_input(key="abandon-why-one").input("the fridge failed")
    corrections.checkbox(key="abandon-sure-one").check()
    corrections.button(key="abandon-keep-one").click().run()
    assert sessions.summary(engine, "one").abandoned_reason == "the fridge failed"
    assert corrections.title[0].value == "Tastings"


def test_a_lost_phone_gets_a_new_link(at: Callable[[str], AppTest]) -> None:
    page = at("Links")

    def link() -> str:
        return next(code.value for code in page.code if "?seat=" in code.value)

    before = link()
    page.button(key="new-link-one-0").click().run()
    assert link() != before


def test_above_the_limit_opening_has_to_be_confirmed(engine: Engine, show_session: Show) -> None:
    limits.keep_host_limits(engine, HostLimits(ethanol_g=1))
    workshop.keep(engine, workshop.planned("one", alcohol_percent_vol=12.0))
    page = show_session("one")
    page.button(key="open-one").click().run()
    assert "above the limit" in told(page)
    assert sessions.summary(engine, "one").state == "planned"
    page.checkbox(key="confirm-one").check()
    page.button(key="open-one").click().run()
    assert limits.confirmed_above_limit(engine, "one")
    assert sessions.summary(engine, "one").state == "open"


def test_who_tastes_alone_reads_the_steps(engine: Engine, show_session: Show) -> None:
    plan = {"assessors": (FIRST,), "alone": True, "replicates": 6}
    workshop.keep(engine, workshop.opened(workshop.planned("one", **plan)))
    page = show_session("one")
    text = " ".join(one.value for one in [*page.markdown, *page.caption])
    assert "close your eyes and shuffle" in text
    assert "only when all 6 sets are done" in text
    assert not page.exception
