"""Drafts outlive pages and devices, until they are a version."""

import pytest
from sqlalchemy import Engine

from tasting.drink.pantry import ingredient
from tasting.errors import InputError
from tasting.store.drafts import Draft, draft, drafts, drop_draft, keep_draft

SOUR = Draft(formula="f", text="45 ml gin", reason="flat", own=(ingredient("gin"),))


def test_a_draft_is_found_as_it_was_left(engine: Engine) -> None:
    kept = keep_draft(engine, "new-1", SOUR)
    assert draft(engine, "new-1") == kept
    assert kept.draft == SOUR


def test_the_last_one_in_a_place_holds_and_the_newest_comes_first(engine: Engine) -> None:
    keep_draft(engine, "a", SOUR)
    keep_draft(engine, "b", SOUR)
    keep_draft(engine, "a", Draft(text="1 oz lemon"))
    assert [(place, kept.draft.text) for place, kept in drafts(engine).items()] == [
        ("a", "1 oz lemon"),
        ("b", "45 ml gin"),
    ]


def test_a_dropped_draft_is_gone(engine: Engine) -> None:
    keep_draft(engine, "a", SOUR)
    drop_draft(engine, "a")
    assert draft(engine, "a") is None
    assert drafts(engine) == {}


def test_a_text_beyond_any_recipe_is_refused(engine: Engine) -> None:
    with pytest.raises(InputError, match="text"):
        keep_draft(engine, "a", SOUR.model_copy(update={"text": "x" * 20_001}))
