"""Names that try something are shown as they were typed: in pages, printed sheets and exports."""

import csv
import io
import re
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.errors import InputError
from tasting.panel.ballots import Slip
from tasting.panel.plan import Plan
from tasting.panel.session import Session
from tasting.records import checked
from tasting.report.answers import answers_table, safe_csv
from tasting.report.cup_labels import cup_labels_html
from tasting.report.paper_ballots import paper_ballots_html
from tasting.report.pour_sheet import pour_sheet, pour_sheet_html
from tasting.report.seat_cards import seat_cards_html
from tasting.store.documents import (
    LARGEST_BYTES,
    Document,
    parse_document,
    read_document,
    write_document,
)
from tasting.store.sessions import plan_session
from tasting.ui.tastings.running.opened import SECTIONS
from tests.ui.workshop import answered, keep, opened, planned

HOSTILE = {
    "script": "<script>alert(1)</script>",
    "picture": "<img src=x onerror=alert(1)>",
    "markdown link": "[tap](https://elsewhere.example)",
    "markdown picture": "![pixel](https://elsewhere.example/x.png)",
    "markdown colour": ":red[**loud**] $x^2$ :material/home:",
    "formula": "=HYPERLINK(1)",
    "formula, plus": "+1+cmd|' /C calc'!A0",
    "formula, at": "@SUM(1)",
    "formula, tab": "-2+3",
    "template": "{{ 999 * 999 }} {% raw %}",
    "sql": "x'); DROP TABLE answer; --",
    "path": "../../etc/passwd",
    "right to left": "\u202egnp.exe\u202c",
    "emoji": "👩‍🔬🏳️‍🌈" * 5,
    "zalgo": "a\u0301\u0323" * 20,
}
TRICKS = ("<script", "<img", "[tap](", "![pixel](", ":red[", "$x^2$", ":material/home:", "**loud")
PAGES = ("dashboard", "history", "tastings", "new")
names = pytest.mark.parametrize("name", HOSTILE.values(), ids=HOSTILE)


def evening(name: str, id_: str = "acid") -> Session:
    """A session in which everything that people type is this."""
    held = planned(id_, assessors=(name, "P02"), allergens=(name,))
    called = {"name": name, "purpose": name, "invented": name}
    running = answered(opened(Session.model_validate({**dict(held), **called})), 1, 1)
    given = [one.model_copy(update={"remark": name}) for one in running.answers]
    return Session.model_validate({**dict(running), "answers": tuple(given)})


def ended(name: str, id_: str = "acid") -> Session:
    running = evening(name, id_)
    return running.closed(running.opened_at + timedelta(days=1), name)


def printed(name: str) -> Iterator[str]:
    """Everything that is printed of a session."""
    one = evening(name)
    slips = [Slip(s.assessor, s.replicate, s.codes, s.codes, False) for s in one.sets]
    yield cup_labels_html(one.name, slips)
    yield paper_ballots_html(one.sealed, one.plan, slips)
    yield pour_sheet_html(pour_sheet(one))
    yield seat_cards_html(one.name, {name: "https://tasting.example/?seat=x"})


@names
def test_printed_pages_show_it_as_text(name: str) -> None:
    for page in printed(name):
        assert "<script" not in page
        assert "<img src=x" not in page
        assert "998001" not in page


@names
def test_a_spreadsheet_runs_none_of_it(name: str) -> None:
    """OWASP, "CSV Injection": cells that begin with = + - @ are run as formulas (from memory)."""
    rows = list(csv.reader(io.StringIO(safe_csv(answers_table([ended(name)])))))

    assert len(rows) == 3
    assert {len(row) for row in rows} == {len(rows[0])}
    assert not [cell for row in rows for cell in row if cell[:1] in "=+-@\t\r" and cell]


@names
def test_a_document_brings_it_back_as_it_was(name: str) -> None:
    document = Document(sessions=(ended(name),))

    assert parse_document(write_document(document)) == document


def tried(page: AppTest) -> list[str]:
    """The texts in which a trick would work, because no backslash is before its signs."""
    bare = (re.sub(r"\\.", "", text) for text in rendered(page))
    return [text for text in bare if any(trick in text for trick in TRICKS)]


def rendered(page: AppTest) -> Iterator[str]:
    """All texts of a page that Streamlit renders as Markdown: bodies, labels, cells."""
    for node in page.main:
        if node.type == "html":  # which test_linked_table.py and test_tables.py read
            continue
        proto = getattr(node, "proto", None)
        for field in ("body", "label", "help", "caption"):
            yield str(getattr(proto, field, ""))


@pytest.fixture
def overrun(engine: Engine) -> None:
    """A log in which all of it was typed: closed, open and planned sessions."""
    closed_ones = [ended(name, f"closed-{turn}") for turn, name in enumerate(HOSTILE.values())]
    keep(engine, *closed_ones, evening(HOSTILE["picture"], "open"))
    later = planned("later", assessors=tuple(HOSTILE.values()))
    called = {"name": HOSTILE["markdown picture"], "planned_at": datetime.now(UTC)}
    plan_session(engine, Session.model_validate({**dict(later), **called}))


@pytest.mark.parametrize("page", PAGES)
def test_pages_show_it_as_text(overrun: None, open_page: Callable[[str], AppTest], page) -> None:
    shown = open_page(page)

    assert not shown.exception
    assert tried(shown) == []


SEEN = {
    "closed-0": ("Numbers and sources", "Panel checks", "Answers and serving key", "Plan"),
    "open": tuple(SECTIONS),
    "later": ("",),
}


@pytest.mark.parametrize(("session_id", "section"), [(one, at) for one in SEEN for at in SEEN[one]])
def test_the_page_of_a_session_shows_it_as_text(
    overrun: None, show_session: Callable[..., AppTest], session_id: str, section: str
) -> None:
    shown = show_session(session_id, section)

    assert shown.title[0].value
    assert not shown.exception
    assert tried(shown) == []


@pytest.mark.parametrize("field", ["name", "purpose", "invented"])
def test_ten_kilobytes_are_too_long_and_that_is_said(field: str) -> None:
    values = {**dict(planned("acid")), field: "x" * 10_000}
    with pytest.raises(InputError, match=f"{field}: .* at most"):
        checked(Session, values)


def test_an_assessor_of_ten_kilobytes_is_refused() -> None:
    values = {**dict(planned("acid").plan), "assessors": ("x" * 10_000,)}
    with pytest.raises(InputError, match="at most 120 characters"):
        checked(Plan, values)


def test_an_import_that_is_too_large_is_refused_unread(tmp_path) -> None:
    file = tmp_path / "huge.json"
    with file.open("wb") as huge:
        huge.truncate(LARGEST_BYTES + 1)  # takes no room on the disk
    with pytest.raises(InputError, match="is larger than 50,000,000 bytes; split it"):
        read_document(file)


@pytest.mark.parametrize(
    "text", ["[" * 100_000, '{"schema": ' * 50_000, '{"schema": 1e999}', '{"schema": 1, "x": 1}']
)
def test_an_import_that_is_built_to_break_the_reader_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        parse_document(text)
