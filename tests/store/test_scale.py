"""The step of the scale is kept from one evening to the next."""

import pytest
from sqlalchemy import Engine, insert

from tasting.errors import InputError
from tasting.store import schema
from tasting.store.scale import keep_scale_step, scale_step_g


def test_the_usual_step_until_one_is_kept(engine: Engine) -> None:
    assert scale_step_g(engine) == 0.1
    for step_g in (0.01, 0.5):
        keep_scale_step(engine, step_g)
        assert scale_step_g(engine) == step_g


def test_a_step_that_no_scale_has_is_not_kept(engine: Engine) -> None:
    with pytest.raises(InputError, match="not usual"):
        keep_scale_step(engine, 0.0)
    assert scale_step_g(engine) == 0.1


def test_what_was_spoiled_by_hand_is_passed_over(engine: Engine) -> None:
    with engine.begin() as connection:
        row = {"name": "scale_step_g", "value": "heavy"}
        connection.execute(insert(schema.setting).values(row))
    assert scale_step_g(engine) == 0.1
