"""The ballot's addresses: a page, four forms, and a redirect after each of them.

The database knows where the assessor is, and the forms say which set they belong to, so nothing
that was sent late, twice or from another screen is taken for an answer to another set.
"""

from collections.abc import Callable, Mapping
from urllib.parse import urlencode

from sqlalchemy import Engine
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from tasting.errors import InputError, LifeCycleError, NotFoundError, StoreError
from tasting.records import now, tidy
from tasting.report.links import SEAT
from tasting.store import ballots
from tasting.store.ballots import Ballot
from tasting.store.database import database
from tasting.web.ballot import screens, seat
from tasting.web.ballot.screens import SURENESS, Told
from tasting.web.rendering import plain
from tasting.web.requests import Given, posted, shown

PAGE = "/ballot"
_LONGEST_REMARK = 500
_STAYS = "tasting-stays"
"""Header of a form that the ballot's script sends: the next screen is the answer itself."""
_FAILED = (
    "That didn't save. Wait a moment and try again.",
    "If it keeps happening, tell the host.",
)
_BUSY = ("Too many requests from this phone. Wait a moment.",)
_OWN_WISH = ("none", "same-origin")
"""Sec-Fetch-Site (W3C Fetch Metadata) of an address that was scanned or typed, and of our own."""
Said = dict[str, str]
"""What the next address has to say."""
Act = Callable[[Engine, str, int, Given], tuple[Said, Ballot | None]]
"""Does what a form of this seat and set asks for; with it comes what is next, where it is known."""
Telling = Callable[[Ballot], Told]
"""What to say on a screen, once it is known where its seat stands."""


def enter(request: Request) -> Response:
    """GET with a token: keeps the seat in a cookie, and leads to an address without the token.

    Another page's link asks first: it could seat somebody in another's place without a word.
    """
    token = request.query_params[SEAT]

    def kept(engine: Engine) -> Response:
        shown = ballots.ballot(engine, token)
        if request.headers.get("sec-fetch-site", "none") not in _OWN_WISH:
            return plain(screens.asking(shown, f"/?{urlencode({SEAT: token})}"))
        response = RedirectResponse(PAGE, status_code=303)
        seat.keep(request, response, token)
        return response

    return _guarded(request, token, kept)


def _show(request: Request) -> Response:
    """GET: what comes next on this seat."""
    token = seat.token_of(request)
    return _guarded(
        request, token, lambda engine: _shown(engine, token, _told(request.query_params))
    )


def _shown(
    engine: Engine, token: str, told: Telling, known: Ballot | None = None, status: int = 200
) -> Response:
    shown = known or ballots.ballot(engine, token)
    return plain(screens.screen(shown, token, now(), told(shown)), status)


def _guarded(request: Request, token: str, work: Callable[[Engine], Response]) -> Response:
    response = _checked(request, token, work)
    response.headers["Referrer-Policy"] = "no-referrer"
    response.headers["Cache-Control"] = "no-store"
    return response


def _checked(request: Request, token: str, work: Callable[[Engine], Response]) -> Response:
    """Do it for a seat that is known and does not ask too often; say what is wrong otherwise."""
    if not token:
        return plain(screens.message("This phone does not know your seat", screens.LOST), 403)
    if seat.is_too_fast(request, token):
        return _wait(429, "One moment", _BUSY)
    try:
        response = work(database())
    except NotFoundError:
        seat.turn_away(request)
        return plain(screens.message("This link is not known", screens.UNKNOWN), 404)
    except StoreError:
        return _wait(503, "Please wait", _FAILED)
    seat.welcome(token)
    return response


def _wait(status: int, heading: str, lines: tuple[str, ...]) -> Response:
    response = plain(screens.message(heading, lines, again=True), status)
    response.headers["Retry-After"] = "2"
    return response


def _told(asked: Mapping[str, str]) -> Telling:
    """What the address says about the form before: it is believed only where it can be true."""

    def told(shown: Ballot) -> Told:
        if asked.get("other"):
            return Told(wrong=screens.OTHERS)
        before = shown.replicate - 1 if shown.codes else shown.replicate
        if asked.get("late") == str(before) and before:
            return Told(
                late=f"Set {before} was already answered, on another screen or on paper; the "
                "first answer counts."
            )
        if asked.get("late") == "place" and shown.position:
            place = "You had already chosen a place; the first one counts."
            return Told(late=place)
        return Told()

    return told


def _form(stage: str, act: Act) -> Route:
    """The address of a form, which does this and leads to the page."""

    def answered(request: Request, given: Given) -> Response:
        token = seat.token_of(request)
        stays = request.headers.get(_STAYS) == "1"

        def work(engine: Engine) -> Response:
            done = _acted(engine, token, given, stage, act)
            if isinstance(done, Response):
                return done
            said, following = done
            if not stays:
                return _on(**said)
            # The ballot's script goes on in place, so it is spared the way there and back.
            return _shown(engine, token, _told(said), following)

        return _guarded(request, token, work)

    return Route(f"{PAGE}/{stage}", posted(answered), methods=["POST"])


def _acted(
    engine: Engine, token: str, given: Given, stage: str, act: Act
) -> Response | tuple[Said, Ballot | None]:
    number = _number(given.get("set", ""))
    if not seat.fits(token, f"{stage}-{number}" if number else stage, given.get("key", "")):
        ballots.ballot(engine, token)  # raises NotFoundError where the seat itself is unknown
        return {"other": "1"}, None
    try:
        return act(engine, token, number, given)
    except NotFoundError:
        raise
    except LifeCycleError:
        return {}, None
    except InputError as error:
        text = str(error)
        told = Told("", text[:1].upper() + text[1:] + ".", *_typed(given))
        return _shown(engine, token, lambda _: told, status=422)


def _on(**said: str) -> Response:
    return RedirectResponse(f"{PAGE}?{urlencode(said)}" if said else PAGE, status_code=303)


def _number(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 5 else 0


def _typed(given: Given) -> tuple[str, str, str]:
    choice, sure = given.get("choice", "").strip()[:60], given.get("sure", "")
    return choice, sure if sure in SURENESS else "", given.get("remark", "")[:_LONGEST_REMARK]


def _begin(engine: Engine, token: str, _: int, given: Given) -> tuple[Said, None]:
    if not given.get("agreed"):
        raise InputError("tick the box first, or tell the host that you do not want to taste")
    ballots.consent(engine, token, now())
    return {}, None


def _stop(engine: Engine, token: str, _: int, given: Given) -> tuple[Said, None]:
    ballots.withdraw(engine, token, now())
    return {}, None


def _place(engine: Engine, token: str, number: int, given: Given) -> tuple[Said, None]:
    chosen = _number(given.get("place", ""))
    if ballots.record_position(engine, token, number, chosen, now()):
        return {}, None
    again = ballots.place_given(engine, token, number) == chosen
    return {} if again else {"late": "place"}, None


def _answer(engine: Engine, token: str, number: int, given: Given) -> tuple[Said, Ballot]:
    choice, said, typed = _typed(given)
    if not choice:
        raise InputError("choose one first; if you are not sure, choose all the same")
    sent = {"choice": choice, "sure": SURENESS.get(said), "remark": tidy(typed).strip()}
    answer = {"replicate": number, "given_at": now(), **sent}
    kept, following = ballots.answer_and_go_on(engine, token, answer)
    if kept:
        return {}, following
    before = ballots.answer_given(engine, token, number)
    # The same answer sent again, because its receipt was lost: what is kept is what was sent.
    again = before is not None and all(getattr(before, name) == sent[name] for name in sent)
    return {} if again else {"late": str(number)}, following


ROUTES = (
    Route(PAGE, shown(_show), methods=["GET"]),
    _form("begin", _begin),
    _form("place", _place),
    _form("answer", _answer),
    _form("stop", _stop),
    # A page that was shown in answer to a form is loaded again by its own address.
    Route(PAGE + "/{form}", lambda _: _on(), methods=["GET"]),
)
