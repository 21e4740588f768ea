"""The pour sheet, which is the key, behind a door of its own.

It asks for the pourer's code or the host's passphrase and who reads it; each time that the sheet is
shown goes on record. A pass of half an hour opens it again, until it is put away.
"""

import re

from sqlalchemy import Engine
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from tasting.drink.batch import Kit
from tasting.errors import InputError, NotFoundError, StoreError, TastingError
from tasting.records import now
from tasting.report.cup_labels import label_stacks_html
from tasting.report.links import POUR
from tasting.report.pour_sheet import pour_sheet, pour_sheet_html
from tasting.store import formulas, pourer_passes, sessions
from tasting.store.database import database
from tasting.store.pourer_passes import Pourer
from tasting.store.scale import scale_step_g
from tasting.store.sessions import Summary
from tasting.web.host import client_of, may_try
from tasting.web.host_files import labels
from tasting.web.rendering import fault, page, plain, printed
from tasting.web.requests import Given, check_origin, over_https, posted, shown

COOKIE = "tasting_pourer"
_PAGE = "/pour"


def enter(request: Request) -> Response:
    """GET of the link as it was before it had an address of its own."""
    return RedirectResponse(f"{_PAGE}/{_quoted(request.query_params[POUR])}", status_code=303)


def _quoted(session_id: str) -> str:
    return re.sub(r"[^A-Za-z0-9_.-]", "", session_id)


def _show(request: Request) -> Response:
    """GET: the sheet for who holds a pass, else the door."""
    try:
        engine, known = _open_session(request)
        pourer = _pourer(engine, request)
        if pourer is None:
            return _door(known)
        key = sessions.pour_sheet(engine, known.id, now(), pourer.reader)
        sheet = pour_sheet(
            key, formulas.compared(engine, key), Kit(scale_step_g=scale_step_g(engine))
        )
        return printed(pour_sheet_html(sheet, address=f"{_PAGE}/{known.id}"))
    except TastingError as error:
        return _said(error)


def _show_labels(request: Request) -> Response:
    """GET: labels for the cups, for who holds a pass."""
    try:
        engine, known = _open_session(request)
        pourer = _pourer(engine, request)
        if pourer is None:
            return RedirectResponse(f"{_PAGE}/{known.id}", status_code=303)
        if known.plan.alone:
            key = sessions.pour_sheet(engine, known.id, now(), pourer.reader)
            return printed(label_stacks_html(key))
        return printed(labels(engine, known.id))
    except TastingError as error:
        return _said(error)


def _ask(request: Request, given: Given) -> Response:
    """POST: who it is and the code; the right one leads to the sheet."""
    try:
        client = client_of(database(), request)
        if not may_try(client):
            return fault("too many attempts from this address; wait a minute", 429, "Please wait")
        engine, known = _open_session(request)
        try:
            check_origin(request.headers)
            reader, code = given.get("reader", ""), given.get("code", "")
            allowed = pourer_passes.admit(engine, known.id, reader, code, now(), client)
        except InputError as error:
            return _door(known, str(error), given.get("reader", ""))
    except TastingError as error:
        return _said(error)
    response = RedirectResponse(f"{_PAGE}/{known.id}", status_code=303)
    _keep(request, response, known.id, allowed)
    return response


def _put_away(request: Request, _: Given) -> Response:
    """POST: the pass ends in this browser."""
    session_id = _quoted(request.path_params["session_id"])
    response = RedirectResponse(f"{_PAGE}/{session_id}", status_code=303)
    response.delete_cookie(COOKIE, path=f"{_PAGE}/{session_id}", httponly=True, samesite="strict")
    return response


def _door(known: Summary, said: str = "", reader: str = "") -> Response:
    """The form that asks; `said` is why it asks again."""
    html = page(
        "pour_door.html",
        alone=known.plan.alone,
        action=f"{_PAGE}/{known.id}",
        said=said[:1].upper() + said[1:],
        reader=reader,
    )
    return plain(html, 403 if said else 200)


def _open_session(request: Request) -> tuple[Engine, Summary]:
    engine = database()
    known = sessions.summary(engine, request.path_params["session_id"])
    if known.state != "open":
        raise InputError("this session is not open, so there is nothing to pour")
    return engine, known


def _pourer(engine: Engine, request: Request) -> Pourer | None:
    held = request.cookies.get(COOKIE, "")
    return pourer_passes.pourer_of(engine, request.path_params["session_id"], held, now())


def _keep(request: Request, response: Response, session_id: str, allowed: str) -> None:
    lasts = int(pourer_passes.LASTS.total_seconds())
    path, secure = f"{_PAGE}/{session_id}", over_https(request)
    response.set_cookie(
        COOKIE, allowed, lasts, path=path, httponly=True, samesite="strict", secure=secure
    )


def _said(error: TastingError) -> Response:
    if isinstance(error, StoreError):
        return fault(str(error), 503)
    if isinstance(error, NotFoundError):
        return fault("this link is not known; ask the host for it", 404, "Pour sheet")
    return fault(str(error), 404, "Pour sheet")


ROUTES = (
    Route(_PAGE + "/{session_id}", shown(_show), methods=["GET"]),
    Route(_PAGE + "/{session_id}", posted(_ask), methods=["POST"]),
    Route(_PAGE + "/{session_id}/labels", shown(_show_labels), methods=["GET"]),
    Route(_PAGE + "/{session_id}/away", posted(_put_away), methods=["POST"]),
)
