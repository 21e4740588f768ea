"""What is public is used by somebody outside; what only its own module uses is underscored."""

import ast
from functools import cache
from pathlib import Path

import tasting
from tasting.cli import COMMANDS
from tests.sources import MODULES, ROOT, faults, module, tree

OURS = {
    name: path
    for name, path in MODULES.items()
    if name.startswith("tasting") and ".migrations." not in name
}
"""Without the migrations, which Alembic calls."""
TESTS = sorted(ROOT.glob("tests/**/*.py"))
CALLED_FROM_OUTSIDE = {
    "tasting.__main__.main",
    "tasting.web.server.app",
    "tasting.web.start.main",
} | {f"tasting.cli.{home.replace(':', '.')}" for home, _ in COMMANDS.values()}
"""By the installed command, the server that is told where the application is, and by typing."""


def defined(path: Path) -> set[str]:
    """Public functions and constants of a module; a type is public with what gives it."""
    body = tree(path).body
    functions = {node.name for node in body if isinstance(node, ast.FunctionDef)}
    assigned = [node.targets[0] for node in body if isinstance(node, ast.Assign)]
    assigned += [node.target for node in body if isinstance(node, ast.AnnAssign)]
    constants = {one.id for one in assigned if isinstance(one, ast.Name) and one.id.isupper()}
    return {name for name in functions | constants if not name.startswith("_")}


def aliases(path: Path) -> tuple[dict[str, str], set[str]]:
    """Local names of modules of ours, and the full names that are taken from one."""
    modules, taken = {}, set()
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.ImportFrom):
            for one in node.names:
                full = f"{node.module}.{one.name}"
                if full in MODULES:
                    modules[one.asname or one.name] = full
                taken.add(full)
    return modules, taken


@cache
def used_outside() -> frozenset[str]:
    """Full names that another module of ours, or a test, takes or patches."""
    found = set(CALLED_FROM_OUTSIDE)
    for path in {*MODULES.values(), *TESTS}:
        modules, taken = aliases(path)
        found |= taken
        for node in ast.walk(tree(path)):
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
                found.add(f"{modules.get(node.value.id, '')}.{node.attr}")
            if (
                isinstance(node, ast.Call) and len(node.args) > 1
            ):  # monkeypatch.setattr(module, "x")
                owner, name = node.args[:2]
                if isinstance(owner, ast.Name) and isinstance(name, ast.Constant):
                    found.add(f"{modules.get(owner.id, '')}.{name.value}")
    return frozenset(found)


def used_at_home_alone(path: Path) -> set[str]:
    ours = {one for one in defined(path) if f"{module(path)}.{one}" not in used_outside()}
    return ours - set(tasting.__all__)


def test_what_nobody_outside_uses_is_underscored() -> None:
    assert faults(OURS.values(), used_at_home_alone) == {}


SAY_NOTHING = {"found", "data", "info", "obj"}


def empty_names(path: Path) -> set[str]:
    return {
        f"{node.name}({arg.arg})"
        for node in ast.walk(tree(path))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        for arg in [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
        if arg.arg in SAY_NOTHING
    }


def test_a_parameter_is_called_what_it_is() -> None:
    below = [
        path
        for name, path in OURS.items()
        if not name.startswith(("tasting.ui.", "tasting.insight.noticing"))
    ]

    assert faults(below, empty_names) == {}
