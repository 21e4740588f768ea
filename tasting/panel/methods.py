"""The test methods, one frozen value each; adding a method is adding a value.

A set is written as the letters of its cups in serving order: ``"ABA"`` is a cup of sample A, one
of B, one of A. The assessor always has to choose one cup; "no difference" is not offered (forced
choice: ISO 4120:2021, ISO 5495:2005 clause 4).
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from tasting.errors import InputError
from tasting.stats import psychometric
from tasting.stats.psychometric import Psychometric

Asks = Literal["difference", "direction", "preference"]


@dataclass(frozen=True, slots=True)
class Method:
    """One method of comparing two samples.

    key: name in documents, on the command line and in the database
    name: name on screen
    standard: the standard that describes it
    asks: whether it asks for a difference, for a direction ("more sour?") or for a preference
    orders: the serving orders; a balanced plan uses each equally often
    psychometric: how the chance of a counted choice grows with the sensory distance
    question: what the ballot asks; "{attribute}" is filled in from the plan
    counts: whether choosing the cup at this position (from 0) of this order counts
    table: key of the published table of critical numbers that is cited, if there is one
    """

    key: str
    name: str
    standard: str
    asks: Asks
    orders: tuple[str, ...]
    psychometric: Psychometric
    question: str
    counts: Callable[[str, int], bool]
    table: str | None = None

    @property
    def chance(self) -> float:
        """Probability that a choice counts when nothing is noticed."""
        return self.psychometric.chance

    @property
    def cups(self) -> int:
        """Number of cups in one set."""
        return len(self.orders[0])

    def sides(self, direction_fixed: bool) -> int:
        """1 for a test of difference or where the direction was fixed beforehand, else 2.

        Raises InputError for a preference, which is asked without a fixed direction.
        """
        if self.asks == "preference" and direction_fixed:
            raise InputError("a preference is asked without a fixed direction: leave out one-sided")
        return 1 if self.asks == "difference" or direction_fixed else 2

    def check_question(self, attribute: str, expected: str | None) -> None:
        """Whether the question is complete. Raises InputError."""
        if self.asks == "direction" and not attribute.strip():
            raise InputError("a paired comparison needs an attribute to ask about: 'more sour'")
        if self.asks != "direction" and (attribute or expected):
            raise InputError(f"the method {self.key!r} takes no attribute and no expected sample")


def odd_one_out(order: str, position: int) -> bool:
    """Whether this cup is the only one of its sample in the set.

    >>> odd_one_out("ABA", 1), odd_one_out("ABA", 2)
    (True, False)
    """
    return order.count(order[position]) == 1


def holds_b(order: str, position: int) -> bool:
    """Whether this cup holds sample B.

    >>> holds_b("AB", 1)
    True
    """
    return order[position] == "B"


TRIANGLE = Method(
    key="triangle",
    name="Triangle test",
    standard="ISO 4120",
    asks="difference",
    orders=("AAB", "ABA", "BAA", "BBA", "BAB", "ABB"),
    psychometric=psychometric.TRIANGLE,
    question="Two of these three samples are alike. Which one is the odd one out?",
    counts=odd_one_out,
    table="fao-triangle",
)
PAIRED = Method(
    key="paired",
    name="Paired comparison",
    standard="ISO 5495",
    asks="direction",
    orders=("AB", "BA"),
    psychometric=psychometric.TWO_AFC,
    question="Which sample is {attribute}?",
    counts=holds_b,
    table="iso-5495-a1",
)
PREFERENCE = Method(
    key="preference",
    name="Paired preference test",
    standard="ISO 5495",
    asks="preference",
    orders=("AB", "BA"),
    psychometric=psychometric.TWO_AFC,
    question="Which sample do you prefer?",
    counts=holds_b,
)

METHODS: Mapping[str, Method] = MappingProxyType(
    {method.key: method for method in (TRIANGLE, PAIRED, PREFERENCE)}
)


def method_named(key: str) -> Method:
    """The method of that key. Raises InputError, naming the known ones."""
    try:
        return METHODS[key]
    except KeyError:
        known = ", ".join(METHODS)
        raise InputError(f"unknown method {key!r}; use one of: {known}") from None
