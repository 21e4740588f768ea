"""Opening a drink's page, and writing its draft: AppTest cannot type on the sheet."""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.drink.formula import Formula
from tasting.store import formulas
from tasting.store.drafts import Draft, keep_draft
from tasting.ui.drinks import draft as drafting
from tests.ui.conftest import visit
from tests.ui.workshop import SPRITZ

V3 = SPRITZ.versions[2]
V3_TEXT = drafting.text_of(V3)


def drink(app: AppTest, **query: str) -> AppTest:
    """The page of a drink."""
    return visit(app, "drink", **query)


def spritz(app: AppTest, section: str = "") -> AppTest:
    """The page of the spritz, with one of its sections."""
    page = drink(app, id=SPRITZ.id)
    return opened(page, section) if section else page


def opened(page: AppTest, section: str) -> AppTest:
    """The page with that section open."""
    return page.segmented_control(key="section").set_value(section).run()


def write(engine: Engine, text: str, reason: str = "", place: str = V3.id, **more: Any) -> Draft:
    """A draft that was typed on another device."""
    formula = "" if place.startswith("new") else SPRITZ.id
    draft = Draft(formula=formula, text=text, reason=reason, **more)
    keep_draft(engine, place, draft)
    return draft


def lemon(ml: str) -> str:
    """The recipe of v3 with this much lemon juice."""
    return V3_TEXT.replace("10 mL lemon juice", f"{ml} mL lemon juice")


def field(elements: Sequence[Any], label: str) -> Any:
    """The field of that name."""
    return next(element for element in elements if element.label == label)


def save(page: AppTest, key: str = "save-spritz-3") -> AppTest:
    """Press Save, and once more where something was asked first."""
    page.button(key=key).click().run()
    sure = [box for box in page.checkbox if str(box.key).startswith("sure-")]
    if sure:
        sure[0].check()
        page.button(key=key).click().run()
    return page


def html(page: AppTest) -> str:
    """What stands on the page as HTML of ours."""
    return "\n".join(node.proto.body for node in page.get("html"))


def stored(engine: Engine) -> Formula:
    """The spritz as it is in the database."""
    return formulas.formula(engine, SPRITZ.id)
