"""A blind-tasting log for people who develop drinks.

>>> import tasting
>>> tasting.critical_number(30)
15

The names below are imported when they are first used, so `import tasting` itself costs little.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tasting.drink.adjust import adjust as adjust
    from tasting.drink.composition import compose as compose
    from tasting.drink.formulate import formulate as formulate
    from tasting.drink.label import matches as matches
    from tasting.insight.findings.finding import finding as finding
    from tasting.insight.noticing.model import fit_thresholds as notice  # noqa: F401 its public name
    from tasting.panel.sensory_distance import d_prime as d_prime
    from tasting.panel.sizing import panel_size as panel_size
    from tasting.stats.binomial import critical_number as critical_number
    from tasting.stats.binomial import p_value as p_value
    from tasting.stats.binomial import proportion_interval as proportion_interval

_HOMES = {
    "adjust": "tasting.drink.adjust",
    "compose": "tasting.drink.composition",
    "critical_number": "tasting.stats.binomial",
    "d_prime": "tasting.panel.sensory_distance",
    "finding": "tasting.insight.findings.finding",
    "formulate": "tasting.drink.formulate",
    "matches": "tasting.drink.label",
    "notice": "tasting.insight.noticing.model:fit_thresholds",
    "p_value": "tasting.stats.binomial",
    "panel_size": "tasting.panel.sizing",
    "proportion_interval": "tasting.stats.binomial",
}
__all__ = list(_HOMES)


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'tasting' has no attribute {name!r}")
    home, _, known_as = _HOMES[name].partition(":")
    return getattr(import_module(home), known_as or name)
