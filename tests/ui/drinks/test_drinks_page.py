"""The list of drinks."""

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.store import notes
from tests.ui.conftest import visit
from tests.ui.drinks.opening import write
from tests.ui.reading import linked, read
from tests.ui.workshop import MEASURED, SPRITZ, UNMEASURED, keep, some_closed


def drinks(host: AppTest) -> AppTest:
    page = visit(host, "drinks")
    assert not page.exception
    return page


def test_without_a_drink_the_page_says_how_to_begin(host: AppTest) -> None:
    page = drinks(host)
    assert "No drink is saved yet" in read(page)
    assert [page.button(key=f"new-{kind}").label for kind in ("formula", "reference")] == [
        "New formula",
        "New reference",
    ]


def test_formulas_and_references_stand_in_one_list(engine: Engine, host: AppTest) -> None:
    keep(engine, *some_closed())
    found = linked(drinks(host))
    assert found[f"**{SPRITZ.name}**"] == f"drink?id={SPRITZ.id}"
    assert found[f"**{MEASURED.name}**"] == "drink?id=R"


def test_what_was_found_last_stands_beside_each(engine: Engine, host: AppTest) -> None:
    keep(engine, *some_closed()[:3])
    said = read(drinks(host))
    assert "13 Feb 2026: " in said
    assert "Not tasted blind yet." in said


def test_the_newest_comes_first(engine: Engine, host: AppTest) -> None:
    keep(engine, *some_closed()[:3])
    names = [name for name in linked(drinks(host)) if name.startswith("**")]
    assert names[-1] == f"**{UNMEASURED.name}**"


def test_drafts_are_found_on_every_device(engine: Engine, host: AppTest) -> None:
    keep(engine)
    write(engine, "45 ml gin", place="new-1", name="Gin and soda")
    write(engine, "45 ml gin")
    found = linked(drinks(host))
    addresses = {label.partition(",")[0]: address for label, address in found.items()}
    assert addresses["Draft of Gin and soda"] == "drink?draft=new-1"
    assert addresses[f"Draft of {SPRITZ.name}"] == f"drink?id={SPRITZ.id}&version=spritz-3"


def test_what_is_archived_stands_apart(engine: Engine, host: AppTest) -> None:
    keep(engine)
    notes.archive(engine, MEASURED.id)
    page = drinks(host)
    assert [folded.label for folded in page.expander] == ["Archive (1)"]
    assert f"**{MEASURED.name}**" in linked(page)


@pytest.mark.parametrize("name", ["drinks", "drink"])
def test_only_the_host_sees_the_page(app: AppTest, name: str) -> None:
    app.run()
    with pytest.raises(ValueError, match="Could not find a navigation page"):
        app.switch_page(f"tasting/ui/drinks/{name}_page.py")
