"""The test methods, one frozen value each; adding a method is adding a value.

A set is written as the letters of its cups in serving order: ``"ABA"`` is a cup of sample A, one
of B, one of A. A cup before a colon is not blind: in ``"A:AB"`` the assessor first gets sample A,
labelled as the reference, and then two coded cups. The assessor always has to choose; "no
difference" is not offered (forced choice: ISO 4120:2021, ISO 5495:2005 clause 4).
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Literal

from tasting.errors import InputError
from tasting.stats import criterion, psychometric
from tasting.stats.psychometric import Psychometric
from tasting.stats.results import Estimate

QuestionKind = Literal["difference", "direction", "preference"]
Option = tuple[int, ...] | str
"""What may be chosen: the cups at these positions, or an answer in words."""
Contrast = Callable[[Sequence[int], Sequence[int], float], Estimate]
"""Counts by option without and with a difference, and a confidence, to a sensory distance."""


@dataclass(frozen=True, slots=True)
class Method:
    """One method of comparing two samples.

    key: name in documents, on the command line and in the database
    name: name on screen
    standard: the standard that describes it, with the edition where it is known
    question_kind: whether it asks for a difference, a direction ("more sour?") or a preference
    orders: the serving orders; a balanced plan uses each equally often
    options: what the ballot offers to choose
    question: what the ballot asks; "{attribute}" is filled in from the plan
    is_counted: whether choosing the option of this index counts, given this serving order
    psychometric: how the chance of a counted choice grows with the sensory distance
    criterion_model: for a method without a chance of guessing, the sensory distance from how often
        each option was chosen for sets that hold no difference, and for sets that hold one
    report_rate: for such a method, how often a difference of this sensory distance is reported by
        people who report one for this share of the sets that hold none
    by_reference_rate, by_reference_model: the same two where people may instead judge by how far a
        cup is from the labelled reference, because they do not know what differs; planned with,
        since fewer differences are reported then
    table: key of the published table of critical numbers that is cited, if there is one
    directional_b: whether B has to be the sample that is expected to have more of the attribute
    """

    key: str
    name: str
    standard: str
    question_kind: QuestionKind
    orders: tuple[str, ...]
    options: tuple[Option, ...]
    question: str
    is_counted: Callable[[str, int], bool]
    psychometric: Psychometric | None = None
    criterion_model: Contrast | None = None
    report_rate: Callable[[float, float], float] | None = None
    by_reference_rate: Callable[[float, float], float] | None = None
    by_reference_model: Contrast | None = None
    table: str | None = None
    directional_b: bool = False

    def __str__(self) -> str:
        return self.key

    @property
    def cups(self) -> int:
        """Number of coded cups in one set."""
        return len(blind(self.orders[0]))

    @property
    def poured(self) -> int:
        """Number of cups in one set, with the one that is labelled as the reference."""
        return len(self.orders[0].replace(":", ""))

    @property
    def model(self) -> Psychometric:
        """The psychometric function. Raises InputError where there is no chance of guessing."""
        if self.psychometric is None:
            raise InputError(f"the method {self.key!r} has no fixed chance of guessing")
        return self.psychometric

    @property
    def chance(self) -> float:
        """Probability that a choice counts when nothing is noticed. Raises as `model` does."""
        return self.model.chance

    @property
    def two_choices(self) -> bool:
        """Whether one of two samples is chosen, so that people may hold to either."""
        return self.psychometric is psychometric.TWO_AFC

    @property
    def names_attribute(self) -> bool:
        """Whether it asks which sample has more of an attribute."""
        return self.question_kind == "direction"

    @property
    def measures_distance(self) -> bool:
        """Whether it says how far two samples are apart; a preference says which is liked, and its
        share is a lead."""
        return self.question_kind != "preference"

    @property
    def has_right_answer(self) -> bool:
        """Whether an answer is right or wrong, whatever was expected."""
        return self.question_kind == "difference" or self.directional_b

    def sides(self, direction_fixed: bool) -> int:
        """1 for a test of difference or where the direction was fixed beforehand, else 2.

        Raises InputError for a preference, which is asked without a fixed direction.
        """
        if direction_fixed and not self.measures_distance:
            raise InputError("a preference is asked without a fixed direction: leave out one-sided")
        return 1 if self.has_right_answer or direction_fixed else 2

    def check_question(self, attribute: str, expected: str | None) -> None:
        """Whether the question is complete. Raises InputError."""
        if self.names_attribute and not attribute.strip():
            raise InputError(f"{self.key!r} needs an attribute to ask about: 'more sour'")
        if not self.names_attribute and (attribute or expected):
            raise InputError(f"the method {self.key!r} takes no attribute and no expected sample")
        if self.directional_b and expected != "B":
            raise InputError(
                f"the method {self.key!r} needs a direction: take as sample B the one that you "
                "expect to have more of the attribute, and expect B"
            )


def blind(order: str) -> str:
    """The letters of the coded cups of a serving order.

    >>> blind("A:AB"), blind("ABA")
    ('AB', 'ABA')
    """
    return order.rpartition(":")[2]


def labelled(order: str) -> str:
    """The letter of the cup that is labelled as the reference, if there is one.

    >>> labelled("A:AB"), labelled("ABA")
    ('A', '')
    """
    return order.rpartition(":")[0]


def holds_difference(order: str) -> bool:
    """Whether a set holds both samples.

    >>> holds_difference("A:B"), holds_difference("A:A"), holds_difference("BB")
    (True, False, False)
    """
    return {"A", "B"} <= set(order)


def _one_of(cups: int) -> tuple[Option, ...]:
    return tuple((position,) for position in range(cups))


def _odd_one_out(order: str, option: int) -> bool:
    return order.count(order[option]) == 1


def _holds_b(order: str, option: int) -> bool:
    return order[option] == "B"


def _like_the_reference(order: str, option: int) -> bool:
    return blind(order)[option] == labelled(order)


def _alike(order: str, option: int) -> bool:
    """In ``_PAIRINGS`` the first cup is paired with the cup after this option's place."""
    return order[0] == order[option + 1]


def _both_b(order: str, option: int) -> bool:
    return all(order[position] == "B" for position in _PAIRS[option])


def _says_different(order: str, option: int) -> bool:
    return _DIFFERENCE[option] == "different"


def _alike_distance(none: Sequence[int], some: Sequence[int], confidence: float) -> Estimate:
    return criterion.same_different(none[0], sum(none), some[0], sum(some), confidence)


def _far_from_reference(none: Sequence[int], some: Sequence[int], confidence: float) -> Estimate:
    """As same-different: the labelled cup and the coded one are a pair; sureness is left out."""
    alike = sum(not option.startswith("not") for option in _SURENESS)
    return criterion.same_different(
        sum(none[:alike]), sum(none), sum(some[:alike]), sum(some), confidence
    )


def _says_not_a(order: str, option: int) -> bool:
    return _SURENESS[option].startswith("not")


_PAIRINGS: tuple[tuple[int, ...], ...] = ((0, 1), (0, 2), (0, 3))
_PAIRS: tuple[tuple[int, ...], ...] = ((0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3))
_DIFFERENCE = ("alike", "different")
_SURENESS = (
    "like the reference, sure",
    "like the reference, not sure",
    "not like the reference, not sure",
    "not like the reference, sure",
)
_TETRADS = ("AABB", "ABAB", "ABBA", "BBAA", "BABA", "BAAB")

TRIANGLE = Method(
    key="triangle",
    name="Triangle test",
    standard="ISO 4120:2021",
    question_kind="difference",
    orders=("AAB", "ABA", "BAA", "BBA", "BAB", "ABB"),
    options=_one_of(3),
    question="Two of these three samples are alike. Which one is the odd one out?",
    is_counted=_odd_one_out,
    psychometric=psychometric.TRIANGLE,
    table="fao-triangle",
)
DUO_TRIO = Method(
    key="duo-trio",
    name="Duo-trio test, balanced reference",
    standard="ISO 10399:2017",
    question_kind="difference",
    orders=("A:AB", "A:BA", "B:AB", "B:BA"),
    options=_one_of(2),
    question="Taste the reference first. Which of the two coded samples is like it?",
    is_counted=_like_the_reference,
    psychometric=psychometric.DUO_TRIO,
    table="iso-10399-a1",
)
_DUO_TRIO_CONSTANT = replace(
    DUO_TRIO,
    key="duo-trio-constant",
    name="Duo-trio test, sample A always the reference",
    orders=("A:AB", "A:BA"),
)
TETRAD = Method(
    key="tetrad",
    name="Tetrad test, no attribute named",
    standard="ASTM E3009",
    question_kind="difference",
    orders=_TETRADS,
    options=_PAIRINGS,
    question="These four samples are two pairs of alike ones. Which pairs?",
    is_counted=_alike,
    psychometric=psychometric.TETRAD,
)
TETRAD_SPECIFIED = Method(
    key="tetrad-specified",
    name="Tetrad test, attribute named",
    standard="ASTM E3009",
    question_kind="direction",
    orders=_TETRADS,
    options=_PAIRS,
    question="Which two of these four samples are {attribute} than the others?",
    is_counted=_both_b,
    psychometric=psychometric.SPECIFIED_TETRAD,
    directional_b=True,
)
THREE_AFC = Method(
    key="3-afc",
    name="3-AFC test",
    standard="ASTM E2262",
    question_kind="direction",
    orders=("AAB", "ABA", "BAA"),
    options=_one_of(3),
    question="Which one of these three samples is {attribute} than the others?",
    is_counted=_holds_b,
    psychometric=psychometric.THREE_AFC,
    directional_b=True,
)
PAIRED = Method(
    key="paired",
    name="Paired comparison",
    standard="ISO 5495:2005",
    question_kind="direction",
    orders=("AB", "BA"),
    options=_one_of(2),
    question="Which sample is {attribute}?",
    is_counted=_holds_b,
    psychometric=psychometric.TWO_AFC,
    table="iso-5495-a1",
)
PREFERENCE = replace(
    PAIRED,
    key="preference",
    name="Paired preference test",
    question_kind="preference",
    question="Which sample do you prefer?",
    table=None,
)
SAME_DIFFERENT = Method(
    key="same-different",
    name="Same-different test",
    standard="ASTM E2139",
    question_kind="difference",
    orders=("AA", "BB", "AB", "BA"),
    options=_DIFFERENCE,
    question="Are these two samples alike or different?",
    is_counted=_says_different,
    criterion_model=_alike_distance,
    report_rate=psychometric.different_said,
)
A_NOT_A = Method(
    key="a-not-a",
    name="A-not-A test with sureness",
    standard="adapted from ISO 8588",
    question_kind="difference",
    orders=("A:A", "A:B"),
    options=_SURENESS,
    question="Taste the reference first. Is the coded sample like it?",
    is_counted=_says_not_a,
    criterion_model=criterion.a_not_a,
    report_rate=psychometric.not_a_said,
    by_reference_rate=psychometric.different_said,
    by_reference_model=_far_from_reference,
)

METHODS: Mapping[str, Method] = MappingProxyType(
    {
        method.key: method
        for method in (
            TRIANGLE,
            DUO_TRIO,
            _DUO_TRIO_CONSTANT,
            TETRAD,
            TETRAD_SPECIFIED,
            THREE_AFC,
            PAIRED,
            PREFERENCE,
            SAME_DIFFERENT,
            A_NOT_A,
        )
    }
)


def method_named(key: str) -> Method:
    """The method of that key. Raises InputError, naming the known ones."""
    try:
        return METHODS[key]
    except KeyError:
        known = ", ".join(METHODS)
        raise InputError(f"unknown method {key!r}; use one of: {known}") from None
