"""What is asked of a label: ingredients as they are typed, with or without amounts, and demands."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Final, TypeVar

from tasting.drink.demands import Demand, Limits, read_demand, read_limits
from tasting.drink.label import Reference
from tasting.drink.pantry import Ingredient
from tasting.drink.shelf import Known, Shelf, shelf
from tasting.errors import InputError

# More ingredients than this take longer than anybody waits.
_MOST_LINES: Final = 15
_MOST_DEMANDS: Final = 10
Read = TypeVar("Read")


@dataclass(frozen=True, slots=True)
class LabelQuestion:
    """All that an answer follows from; what the demands add to those of the reference."""

    reference: Reference
    limits: tuple[Limits, ...]
    demands: tuple[Demand, ...]
    served: str
    step_g: float

    @property
    def key(self) -> str:
        """The same for the same question; ingredients count by their figures."""
        rows = [(str(one), one.ingredient.model_dump_json()) for one in self.limits]
        known = (self.reference.model_dump_json(), rows, self.demands, self.served, self.step_g)
        return sha256(repr(known).encode()).hexdigest()


def question(
    reference: Reference, lines: str, also: str, served: str, step_g: float, known: Known
) -> LabelQuestion:
    """The question as typed: one ingredient a line, one demand a line.

    known: the ingredients that a line may name. Raises InputError with all that is wrong, by line.
    """
    faults: list[str] = []
    found = shelf(known)
    limits = _each(
        lines,
        faults,
        "line",
        _MOST_LINES,
        lambda text: read_limits(text, lambda n: _find(n, found)),
    )
    demands = _each(also, faults, "demand", _MOST_DEMANDS, read_demand)
    faults += _twice(limits)
    if not limits and not faults:
        faults.append("nothing may go in yet; write at least one ingredient, one per line")
    if faults:
        raise InputError("; ".join(faults))
    return LabelQuestion(reference, tuple(limits), tuple(demands), served, step_g)


def _each(
    text: str, faults: list[str], what: str, most: int, read: Callable[[str], Read]
) -> list[Read]:
    """What each line says; what is wrong goes to the faults, with the line's number."""
    written = [(number, line) for number, line in enumerate(text.splitlines(), 1) if line.strip()]
    if len(written) > most:
        faults.append(f"{len(written)} {what}s are too many; write at most {most}")
        return []
    known = []
    for number, line in written:
        try:
            known.append(read(line))
        except InputError as error:
            faults.append(f"{what} {number}: {error}")
    return known


def _find(name: str, known: Shelf) -> Ingredient:
    """The ingredient that a name certainly stands for."""
    if not name:
        raise InputError("no ingredient is named; write one, such as rhubarb juice")
    found = known.find(name)
    if len(found) == 1:
        return known.known[found[0]]
    offered = found or known.alike(name)
    told = f"did you mean {' or '.join(offered)}" if offered else "add it to a recipe first"
    raise InputError(f"no ingredient is called {name!r}; {told}")


def _twice(limits: Sequence[Limits]) -> Iterator[str]:
    seen: set[str] = set()
    for one in limits:
        if one.ingredient.key in seen:
            yield f"{one.ingredient.name} is named twice; name it once"
        seen.add(one.ingredient.key)
