"""The house's measures: small functions, short modules, everything public typed and explained."""

import ast
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from statistics import median

from tests.sources import CODE, ROOT, faults, text, tree

MOST_BODY_LINES = 40
MOST_MODULE_LINES = 400
USUAL_BODY_LINES = 8

Function = ast.FunctionDef | ast.AsyncFunctionDef


def functions(path: Path) -> Iterator[Function]:
    return (node for node in ast.walk(tree(path)) if isinstance(node, Function))


def body_lines(path: Path, node: Function) -> int:
    """Lines of a function, signature included, that are not blank, comment or docstring."""
    lines = dict(enumerate(text(path).splitlines(), start=1))
    documented = node.body[0] if ast.get_docstring(node) is not None else None
    silent = range(documented.lineno, documented.end_lineno + 1) if documented else ()
    return sum(
        bool(lines[place].strip()) and not lines[place].lstrip().startswith("#")
        for place in range(node.lineno, node.end_lineno + 1)
        if place not in silent
    )


def public(
    nodes: list[ast.stmt], inside: str = ""
) -> Iterator[tuple[str, Function | ast.ClassDef]]:
    """Public functions and classes with their public methods; an overload is explained once."""
    for node in nodes:
        if not isinstance(node, Function | ast.ClassDef) or node.name.startswith("_"):
            continue
        if any(ast.unparse(mark) == "overload" for mark in node.decorator_list):
            continue
        yield inside + node.name, node
        if isinstance(node, ast.ClassDef):
            yield from public(node.body, f"{node.name}.")


def untyped(node: Function) -> list[str]:
    given = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
    given += filter(None, [node.args.vararg, node.args.kwarg])
    bare = [arg.arg for arg in given if arg.annotation is None and arg.arg not in ("self", "cls")]
    return bare + ["return"] * (node.returns is None)


def long_functions(path: Path) -> dict[str, int]:
    sizes = {node.name: body_lines(path, node) for node in functions(path)}
    return {name: size for name, size in sizes.items() if size > MOST_BODY_LINES}


def test_no_function_is_long() -> None:
    assert faults(CODE, long_functions) == {}


def test_half_of_the_functions_are_very_short() -> None:
    sizes = [body_lines(path, node) for path in CODE for node in functions(path)]

    assert median(sizes) <= USUAL_BODY_LINES


def test_no_module_is_long() -> None:
    files = [*CODE, *ROOT.glob("tests/**/*.py")]

    assert faults(files, lambda path: len(text(path).splitlines()) > MOST_MODULE_LINES) == {}


def unexplained(path: Path) -> list[str]:
    silent = [name for name, node in public(tree(path).body) if not ast.get_docstring(node)]
    return silent if ast.get_docstring(tree(path)) else ["the module", *silent]


def test_what_is_public_is_explained() -> None:
    assert faults(CODE, unexplained) == {}


def bare(path: Path) -> dict[str, list[str]]:
    typed = public(tree(path).body)
    gaps = {name: untyped(node) for name, node in typed if isinstance(node, Function)}
    return {name: gap for name, gap in gaps.items() if gap}


def test_what_is_public_is_typed() -> None:
    assert faults(CODE, bare) == {}


def says_it_is_no_test(node: Function | ast.ClassDef) -> bool:
    """Whether a class tells pytest to leave it alone."""
    return any(ast.unparse(line).startswith("__test__") for line in node.body)


def taken_for_tests(path: Path) -> list[str]:
    named = [
        node.name
        for node in ast.walk(tree(path))
        if isinstance(node, Function | ast.ClassDef) and not says_it_is_no_test(node)
    ]
    return [name for name in (path.stem, *named) if name.lower().startswith("test")]


def test_pytest_would_take_nothing_for_a_test() -> None:
    assert faults(CODE, taken_for_tests) == {}


def test_no_class_name_stands_twice() -> None:
    named = [
        node.name
        for path in CODE
        for node in ast.walk(tree(path))
        if isinstance(node, ast.ClassDef)
    ]

    assert [name for name, times in Counter(named).items() if times > 1] == []


def test_no_drawer_for_odds_and_ends() -> None:
    assert not {path.stem for path in CODE} & {"util", "utils", "helpers", "misc", "common"}
    assert not (ROOT / "pages").exists()
