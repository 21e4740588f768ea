"""Imports point one way only, and each outside library has one home."""

from graphlib import TopologicalSorter
from pathlib import Path

import pytest

from tests.sources import CODE, MODULES, ROOT, faults, imported, module, own_modules

RANK = {
    "errors": 0,
    "settings": 1,
    "wording": 1,
    "reading": 1,
    "records": 2,
    "units": 2,
    "stats": 3,
    "drink": 3,
    "panel": 4,
    "published": 4,
    "insight": 5,
    "report": 6,
    "store": 6,
    "tasting": 7,
    "sample_sessions": 7,
    "web": 8,
    "ui": 8,
    "cli": 8,
    "streamlit_app": 9,
    "__main__": 9,
}
HOME = {
    "streamlit": {"ui", "web", "streamlit_app"},
    "starlette": {"web"},
    "altair": {"ui"},
    "rapidfuzz": {"drink"},
    "sqlalchemy": {"store"},
    "alembic": {"store"},
    "typer": {"cli"},
    "rich": {"cli"},
    "jinja2": {"report", "web"},
}
GUESTS = {
    ("ui", "sqlalchemy"): {"Engine"},
    ("web", "sqlalchemy"): {"Engine"},
    ("cli", "sqlalchemy"): {"Engine", "make_url", "ArgumentError"},
}
"""What may be taken from a library outside its home: a type that is handed through, and reading an
address that was typed."""

OUTSIDE_WORLD = {"os", "pathlib", "io", "socket", "subprocess", "sqlite3", "urllib", "tempfile"}


ROOMS = {
    "tasting.stats": ("fitting",),
    "tasting.insight": ("findings", "noticing", "advice"),
}
"""Folders inside a part, the lower first; what stands beside them in a part is lower than all."""


def part(name: str) -> str:
    """tasting.store.schema is part of "store"."""
    return name.removeprefix("tasting.").split(".")[0]


def crossings(path: Path) -> set[tuple[str, str]]:
    """Each step of a file from its own part into another."""
    here = part(module(path))
    return {(here, part(name)) for name in own_modules(path)} - {(here, here)}


def test_every_part_has_a_rank() -> None:
    assert {part(name) for name in MODULES} == set(RANK)


def upwards(path: Path) -> set[tuple[str, str]]:
    return {(here, there) for here, there in crossings(path) if RANK[there] >= RANK[here]}


def test_imports_point_down() -> None:
    assert faults(CODE, upwards) == {}


def floor(name: str, home: str) -> int:
    """How high a module stands inside its part."""
    room = name.removeprefix(f"{home}.").split(".")[0]
    return ROOMS[home].index(room) + 1 if room in ROOMS[home] else 0


@pytest.mark.parametrize("home", ROOMS)
def test_rooms_import_downwards(home: str) -> None:
    inside = {name: path for name, path in MODULES.items() if name.startswith(f"{home}.")}
    up = {
        (name, other)
        for name, path in inside.items()
        for other in own_modules(path) & inside.keys()
        if floor(other, home) > floor(name, home)
    }

    assert not up
    assert {floor(name, home) for name in inside} >= set(range(1, len(ROOMS[home]) + 1))


def test_stats_and_drink_do_not_know_each_other() -> None:
    steps = set().union(*map(crossings, CODE))

    assert not steps & {("stats", "drink"), ("drink", "stats")}


def test_no_module_imports_itself_in_a_circle() -> None:
    TopologicalSorter({name: own_modules(path) for name, path in MODULES.items()}).prepare()


def strangers(path: Path) -> list[tuple[str, str]]:
    """What a file takes from a library that has its home elsewhere."""
    here = part(module(path))
    return [
        (source, name)
        for source, name in imported(path)
        if here not in HOME.get(library := source.split(".")[0], {here})
        and name not in GUESTS.get((here, library), ())
    ]


def test_each_library_stays_at_home() -> None:
    assert faults(CODE, strangers) == {}


@pytest.mark.parametrize("folder", ["stats", "drink"])
def test_stats_and_drink_do_no_input_or_output(folder: str) -> None:
    files = sorted((ROOT / "tasting" / folder).rglob("*.py"))

    assert files
    for path in files:
        assert not {source.split(".")[0] for source, _ in imported(path)} & OUTSIDE_WORLD
