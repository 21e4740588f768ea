"""What the counts of a session weigh: each kind of question has its own analysis in `kinds`."""

from tasting.insight.findings.kinds.counted import CountedEvidence, weigh_counts
from tasting.insight.findings.kinds.criterion import CriterionEvidence, weigh_reports
from tasting.insight.findings.kinds.preference import PreferenceEvidence, weigh_preference
from tasting.insight.findings.kinds.sequential import SequentialEvidence, weigh_sequence
from tasting.insight.findings.tally import Tally

Evidence = CountedEvidence | SequentialEvidence | PreferenceEvidence | CriterionEvidence


def evaluate(tally: Tally) -> Evidence:
    """The evidence in a tally of at least one answer."""
    if not tally.design.has_chance:
        return weigh_reports(tally)
    if tally.design.sequential:
        return weigh_sequence(tally)
    if tally.method.question_kind == "preference":
        return weigh_preference(tally)
    return weigh_counts(tally)
