"""Ways to spoil a database that our program would refuse."""

from sqlalchemy import Engine

from tasting.store.database import writing


def spoil(engine: Engine, *statements: str) -> None:
    """Run these with the triggers out of the way; they are put back as they were."""
    with writing(engine) as connection:
        wanted = "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"
        triggers = connection.exec_driver_sql(wanted).all()
        for name, _ in triggers:
            connection.exec_driver_sql(f"DROP TRIGGER {name}")
        for statement in statements:
            connection.exec_driver_sql(statement)
        for _, sql in triggers:
            connection.exec_driver_sql(sql)


def cut_plan(engine: Engine, session_id: str) -> None:
    """The plan of a session is cut short."""
    spoil(engine, f"UPDATE session SET plan = substr(plan, 1, 80) WHERE id = '{session_id}'")
