"""What a phone shows at each stage of a ballot: the template and what stands in it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from math import ceil

from tasting.panel.care import notices
from tasting.store.ballots import Ballot
from tasting.web.ballot.seat import form_key
from tasting.web.rendering import page

SURENESS: Mapping[str, bool | None] = {"yes": True, "no": False, "": None}
OTHERS = "That screen belonged to another assessor's ballot. Nothing of it was recorded."
_STOPPED = ("You stopped this tasting; the answers that you gave are saved.",)
_OVER = ("This session takes no more answers.",)
_DONE = (
    "All your answers are in. You may close this page.",
    "Please do not talk about the samples until the host closes the session.",
)
UNKNOWN = (
    "Ask the host for your link, or scan the QR code again.",
    "Nothing recorded before is lost.",
)
LOST = (
    "Scan the QR code on your card again, or open your link. You go on where you were; nothing "
    "recorded is lost.",
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


_QUIET = Told()


def screen(shown: Ballot, token: str, now: datetime, told: Told) -> str:
    """The page for what comes next on this seat."""
    if not shown.codes:
        return _ending(shown, told)
    if not shown.consented:
        return _beginning(shown, token, told)
    left = _rest_seconds(shown, now)
    if left:
        return _render("rest", shown, token, told, left=left, stops=False)
    return _tasting(shown, token, told)


def _rest_seconds(shown: Ballot, now: datetime) -> int:
    """What is left of the rest; none where the clock was set back to before the last answer."""
    if shown.rest_until is None:
        return 0
    left = ceil((shown.rest_until - now).total_seconds())
    return left if 0 < left <= shown.pause_seconds else 0


def message(
    heading: str,
    lines: tuple[str, ...],
    again: bool = False,
    told: Told = _QUIET,
    take: str = "",
) -> str:
    """A page that says something and asks nothing; `take` is a link that takes a seat."""
    said = {"heading": heading, "lines": lines, "again": again, "told": told, "take": take}
    return page("ballot_message.html", screen="message", stop_key="", **said)


def asking(shown: Ballot, address: str) -> str:
    """Whether this phone is to take the seat: its name has to be read before a link is followed."""
    lines = (
        f"This link is the seat of {shown.assessor}.",
        "If that is somebody else, leave this page and scan the QR code on your own card.",
    )
    return message("Is this you?", lines, take=address)


def _ending(shown: Ballot, told: Told) -> str:
    """The last screen: nothing about right or wrong."""
    lines = _OVER if shown.state != "open" else _STOPPED if shown.withdrawn else _DONE
    told = told if lines is _DONE else replace(told, late="")
    return message("Thank you", lines, told=told)


def _beginning(shown: Ballot, token: str, told: Told) -> str:
    """The first screen: what is in the samples, consent, and the right to stop."""
    sets = "1 set" if shown.planned == 1 else f"{shown.planned} sets"
    cautions = notices(shown.allergens, shown.alcohol_percent_vol)
    said = {"notices": (*cautions, f"You get {shown.gets}."), "sets": sets}
    return _render("begin", shown, token, told, "begin", stops=False, **said)


def _tasting(shown: Ballot, token: str, told: Told) -> str:
    asks = "choice" if not shown.alone else "code" if shown.position else "place"
    stage = f"{'place' if asks == 'place' else 'answer'}-{shown.replicate}"
    cups = [choice for choice in shown.choices if choice in shown.codes]
    others = [choice for choice in shown.choices if choice not in shown.codes]
    asks_sure = not any("sure" in choice for choice in shown.choices)
    values = {"asks": asks, "cups": cups, "others": others, "asks_sure": asks_sure}
    return _render("set", shown, token, told, stage, **values)


def _render(
    kind: str, shown: Ballot, token: str, told: Told, stage: str = "", **values: object
) -> str:
    return page(
        f"ballot_{kind}.html",
        screen=f"{values.get('asks', kind)}-{shown.replicate}",
        ballot=shown,
        told=told,
        key=form_key(token, stage),
        stop_key=form_key(token, "stop") if values.get("stops", True) else "",
        **values,
    )
