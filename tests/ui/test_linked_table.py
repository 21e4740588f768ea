"""A table whose rows open what they tell of."""

from html.parser import HTMLParser

import pytest

from tasting.ui import pages
from tasting.ui.linked_table import LinkedRow, linked_table
from tests.ui.test_hostile import HOSTILE

OURS = {"style", "table", "caption", "thead", "tbody", "tr", "th", "td", "a"}


class Parsed(HTMLParser):
    """Tags, addresses and texts as a browser reads them."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.addresses: list[str] = []
        self.texts: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.addresses += [value or "" for name, value in attrs if name == "href"]

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


def parsed(row: LinkedRow) -> Parsed:
    """What the table of this row shows."""
    return Parsed(linked_table("Sessions", ("Date", "Title", "Finding"), [row]))


@pytest.mark.parametrize("text", HOSTILE.values(), ids=list(HOSTILE))
def test_what_was_typed_is_text(text: str) -> None:
    found = parsed(LinkedRow((text,), text, pages.TASTING, "acid", text))

    assert found.tags == OURS
    assert "".join(found.texts).count(text) == 3


def test_a_row_leads_to_its_thing_and_nowhere_else() -> None:
    found = parsed(LinkedRow(("today",), "Acid", pages.DRINK, 'x"&id=y', "told"))

    assert found.addresses == ["drink?id=x%22%26id%3Dy"]
