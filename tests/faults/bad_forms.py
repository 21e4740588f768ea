"""Forms and addresses that nobody's browser would send, to the server's plain pages in process."""

from collections.abc import Iterator
from random import Random
from urllib.parse import quote

from starlette.responses import PlainTextResponse

from tasting.report.links import SIGN_IN
from tasting.store import access, ballots
from tasting.store.database import database
from tasting.web.guard import Guard
from tests.ui.workshop import keep, opened, planned
from tests.web.browsing import Browser, Reply

HOME = "http://testserver"
TYPED = (
    *("", " ", "x" * 7_000, "\u202egnp.exe", "a\u200bb", "\x00", "<script>alert(1)</script>"),
    *("{{ 1 }}", "'; DROP TABLE answer; --", "é" * 900, "\ufeff", "\x1b[2J", "９９", "1e9", "-1"),
)
FORMS = {
    SIGN_IN: ("passphrase", "again", "code"),
    "/pour/inputs": ("reader", "code"),
    "/pour/inputs/away": ("reader",),
    "/ballot/begin": ("agreed", "key"),
    "/ballot/answer": ("choice", "remark", "sure", "set", "key"),
    "/ballot/place": ("place", "key"),
    "/ballot/stop": ("sure", "key"),
}
ADDRESSES = (
    "/?seat=",
    "/?pour=",
    "/pour/",
    "/print/",
    f"{SIGN_IN}?then=",
    "/ballot?late=",
    "/assets/",
)


def sent_forms(random: Random) -> Iterator[tuple[str, str]]:
    """What was sent, and what is wrong with the answer; nothing where it is as it should be."""
    engine = database()  # an empty one
    access.choose_passphrase(engine, "rhubarb and bay")
    keep(engine, opened(planned("inputs")))
    token = next(iter(ballots.links(engine, "inputs", b"secret").values()))
    server = Guard(PlainTextResponse("Streamlit"))
    for number, (path, fields) in enumerate(FORMS.items()):
        for turn, typed in enumerate(TYPED):
            browser = Browser(server, address=f"198.51.100.{number * 20 + turn}")
            browser.get(f"/?seat={token}")
            given = {name: random.choice((typed, typed, "")) for name in fields}
            yield f"{path} {given}", wrong_with(browser.post(path, given, origin=HOME))
    for number, path in enumerate(ADDRESSES):
        for turn, typed in enumerate(TYPED):
            browser = Browser(server, address=f"203.0.113.{number * 20 + turn}")
            yield path + typed, wrong_with(browser.get(path + quote(typed[:2_000])))


def wrong_with(said: Reply) -> str:
    """What is wrong with an answer."""
    if said.status >= 500 or "Traceback" in said.text:
        return f"status {said.status}: {said.text[:200]}"
    return "runs a script" if "<script>alert" in said.text else ""
