"""What one person's answers can and cannot say."""

from tasting.insight.findings.finding import Finding, finding
from tests.ui.workshop import closed, planned


def of_one(replicates: int, alone: bool) -> Finding:
    """The finding of a triangle session with one assessor, all answers right."""
    session = planned("one", assessors=("me",), replicates=replicates, alone=alone)
    return finding(closed(session, replicates, 0))


def test_replicates_of_one_person_speak_for_that_person() -> None:
    told = " ".join(of_one(6, alone=False).cautions)

    assert "speaks for that person only" in told
    assert "not how many others would" in told
    assert "shuffling" not in told


def test_who_tasted_alone_is_told_what_the_blinding_rests_on() -> None:
    assert "as blind as the shuffling was" in " ".join(of_one(6, alone=True).cautions)


def test_one_answer_is_not_called_repeated() -> None:
    assert of_one(1, alone=False).cautions == (
        "One answer by one assessor: this speaks for that person only.",
    )


def test_stopping_early_is_said() -> None:
    session = planned("one", assessors=("me",), replicates=6, alone=True)
    told = " ".join(finding(closed(session, 2, 1, "a cold came on")).cautions)

    assert "Closed early, with 3 of 6 planned answers: a cold came on" in told
