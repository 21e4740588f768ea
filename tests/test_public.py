"""`import tasting` is the front door: it costs little, and everything behind it opens."""

import subprocess
import sys

import pytest

import tasting
from tests.sources import ROOT

HEAVY = ("numpy", "scipy", "pandas", "streamlit", "sqlalchemy", "pydantic")


def test_importing_it_imports_nothing_heavy() -> None:
    look = f"import sys, tasting; print([name for name in {HEAVY} if name in sys.modules])"
    found = subprocess.run(
        [sys.executable, "-c", look], capture_output=True, text=True, check=True, cwd=ROOT
    )

    assert found.stdout.strip() == "[]"


@pytest.mark.parametrize("name", tasting.__all__)
def test_every_public_name_opens_and_is_explained(name: str) -> None:
    assert getattr(tasting, name).__doc__


def test_the_promised_names_are_there() -> None:
    promised = {"compose", "critical_number", "p_value", "proportion_interval", "panel_size"}

    assert promised | {"finding"} <= set(tasting.__all__)


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'guess'"):
        _ = tasting.guess


def test_the_example_on_the_front_door_is_true() -> None:
    """15 of 30: FAO document V7180E, Appendix A, triangle at 5 % (seen)."""
    assert tasting.critical_number(30) == 15
