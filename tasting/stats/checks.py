"""What every statistic checks at the door, in one sentence each."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tasting.errors import InputError
from tasting.wording import short

Many = Sequence[int] | NDArray[Any]
Whole = int | Many
Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]


def whole(name: str, value: object) -> Ints:
    """`value` as an array of whole numbers, or an `InputError` naming it."""
    array = np.asarray(value)
    if array.dtype.kind in "iu":
        return array.astype(np.int64, copy=False)
    if array.dtype.kind == "f" and bool(np.all(np.floor(array) == array)):
        return array.astype(np.int64)
    raise InputError(f"{name} is {_shown(value)}; give a whole number.")


def check_n(n: object, name: str = "n") -> Ints:
    """Number of tastings: whole and at least 1."""
    array = whole(name, n)
    if array.size and int(array.min()) < 1:
        raise InputError(f"{name} is {int(array.min())}; at least 1 tasting is needed.")
    return array


def check_counts(correct: object, n: object, name: str = "correct") -> tuple[Ints, Ints]:
    """Answers of one kind out of n: whole, from 0 to n."""
    sizes = check_n(n)
    counts = whole(name, correct)
    if counts.size and int(counts.min()) < 0:
        raise InputError(f"{name} is {int(counts.min())}; a count cannot be below 0.")
    if np.any(counts > sizes):
        _refuse_excess(counts, sizes, name)
    return counts, sizes


def _refuse_excess(counts: Ints, sizes: Ints, name: str) -> None:
    counts, sizes = np.broadcast_arrays(counts, sizes)
    first = tuple(np.argwhere(counts > sizes)[0])
    count, size = int(counts[first]), int(sizes[first])
    raise InputError(
        f"{name} is {count} but only {size} were tasted (n); give a count from 0 to {size}."
    )


def check_between(
    name: str, value: float, low: float, high: float, mend: str = "", *, closed: bool = False
) -> float:
    """A number strictly between two bounds (or on them, if `closed`)."""
    number = as_number(name, value)
    inside = low <= number <= high if closed else low < number < high
    if not inside:
        rule = f"from {low:g} to {high:g}" if closed else f"between {low:g} and {high:g}"
        raise InputError(f"{name} is {short(number)} but must lie {rule}{mend and '; ' + mend}.")
    return number


def as_number(name: str, value: object) -> float:
    """`value` as a float; text, nothing and not-a-number are refused."""
    try:
        number = float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        number = float("nan")
    if number != number:
        raise InputError(f"{name} is {_shown(value)}; give a number.")
    return number


def check_chance(chance: float) -> float:
    """Share of correct answers by guessing: strictly between 0 and 1."""
    return check_between("chance", chance, 0, 1, "it is the share of correct answers by guessing")


def check_alpha(alpha: float) -> float:
    """Risk of calling a difference that is not there: strictly between 0 and 0.5."""
    return check_between("alpha", alpha, 0, 0.5, "0.05 is usual")


def check_beta(beta: float) -> float:
    """Risk of missing a difference that is there: strictly between 0 and 0.5."""
    return check_between("beta", beta, 0, 0.5, "0.2 means a power of 80 %")


def check_p_d(p_d: float) -> float:
    """Proportion of distinguishers: strictly between 0 and 1."""
    return check_between("p_d", p_d, 0, 1, "it is the share who truly notice the difference")


def check_confidence(confidence: float) -> float:
    """Confidence of an interval: strictly between 0 and 1."""
    return check_between("confidence", confidence, 0, 1, "0.95 is usual")


def check_sides(sides: int, chance: float) -> int:
    """One side, or two where both directions are equally likely by guessing."""
    if sides not in (1, 2):
        raise InputError(f"sides is {sides!r}; give 1 or 2.")
    if sides == 2 and chance != 0.5:
        raise InputError(f"a two-sided test needs a chance of 1/2, not {chance:g}; use sides=1.")
    return sides


def _shown(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 40 else text[:37] + "..."
