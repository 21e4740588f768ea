"""What the docstrings show is true, and every public thing has one."""

import doctest
import importlib
import inspect
import pkgutil

import pytest

from tasting import drink

MODULES = [
    importlib.import_module(f"tasting.drink.{module.name}")
    for module in pkgutil.iter_modules(drink.__path__)
]


def public(module):
    for name, thing in vars(module).items():
        own = getattr(thing, "__module__", None) == module.__name__
        if (
            own
            and not name.startswith("_")
            and (inspect.isclass(thing) or inspect.isfunction(thing))
        ):
            yield name, thing


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__)
def test_examples_run(module):
    assert doctest.testmod(module, optionflags=doctest.ELLIPSIS).failed == 0


def test_some_examples_are_there():
    finder = doctest.DocTestFinder()
    examples = [test for module in MODULES for test in finder.find(module) if test.examples]

    assert len(examples) >= 15


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__)
def test_every_public_thing_is_explained(module):
    assert module.__doc__
    assert [name for name, thing in public(module) if not inspect.getdoc(thing)] == []
