"""What a phone shows at each stage of a ballot: the template and what stands in it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from tasting.panel.care import notices
from tasting.store.ballots import Ballot
from tasting.web.ballot.seat import form_key
from tasting.web.rendering import page

SURENESS: Mapping[str, bool | None] = {"yes": True, "no": False, "": None}
OTHERS = "That screen belonged to another assessor's ballot. Nothing of it was recorded."
_STOPPED = ("You stopped this tasting; the answers that you gave are kept.",)
_OVER = ("This session takes no more answers.",)
_DONE = (
    "All your answers are in. You may close this page.",
    "Please do not talk about the samples before the host closes the session.",
)
UNKNOWN = (
    "Ask the host for your link, or scan the QR code again.",
    "Nothing that was recorded before is lost.",
)
LOST = (
    "Scan the QR code on your card again, or open your link. You go on where you were: nothing "
    "that was recorded is lost.",
)


@dataclass(frozen=True, slots=True)
class Told:
    """What a screen says beside its question, and what was typed on it before.

    late: that another screen was faster; wrong: what cannot be recorded as it was sent
    """

    late: str = ""
    wrong: str = ""
    choice: str = ""
    sure: str = ""
    remark: str = ""


def screen(shown: Ballot, token: str, now: datetime, told: Told) -> str:
    """The page for what comes next on this seat."""
    if not shown.codes:
        return _ending(shown, told)
    if not shown.consented:
        return _beginning(shown, token, told)
    if shown.rest_until and shown.rest_until > now:
        left = int((shown.rest_until - now).total_seconds()) + 1
        return _render(shown, token, told, "rest", {"left": left, "stops": False})
    return _tasting(shown, token, told)


def message(heading: str, lines: tuple[str, ...], again: bool = False) -> str:
    """A page that says something and asks nothing."""
    said = {"heading": heading, "lines": lines, "again": again, "screen": "message"}
    return page("ballot_message.html", **said, late="", wrong="", stop_key="")


def _ending(shown: Ballot, told: Told) -> str:
    """The last screen: nothing about right or wrong."""
    lines = _OVER if shown.state != "open" else _STOPPED if shown.withdrawn else _DONE
    late = "" if lines is not _DONE else told.late
    said = {"heading": "Thank you", "lines": lines, "again": False, "screen": "end"}
    return page("ballot_message.html", **said, late=late, wrong=told.wrong, stop_key="")


def _beginning(shown: Ballot, token: str, told: Told) -> str:
    """The first screen: what is in the samples, consent, and the right to stop."""
    sets = "1 set" if shown.planned == 1 else f"{shown.planned} sets, one after the other"
    values = {
        "notices": (*notices(shown.allergens, shown.alcohol_percent_vol), f"You get {shown.gets}."),
        "sets": sets,
        "spit": shown.spit,
        "adult": shown.alcohol_percent_vol > 0,
        "stops": False,
    }
    return _render(shown, token, told, "begin", values, stage="begin")


def _tasting(shown: Ballot, token: str, told: Told) -> str:
    number = shown.replicate
    if shown.alone and shown.position is None:
        places = {"places": range(1, len(shown.codes) + 1)}
        return _render(shown, token, told, "place", places, stage=f"place-{number}")
    values: dict[str, object] = {
        "asks_sure": not any("sure" in choice for choice in shown.choices),
        "position": shown.position,
        "reference": shown.reference,
        "codes": shown.codes,
        "cups": [choice for choice in shown.choices if choice in shown.codes],
        "others": [choice for choice in shown.choices if choice not in shown.codes],
    }
    kind = "under" if shown.alone else "set"
    return _render(shown, token, told, kind, values, stage=f"answer-{number}")


def _render(
    shown: Ballot,
    token: str,
    told: Told,
    kind: str,
    values: Mapping[str, object],
    stage: str = "",
) -> str:
    return page(
        f"ballot_{kind}.html",
        screen=f"{kind}-{shown.replicate}",
        who=shown.assessor,
        number=shown.replicate,
        planned=shown.planned,
        question=shown.question,
        key=form_key(token, stage),
        stop_key=form_key(token, "stop") if values.get("stops", True) else "",
        late=told.late,
        wrong=told.wrong,
        chosen=told.choice,
        sure=told.sure if told.sure in SURENESS else "",
        remark=told.remark,
        **values,
    )
