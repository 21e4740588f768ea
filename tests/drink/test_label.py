"""References refuse what no label can say."""

import pytest
from pydantic import ValidationError

from tasting.drink.label import Reference


def reference(**values):
    return Reference(**{"id": "R", "name": "Reference bottle R", "serving_ml": 330} | values)


def test_values_that_nobody_knows_are_none():
    assert reference().sugar_g_per_100ml is None


def test_reads_itself_back():
    whole = reference(alcohol_percent_vol=5.0, ta_g_per_l=6.1, allergens=("sulphites",))

    assert Reference.model_validate_json(whole.model_dump_json()) == whole


@pytest.mark.parametrize(
    "values",
    [
        {"serving_ml": 0},
        {"alcohol_percent_vol": 101},
        {"sugar_g_per_100ml": -1},
        {"ta_g_per_l": float("nan")},
        {"ph": 15},
        {"colour": "red"},
    ],
)
def test_bad_value_is_refused(values):
    with pytest.raises(ValidationError, match=next(iter(values))):
        reference(**values)
