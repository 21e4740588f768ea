"""Acids in water: which forms they take, pH by charge balance, titratable acidity to pH 8.1.

Each acid gives up its protons by its own dissociation constants (25 °C), corrected for ionic
strength I after Davies:

    log10 gamma_z = -A z^2 [sqrt(I) / (1 + sqrt(I)) - 0.3 I],   A = 0.5085

(C. W. Davies, Ion Association, 1962; good to I of about 0.5, drinks have 0.005 to 0.1).
The pH is where the charges cancel: strong cations (K, Na, Mg, Ca less strong anions) + H+ =
acid anions + OH-. pH means -log10 of the activity of H+.

Neither alcohol nor sugar shifts the constants here; at 10 % vol they rise by roughly 0.05 to 0.1
(from memory). For juice drinks take the result to 0.2 to 0.3 and prefer a meter.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from tasting.drink.arrays import Floats
from tasting.errors import InputError

ACIDS = ("citric", "malic", "tartaric", "lactic", "acetic", "phosphoric", "ascorbic", "succinic")
MOLAR_MASS = np.array([192.124, 134.087, 150.087, 90.078, 60.052, 97.994, 176.124, 118.088])

# Dissociation constants at 25 °C and zero ionic strength: NIST/Bates-type values. Citric seen;
# malic, lactic, acetic as in the CRC Handbook (seen); succinic as in the CRC Handbook, tartaric,
# phosphoric and ascorbic from memory. Carbonic, last, takes part in the pH and not in the
# titration, which is degassed.
_PKA = np.array(
    [
        (3.128, 4.761, 6.396),
        (3.40, 5.11, np.inf),
        (3.036, 4.366, np.inf),
        (3.86, np.inf, np.inf),
        (4.756, np.inf, np.inf),
        (2.148, 7.198, 12.35),
        (4.10, 11.79, np.inf),
        (4.21, 5.64, np.inf),
        (6.352, 10.329, np.inf),
    ]
)
# Cumulative constants of the forms with 0 to 3 protons gone, plain and weighted by their charge and
# its square; one column an acid.
_FORMS = np.vstack([np.ones(len(_PKA)), np.cumprod(10.0**-_PKA, axis=1).T])
_ONCE = _FORMS * np.arange(4.0)[:, None]
_TWICE = _FORMS * np.arange(4.0)[:, None] ** 2
_KW = 10.0**-13.995
_DAVIES_A, _DAVIES_B = 0.5085, 0.3
_STRONGEST = 0.5
# Newton's steps on the pH settle in 10 to 25 and the rounds on the ionic strength in 4 to 9, to far
# below what a meter shows (0.01); the rest is room for odd mixtures.
_PH_STEPS, _PH_SETTLED = 200, 1e-9
_ACTIVITY_ROUNDS, _ACTIVITY_SETTLED = 50, 1e-10
_LN10 = float(np.log(10.0))
# Steps between two activity coefficients; charges change smoothly between them.
_ACTIVITIES = 33

END_POINT_PH = 8.1
CITRIC_G_PER_EQ = float(MOLAR_MASS[0]) / 3
CO2_G_PER_MOL = 44.0095

# Protons that a titration to pH 8.1 takes, in whole numbers as laboratories count them.
_EQUIVALENTS = np.array([3, 2, 2, 1, 1, 2, 1, 2])
G_PER_EQ = MOLAR_MASS / _EQUIVALENTS


def log_activity(ionic_strength: Floats) -> Floats:
    """Davies' log10 of the activity coefficient of a single charge, from I in mol/L.

    >>> round(float(log_activity(np.array(0.1))), 4)
    -0.1069
    """
    strength = np.minimum(ionic_strength, _STRONGEST)
    root = np.sqrt(strength)
    log_gamma: Floats = -_DAVIES_A * (root / (1 + root) - _DAVIES_B * strength)
    return log_gamma


def _charges(moles: Floats, ph: Floats, log_gamma: Floats) -> tuple[Floats, Floats, Floats]:
    """Sum over acids of c·mean charge, c·mean square charge and c·variance (mol/L).

    The form with j protons gone stands to the whole acid as K_1...K_j·10^(j·pH)·gamma_1^(-j²),
    since log gamma_z = z²·log gamma_1: powers of one row times constants of the acids.
    """
    acids = moles.shape[-1]
    lift, gamma = np.exp(_LN10 * ph), np.exp(-_LN10 * log_gamma)
    first = lift * gamma
    second = first * lift * gamma**3
    third = second * lift * gamma**5
    powers = np.stack([np.ones_like(first), first, second, third], axis=-1)
    whole, once, twice = (powers @ weights[:, :acids] for weights in (_FORMS, _ONCE, _TWICE))
    share = moles / whole
    charge, square = share * once, (share * twice).sum(-1)
    return charge.sum(-1), square, square - (charge * once / whole).sum(-1)


def _water(ph: Floats, log_gamma: Floats) -> tuple[Floats, Floats]:
    """Concentrations of H+ and OH- in mol/L."""
    hydrogen = np.exp(-_LN10 * (ph + log_gamma))
    return hydrogen, _KW * np.exp(-2 * _LN10 * log_gamma) / hydrogen


def solve_ph(acid_mol_per_l: ArrayLike, cations_eq_per_l: ArrayLike) -> Floats:
    """pH at 25 °C, one value a row.

    acid_mol_per_l: the ACIDS in the last axis, optionally with carbonic acid (dissolved CO2) as
    a ninth; cations_eq_per_l: net strong cations. Newton steps on the charge balance, the
    activities renewed at each; a step is never longer than 1, and half as long after each change
    of sign, so that it cannot run away.
    """
    moles = np.asarray(acid_mol_per_l, dtype=float)
    cations = np.asarray(cations_eq_per_l, dtype=float)
    ph, longest = np.full(cations.shape, 3.0), np.ones(cations.shape)
    log_gamma, before = np.zeros(cations.shape), np.zeros(cations.shape)
    for _ in range(_PH_STEPS):
        charge, squares, spread = _charges(moles, ph, log_gamma)
        hydrogen, hydroxide = _water(ph, log_gamma)
        excess = charge + hydroxide - hydrogen - cations
        step = -excess / (_LN10 * (spread + hydrogen + hydroxide))
        longest = np.where(excess * before < 0, longest / 2, longest)
        step = np.clip(step, -longest, longest)
        log_gamma = log_activity((squares + hydrogen + hydroxide + np.abs(cations)) / 2)
        ph, before = ph + step, excess
        if np.all(np.abs(step) < _PH_SETTLED):
            break
    return ph


def bound_charge(acid_mol_per_l: ArrayLike, ph: ArrayLike) -> Floats:
    """Net strong base in eq/L that holds these acids at a pH: their charge, less H+, plus OH-.

    It is the strong cations of a juice whose pH was measured, and at the end point the base that
    a titration has to reach. Activities by a few fixed-point rounds on the ionic strength.
    """
    return _held(np.asarray(acid_mol_per_l, dtype=float), ph)[0]


def _held(moles: Floats, ph: ArrayLike) -> tuple[Floats, Floats]:
    """The base that holds the acids at a pH, and the log10 of the activity coefficient there."""
    level = np.broadcast_to(np.asarray(ph, dtype=float), moles.shape[:-1])
    log_gamma = np.zeros(level.shape)
    for _ in range(_ACTIVITY_ROUNDS):
        charge, squares, _spread = _charges(moles, level, log_gamma)
        hydrogen, hydroxide = _water(level, log_gamma)
        base, before = charge + hydroxide - hydrogen, log_gamma
        log_gamma = log_activity((squares + hydrogen + hydroxide + np.abs(base)) / 2)
        if np.all(np.abs(log_gamma - before) < _ACTIVITY_SETTLED):
            break
    return base, log_gamma


def charge_per_mole(acid_mol_per_l: ArrayLike, ph: float) -> Floats:
    """Charges that a mole of each acid carries at a pH, in the ionic strength of them all."""
    moles = np.asarray(acid_mol_per_l, dtype=float)
    log_gamma = _held(moles, ph)[1]
    return _charges(np.eye(moles.size), np.full(moles.size, ph), np.full(moles.size, log_gamma))[0]


@lru_cache(maxsize=4096)
def charges_between(
    ph: float, low_log_gamma: float, high_log_gamma: float
) -> tuple[Floats, Floats, Floats, Floats]:
    """The least and the most charge that a mole of each of nine acids (carbonic last) carries at a
    pH, over a range of log10 gamma; so its squared charge; each two rows. Then the ends of OH- less
    H+, and of their sum, in mol/L."""
    levels = np.linspace(low_log_gamma, high_log_gamma, _ACTIVITIES)
    moles = np.eye(len(_PKA))
    tables = [
        _charges(moles, np.full(len(_PKA), ph), np.full(len(_PKA), level)) for level in levels
    ]
    charges = np.array([table[0] for table in tables])
    squares = np.array([table[1] for table in tables])
    hydrogen, hydroxide = _water(np.full(levels.shape, ph), levels)
    ends = (charges, squares, hydroxide - hydrogen, hydroxide + hydrogen)
    charge, square, base, both = (np.array([end.min(axis=0), end.max(axis=0)]) for end in ends)
    return charge, square, base, both


def titratable_eq_per_l(
    acid_mol_per_l: ArrayLike, cations_eq_per_l: ArrayLike, end_point_ph: float = END_POINT_PH
) -> Floats:
    """Strong base in eq/L that takes the degassed drink to the end point (pH 8.1, ISO 750).

    Acid that potassium has neutralised already does not count; phosphoric counts nearly twice.
    Never below zero: a drink that starts above the end point has no titratable acidity.
    """
    reached = bound_charge(acid_mol_per_l, end_point_ph)
    base: Floats = np.maximum(reached - np.asarray(cations_eq_per_l, dtype=float), 0.0)
    return base


def titrated_g_per_l(
    base_ml: float, sample_ml: float, normality: float = 0.1, acid: str = "citric"
) -> float:
    """Titratable acidity in g/L of one acid, from a titration to pH 8.1.

    g/L = mL of base x normality x g per equivalent / mL of sample (ISO 750; AOAC 942.15).
    Raises InputError for a negative volume, an empty sample or an unknown acid.

    >>> round(titrated_g_per_l(15.6, 10.0), 2)
    9.99
    """
    if not (base_ml >= 0 and sample_ml > 0 and normality > 0):
        raise InputError(
            "a titration needs a sample and a normality above zero and no less than 0 mL of base; "
            f"got {base_ml:g} mL of {normality:g} N on {sample_ml:g} mL"
        )
    return float(base_ml * normality * G_PER_EQ[_index(acid)] / sample_ml)


def _index(acid: str) -> int:
    if acid not in ACIDS:
        raise InputError(f"unknown acid {acid!r}; use one of: {', '.join(ACIDS)}")
    return ACIDS.index(acid)
