"""What the counts of a session weigh: each kind of question has its own analysis in `kinds`."""

from dataclasses import replace
from functools import lru_cache

from tasting.insight.findings.kinds.attribute import AttributeEvidence, weigh_attribute
from tasting.insight.findings.kinds.counted import CountedEvidence, weigh_counts
from tasting.insight.findings.kinds.criterion import CriterionEvidence, weigh_reports
from tasting.insight.findings.kinds.preference import PreferenceEvidence, weigh_preference
from tasting.insight.findings.kinds.sequential import SequentialEvidence, weigh_sequence
from tasting.insight.findings.kinds.whole_people import WholePeopleEvidence, weigh_people
from tasting.insight.findings.tally import Given, Tally

Evidence = (
    CountedEvidence
    | AttributeEvidence
    | WholePeopleEvidence
    | SequentialEvidence
    | PreferenceEvidence
    | CriterionEvidence
)


def evaluate(tally: Tally) -> Evidence:
    """The evidence in a tally of at least one answer."""
    if tally.design.sequential:
        return weigh_sequence(tally)
    return _weighed(_nameless(tally))


def _nameless(tally: Tally) -> Tally:
    """The same counts whoever gave them in whatever order, and whatever the samples are called."""
    seen: dict[str, list[Given]] = {}
    for one in tally.given:
        seen.setdefault(one.assessor, []).append(one)
    scores = sorted(sorted((one.counted, one.undecided) for one in own) for own in seen.values())
    given = tuple(Given(str(who), *one) for who, own in enumerate(scores) for one in own)
    return replace(tally, a="A", b="B", given=given, early_reason="", tasting_pourers=())


# Of the counts that a workshop comes by in years many are alike, and none ever changes.
@lru_cache(maxsize=4096)
def _weighed(tally: Tally) -> Evidence:
    if not tally.design.has_chance:
        return weigh_reports(tally)
    if tally.method.question_kind == "preference":
        return weigh_preference(tally)
    if tally.method.directional_b:
        return weigh_attribute(tally)
    return weigh_people(tally) if _held_to(tally) else weigh_counts(tally)


def has_critical_number(tally: Tally) -> bool:
    """Whether one number of counted answers decides, as in `_weighed`."""
    if tally.design.sequential or not tally.design.has_chance or tally.method.directional_b:
        return False
    return not _held_to(tally)


def _held_to(tally: Tally) -> bool:
    """Whether people chose one of two more than once, and so may each hold to their own."""
    return tally.method.two_choices and tally.clustered
