"""How many tastings a method needs."""

from tasting.panel.methods import Method, method_named
from tasting.stats import power


def panel_size(
    method: Method | str,
    *,
    alpha: float = 0.05,
    beta: float = 0.2,
    p_d: float = 0.3,
    one_sided: bool = False,
) -> power.PanelSize:
    """Tastings that a method needs to show, at alpha, a difference that the share p_d notices.

    one_sided: whether the direction was fixed beforehand; a difference test is always one-sided.
    Raises InputError for an unknown method, a preference with a fixed direction, or numbers out
    of range.
    """
    chosen = method_named(method) if isinstance(method, str) else method
    return power.panel_size(chosen.chance, p_d, alpha, beta, chosen.sides(one_sided))


def power_of(method: Method, tastings: int, alpha: float, p_d: float, sides: int) -> float:
    """Exact probability that so many tastings show, at alpha, a difference that p_d notices."""
    return power.power(tastings, method.chance, p_d, alpha, sides)
