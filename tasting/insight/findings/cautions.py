"""What limits every kind of finding, in sentences; `kinds` say what limits theirs."""

from tasting.insight.findings.estimates import even_replicates
from tasting.insight.findings.tally import Tally


def cautions(tally: Tally) -> tuple[str, ...]:
    """What limits the finding."""
    return tuple(
        note
        for note in (
            _early(tally),
            _excluded(tally),
            _unblind(tally),
            *_repeated(tally),
        )
        if note
    )


def _early(tally: Tally) -> str:
    if not tally.early_reason:
        return ""
    given = len(tally.given)
    return f"Closed early, with {given} of {tally.planned} planned answers: {tally.early_reason}"


def _excluded(tally: Tally) -> str:
    if not tally.excluded:
        return ""
    people = "1 assessor was" if tally.excluded == 1 else f"{tally.excluded} assessors were"
    return f"{people} excluded before the session was closed; the record says why."


def _unblind(tally: Tally) -> str:
    if not tally.tasting_pourers:
        return ""
    who = " and ".join(map(repr, tally.tasting_pourers))
    return (
        f"The pour sheet was shown to {who}, a name also on this panel: if that was the same "
        "person, their answers were not blind."
    )


def _one_person(tally: Tally) -> str:
    if len(tally.given) == 1:
        return "One answer by one assessor: this speaks for that person only."
    return (
        "All answers are by one assessor: this speaks for that person only. Repeated sets show "
        "how reliably this person tells the samples apart, not how many others would. They are "
        "treated as independent, which is wrong for a palate that tires or learns."
    )


def _shuffled(tally: Tally) -> str:
    if not tally.alone:
        return ""
    return (
        "The same person filled, shuffled and tasted the cups: the result is as blind as the "
        "shuffling was. Let somebody else pour before you rely on it."
    )


def _repeated(tally: Tally) -> tuple[str, ...]:
    if tally.assessors == 1:
        return tuple(note for note in (_one_person(tally), _shuffled(tally)) if note)
    if not tally.replicated:
        return ()
    who = f"{tally.assessors} assessors gave {len(tally.given)} answers."
    return (f"{who} {_weighed(tally)}",)


def _weighed(tally: Tally) -> str:
    """What became of several answers by one person."""
    fixed = tally.design.has_chance and not tally.design.sequential
    if fixed and tally.method.two_choices:
        return (
            "Two answers by one person are not two votes: the test and the intervals count "
            "assessors."
        )
    meaning = (
        "intervals allow for how much these assessors differ"
        if fixed and even_replicates(tally)
        else "intervals describe these assessors only"
    )
    return f"Answers by one person are not independent: {meaning}."
