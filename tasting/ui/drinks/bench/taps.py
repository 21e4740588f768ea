"""Which pinches are offered as buttons: the ones used last, each in the place where it stood."""

from collections.abc import Iterable, Sequence
from typing import Final

from tasting.drink.bench import Added, BenchStep, TastedAway, standing
from tasting.drink.formula import Part

_MOST: Final = 6
_USUAL: Final = tuple(
    Part.model_validate({"ingredient": key, "amount": amount})
    for key, amount in (
        ("citric-acid", "0.1 g"),
        ("lemon-juice", "2 mL"),
        ("simple-syrup-1-1", "2 mL"),
        ("water", "10 mL"),
    )
)
"""What to begin with where nothing was added yet; common practice, no source."""

_SIP_ML: Final = 10.0
# A usual sip; common practice, no source.


def key_of(part: Part) -> str:
    """What tells a pinch from another."""
    return f"{part.ingredient.key} {part.amount.quantity!r} {part.amount.unit}"


def used(steps: Sequence[BenchStep]) -> list[Part]:
    """What went in and was not undone, in order."""
    made = (steps[place] for place in standing(steps))
    return [step.part for step in made if isinstance(step, Added)]


def pinches(steps: Sequence[BenchStep], earlier: Sequence[Part]) -> tuple[Part, ...]:
    """The pinches to offer: those of an earlier glass, filled up with usual ones, then what is new
    in this one. None moves when it is used, so that a second tap hits the same; where there are too
    many, the one goes that was not used for longest.

    earlier: what went into an earlier glass, in order
    """
    mine = used(steps)
    begin = list(_different([*reversed(earlier), *_USUAL]))[: len(_USUAL)]
    offered = list(_different([*begin, *mine]))
    last = {key_of(part): place for place, part in enumerate(mine)}
    while len(offered) > _MOST:
        unused = min(reversed(offered), key=lambda part: last.get(key_of(part), -1))
        offered.remove(unused)
    return tuple(offered)


def _different(parts: Iterable[Part]) -> Iterable[Part]:
    return {key_of(part): part for part in parts}.values()


def names(parts: Sequence[Part]) -> tuple[str, ...]:
    """What stands on each button: "+0.1 g citric acid"; the whole name where two would be alike."""
    brief = [f"+{part.amount} {part.ingredient.name.partition(',')[0]}" for part in parts]
    return tuple(
        f"+{part.amount} {part.ingredient.name}" if brief.count(name) > 1 else name
        for part, name in zip(parts, brief, strict=True)
    )


def sip_ml(steps: Sequence[BenchStep]) -> float:
    """What was tasted away last, else a usual sip."""
    made = [step.volume_ml for step in steps if isinstance(step, TastedAway)]
    return made[-1] if made else _SIP_ML
