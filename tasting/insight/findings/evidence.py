"""What the counts of a session weigh: each kind of question has its own analysis in `kinds`."""

from tasting.insight.findings.kinds.attribute import AttributeEvidence, weigh_attribute
from tasting.insight.findings.kinds.counted import CountedEvidence, weigh_counts
from tasting.insight.findings.kinds.criterion import CriterionEvidence, weigh_reports
from tasting.insight.findings.kinds.preference import PreferenceEvidence, weigh_preference
from tasting.insight.findings.kinds.sequential import SequentialEvidence, weigh_sequence
from tasting.insight.findings.kinds.whole_people import WholePeopleEvidence, weigh_people
from tasting.insight.findings.tally import Tally

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
    if not tally.design.has_chance:
        return weigh_reports(tally)
    if tally.design.sequential:
        return weigh_sequence(tally)
    if tally.method.question_kind == "preference":
        return weigh_preference(tally)
    if tally.method.directional_b:
        return weigh_attribute(tally)
    return weigh_people(tally) if _held_to(tally) else weigh_counts(tally)


def _held_to(tally: Tally) -> bool:
    """Whether people chose one of two more than once, and so may each hold to their own."""
    return tally.method.two_choices and tally.clustered
