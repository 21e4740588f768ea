"""The tree in the docstring is the tree of the classes."""

import pytest

from tasting import errors


@pytest.mark.parametrize(
    ("leaf", "base"),
    [
        (errors.InputError, errors.TastingError),
        (errors.NotFoundError, errors.InputError),
        (errors.SealedError, errors.LifeCycleError),
        (errors.LifeCycleError, errors.TastingError),
        (errors.StoreError, errors.TastingError),
    ],
)
def test_each_error_descends_as_drawn(leaf, base):
    assert issubclass(leaf, base)
    assert leaf.__name__ in errors.__doc__


def test_bad_input_is_a_value_error():
    assert issubclass(errors.InputError, ValueError)
