"""A phone without scripts on an assessor's ballot: it reads a page, fills in its form, goes on."""

from dataclasses import dataclass, field

from tests.forms import Form, Reader
from tests.web.browsing import Browser, Reply

ANSWER, BEGIN, PLACE, STOP = (f"/ballot/{form}" for form in ("answer", "begin", "place", "stop"))


@dataclass
class BallotPhone:
    """One phone, and the page that it shows."""

    browser: Browser
    reply: Reply = field(default_factory=lambda: Reply(0, {}, ""))
    addresses: list[str] = field(default_factory=list)

    @property
    def page(self) -> Reader:
        return Reader(self.reply.text)

    @property
    def heading(self) -> str:
        return self.page.headings[0]

    @property
    def warning(self) -> str:
        """What is said before anything else, in a box; or nothing."""
        return self.page.roles.get("alert", "")

    def has(self, action: str) -> bool:
        """Whether the page holds the form that goes there."""
        return any(form.action == action for form in self.page.forms)

    def form(self, action: str) -> Form:
        return self.page.form(action)

    @property
    def codes(self) -> list[str]:
        """What can be chosen, in the order in which it is shown."""
        return self.form(ANSWER).options.get("choice", []) if self.has(ANSWER) else []

    def open(self, token: str) -> "BallotPhone":
        """Scan the QR code."""
        return self.go(f"/?seat={token}")

    def go(self, address: str) -> "BallotPhone":
        """Open an address, and follow where it leads."""
        return self._follow(self.browser.get(address, accept="text/html"), address)

    def reload(self) -> "BallotPhone":
        return self.go(self.addresses[-1])

    def send(self, action: str, given: dict[str, str], **headers: str) -> "BallotPhone":
        """Send a form as it is given here, and follow where it leads."""
        # As a browser does from a page with the policy "no-referrer".
        sent = {"origin": "null", **headers}
        return self._follow(self.browser.post(action, given, **sent), action)

    def fill(self, action: str, **given: str) -> "BallotPhone":
        """Fill in the form that is shown, and send it."""
        return self.send(action, self.form(action).filled(**given))

    def begin(self) -> "BallotPhone":
        return self.fill(BEGIN, agreed="yes")

    def answer(self, choice: str, **given: str) -> "BallotPhone":
        return self.fill(ANSWER, choice=choice, **given)

    def _follow(self, reply: Reply, address: str) -> "BallotPhone":
        self.addresses.append(address)
        while reply.status == 303:
            self.addresses[-1] = reply.headers["location"]
            reply = self.browser.get(reply.headers["location"], accept="text/html")
        self.reply = reply
        return self
