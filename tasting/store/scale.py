"""The step of the host's scale, kept for the pages and the command line."""

from sqlalchemy import Engine, delete, insert, select

from tasting.drink.weighable import USUAL_STEP_G, checked_step
from tasting.errors import InputError
from tasting.reading import read_number
from tasting.store import schema
from tasting.store.database import reading, writing

_STEP = "scale_step_g"


def scale_step_g(engine: Engine) -> float:
    """The step in g that was kept, or the usual one."""
    table = schema.setting
    with reading(engine) as connection:
        kept = connection.execute(select(table.c.value).where(table.c.name == _STEP)).scalar()
    try:
        return checked_step(read_number(kept)) if kept else USUAL_STEP_G
    except InputError:  # nobody but a hand in the database writes such a one
        return USUAL_STEP_G


def keep_scale_step(engine: Engine, step_g: float) -> None:
    """Keep the step in g in place of the one before. Raises InputError for no scale's step."""
    table = schema.setting
    with writing(engine) as connection:
        connection.execute(delete(table).where(table.c.name == _STEP))
        connection.execute(
            insert(table).values({"name": _STEP, "value": repr(checked_step(step_g))})
        )
