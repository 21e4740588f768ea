"""The project's own source files, parsed: what the tests of its rules look at."""

import ast
from collections.abc import Callable, Iterable
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parent.parent
CODE = sorted(
    [*ROOT.glob("tasting/**/*.py"), *ROOT.glob("sample_sessions/*.py"), ROOT / "streamlit_app.py"]
)


@cache
def text(path: Path) -> str:
    return path.read_text("utf-8")


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(text(path))


def module(path: Path) -> str:
    """tasting/store/schema.py is tasting.store.schema; a package is named without __init__."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def faults(paths: Iterable[Path], seen: Callable[[Path], object]) -> dict[str, object]:
    """What a rule finds wrong in each file, by module; empty where it is kept everywhere."""
    return {module(path): wrong for path in paths if (wrong := seen(path))}


MODULES = {module(path): path for path in CODE}


def statements(path: Path) -> list[ast.Import | ast.ImportFrom]:
    """Every import, also those inside functions and those for type checkers only."""
    return [node for node in ast.walk(tree(path)) if isinstance(node, ast.Import | ast.ImportFrom)]


def imported(path: Path) -> set[tuple[str, str]]:
    """Pairs of a module and the name taken from it ("" for the module itself)."""
    pairs = set()
    for node in statements(path):
        if isinstance(node, ast.Import):
            pairs |= {(alias.name, "") for alias in node.names}
        else:
            assert node.level == 0, f"{path}: relative import"
            pairs |= {(str(node.module), alias.name) for alias in node.names}
    return pairs


def own_modules(path: Path) -> set[str]:
    """The modules of ours that a file imports."""
    found = set()
    for source, name in imported(path):
        inner = f"{source}.{name}"
        found |= {inner} if inner in MODULES else {source} & MODULES.keys()
    return found
