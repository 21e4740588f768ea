"""The serving plan: which assessor gets which serving order under which codes.

Serving orders are issued at random in complete blocks, so that over the panel each order is
used as equally as the number of sets allows (ISO 4120:2021). Every cup of a session has its own
three-digit code, also the cups that hold the same sample (ISO 4120:2021, 5.5), so that a cup is
never taken for another assessor's; where a panel needs more cups than there are codes, every cup of
an assessor.
"""

from collections.abc import Sequence
from random import Random

from pydantic import BaseModel, ConfigDict

from tasting.panel.methods import Method, blind, labelled

_UPSIDE_DOWN = frozenset("01689")


class ServingSet(BaseModel):
    """The cups of one tasting; order and codes together say who is who: this is the sealed key."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    assessor: str
    replicate: int
    order: str
    codes: tuple[str, ...]

    @property
    def letters(self) -> str:
        """The samples in the coded cups, from left to right."""
        return blind(self.order)

    @property
    def reference(self) -> str:
        """The sample in the cup that is labelled as the reference; empty if there is none."""
        return labelled(self.order)

    def sample_of(self, code: str) -> str:
        """The sample, "A" or "B", in the cup with this code."""
        return self.letters[self.codes.index(code)]


def _usable(code: str) -> bool:
    """Whether a code is unremarkable: no 222, no 123 or 321, nothing legible upside down.

    Common practice, no source.
    """
    digits = [int(digit) for digit in code]
    steps = {later - earlier for earlier, later in zip(digits, digits[1:], strict=False)}
    remarkable = steps in ({0}, {1}, {-1}) or code.endswith("00")
    return not remarkable and not set(code) <= _UPSIDE_DOWN


CODES: tuple[str, ...] = tuple(code for code in map(str, range(100, 1000)) if _usable(code))


def serving_orders(method: Method, sets: int, random: Random) -> list[str]:
    """That many serving orders at random in complete blocks; the last block may be cut short."""
    orders: list[str] = []
    while len(orders) < sets:
        orders += random.sample(method.orders, len(method.orders))
    return orders[:sets]


def most_cups(method: Method, sets: int, letter: str) -> int:
    """The most cups of a sample that so many sets can need, however the orders fall; cups that are
    labelled as the reference included."""
    each = sorted((order.count(letter) for order in method.orders), reverse=True)
    blocks, rest = divmod(sets, len(each))
    return blocks * sum(each) + sum(each[:rest])


def _codes(assessors: Sequence[str], cups: int, random: Random) -> dict[str, list[str]]:
    """Codes for so many cups of each assessor."""
    if cups * len(assessors) > len(CODES):
        return {who: random.sample(CODES, cups) for who in assessors}
    drawn = random.sample(CODES, cups * len(assessors))
    return {who: drawn[at * cups : (at + 1) * cups] for at, who in enumerate(assessors)}


def serving_plan(
    method: Method, assessors: Sequence[str], replicates: int, random: Random
) -> tuple[ServingSet, ...]:
    """One set for each assessor and replicate, in the order in which they are served.

    random: the source of chance; `secrets.SystemRandom()` whenever people will taste.
    """
    keys = [(assessor, round_ + 1) for round_ in range(replicates) for assessor in assessors]
    orders = serving_orders(method, len(keys), random)
    codes = _codes(assessors, method.cups * replicates, random)
    return tuple(
        ServingSet(
            assessor=assessor,
            replicate=replicate,
            order=order,
            codes=tuple(codes[assessor].pop() for _ in range(method.cups)),
        )
        for (assessor, replicate), order in zip(keys, orders, strict=True)
    )
