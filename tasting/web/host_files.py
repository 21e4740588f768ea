"""What the host prints for a session, by address: labels, seat cards, ballots, batches, a report.

The first four do not tell which code is which sample, and a report is made of a closed session
only. Most depend on the serving key, so all are made for a signed-in host alone, at the moment
they are asked for, and kept nowhere.
"""

from collections.abc import Callable, Mapping

from sqlalchemy import Engine
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from tasting.drink.batch import Kit
from tasting.errors import NotFoundError, StoreError, TastingError
from tasting.report.cup_labels import cup_labels_html
from tasting.report.links import PRINT, TICKET, seat_link
from tasting.report.paper_ballots import paper_ballots_html
from tasting.report.seat_cards import seat_cards_html
from tasting.report.session_batches import session_batches, session_batches_html
from tasting.report.session_report import session_report_html
from tasting.store import ballots, formulas, sessions
from tasting.store.database import database
from tasting.store.limits import host_limits
from tasting.store.paper import slips
from tasting.store.scale import scale_step_g
from tasting.store.todays_finding import todays_finding
from tasting.web.host import keep_ticket, secret_behind_links
from tasting.web.rendering import fault, printed
from tasting.web.requests import own_address, shown
from tasting.web.sign_in_form import redirect_to_sign_in

Made = Callable[[Engine, str, bytes, str], str]
"""The HTML for a session, from the secret behind its links and the address that phones reach."""


def labels(engine: Engine, session_id: str, _secret: bytes = b"", _address: str = "") -> str:
    """Labels to cut out; they do not tell what is in a cup."""
    known = sessions.summary(engine, session_id)
    return cup_labels_html(known.name, slips(engine, session_id), invented=bool(known.invented))


def _cards(engine: Engine, session_id: str, secret: bytes, address: str) -> str:
    """For each assessor the QR code of their ballot."""
    tokens = ballots.links(engine, session_id, secret)
    known = sessions.summary(engine, session_id)
    seats = {who: seat_link(address, token) for who, token in tokens.items()}
    return seat_cards_html(known.name, seats, invented=bool(known.invented))


def _paper(engine: Engine, session_id: str, _secret: bytes, _address: str) -> str:
    """A ballot for each set."""
    known, country = sessions.summary(engine, session_id), host_limits(engine).country
    cups, invented = slips(engine, session_id), bool(known.invented)
    return paper_ballots_html(known.sealed, known.plan, cups, country, invented=invented)


def _report(engine: Engine, session_id: str, _secret: bytes = b"", _address: str = "") -> str:
    """The report of a closed session. Raises SealedError before."""
    session = sessions.closed_session(engine, session_id)
    a, b = formulas.compared(engine, session)
    return session_report_html(session, todays_finding(engine, session), a, b)


def _batches(engine: Engine, session_id: str, _secret: bytes = b"", _address: str = "") -> str:
    """What to make of both samples; it rests on the plan alone, so it tells no code."""
    known = sessions.summary(engine, session_id)
    drinks = (formulas.drink(engine, known.plan.a), formulas.drink(engine, known.plan.b))
    made = session_batches(known.plan, drinks, Kit(scale_step_g=scale_step_g(engine)))
    invented = known.invented or formulas.invented(engine, {known.plan.a.id, known.plan.b.id})
    return session_batches_html(known.name, invented, known.plan, made)


_FILES: Mapping[str, Made] = {
    "labels": labels,
    "cards": _cards,
    "ballots": _paper,
    "batches": _batches,
    "report": _report,
}


def _show(request: Request) -> Response:
    """GET: one of them."""
    session_id, kind = request.path_params["session_id"], request.path_params["kind"]
    if TICKET in request.query_params:
        response = RedirectResponse(request.url.path, status_code=303)
        keep_ticket(request, response, request.query_params[TICKET])
        return response
    try:
        engine = database()
        secret = secret_behind_links(engine, request)
        if secret is None:
            return redirect_to_sign_in(request.url.path)
        if kind not in _FILES:
            raise NotFoundError(f"there is nothing to print that is called {kind!r}")
        return printed(_FILES[kind](engine, session_id, secret, own_address(request)))
    except StoreError as error:
        return fault(str(error), 503)
    except TastingError as error:
        return fault(str(error), 404, "Nothing to print")


ROUTES = (Route(f"{PRINT}/{{session_id}}/{{kind}}", shown(_show), methods=["GET"]),)
