"""Pages that the server renders itself, and the headers that each of them carries."""

import base64
import hashlib
import re
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.responses import HTMLResponse

from tasting.web.assets import asset

POLICY = (
    "default-src 'none'; style-src {style}; script-src 'self'; connect-src 'self'; "
    "img-src data:; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)
_STYLE = re.compile(r"<style>(.*?)</style>", re.DOTALL)


@cache
def _environment() -> Environment:
    made = Environment(
        loader=PackageLoader("tasting.web"),
        autoescape=True,
        auto_reload=False,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals["asset"] = asset
    return made


def page(template: str, **values: object) -> str:
    """The HTML of a template with these values; whatever somebody typed is shown as text."""
    return _environment().get_template(template).render(**values)


def plain(html: str, status: int = 200) -> HTMLResponse:
    """A page of ours as an answer: no script or style but our files, and kept by no cache."""
    headers = {"Content-Security-Policy": POLICY.format(style="'self'")}
    return HTMLResponse(html, status_code=status, headers={**headers, "Cache-Control": "no-store"})


def printed(html: str) -> HTMLResponse:
    """A page to print as an answer: it brings its style, which is allowed by its hash alone."""
    answer = plain(html)
    digests = (hashlib.sha256(style.encode()).digest() for style in _STYLE.findall(html))
    allowed = " ".join(f"'sha256-{base64.b64encode(one).decode()}'" for one in digests)
    answer.headers["Content-Security-Policy"] = POLICY.format(style=allowed)
    return answer


def fault(said: str, status: int, heading: str = "The database does not answer") -> HTMLResponse:
    """A page that says what is wrong."""
    return plain(page("fault.html", heading=heading, said=said[:1].upper() + said[1:]), status)
