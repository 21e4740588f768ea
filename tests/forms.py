"""The forms on a page of ours, as a browser without a script sees them."""

from dataclasses import dataclass, field
from html.parser import HTMLParser


@dataclass
class Form:
    """One form: where it goes, what it would send, and what can be chosen or pressed in it.

    must: the names of fields that the browser wants filled before it sends the form
    """

    action: str
    method: str
    values: dict[str, str] = field(default_factory=dict)
    options: dict[str, list[str]] = field(default_factory=dict)
    buttons: list[str] = field(default_factory=list)
    must: set[str] = field(default_factory=set)

    def filled(self, **given: str) -> dict[str, str]:
        """What is sent when these fields are filled in and these options chosen."""
        offered = {*self.values, *self.options}
        assert given.keys() <= offered, f"{given} where only {offered} is asked"
        return {**self.values, **given}


class Reader(HTMLParser):
    """Collects the forms and the text of a page."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self.texts: list[str] = []
        self.headings: list[str] = []
        self.roles: dict[str, str] = {}
        self._inside: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag not in ("input", "meta", "link", "img", "br"):
            self._inside.append(given.get("role") or tag)
        if tag == "form":
            self.forms.append(Form(given["action"], given["method"]))
        if tag == "input":
            self._input(given)
        if tag == "button" and "name" in given:
            self.forms[-1].options.setdefault(given["name"], []).append(given["value"])

    def _input(self, given: dict[str, str]) -> None:
        form, name, value = self.forms[-1], given["name"], given.get("value", "")
        if given["type"] in ("radio", "checkbox"):
            form.options.setdefault(name, []).append(value)
            if "checked" in given:
                form.values[name] = value
        else:
            form.values[name] = value
        if "required" in given:
            form.must.add(name)

    def handle_endtag(self, tag: str) -> None:
        if self._inside:
            self._inside.pop()

    def handle_data(self, data: str) -> None:
        around = self._inside[-1] if self._inside else ""
        said = " ".join(data.split())
        if not said or around in ("style", "script", "title"):
            return
        self.texts.append(said)
        if around == "h1":
            self.headings.append(said)
        if around == "button" and self.forms:
            self.forms[-1].buttons.append(said)
        if around in ("alert", "status", "timer"):
            self.roles[around] = said

    @property
    def text(self) -> str:
        """All that can be read."""
        return " ".join(self.texts)

    def form(self, action: str) -> Form:
        """The form that goes to this address."""
        return next(form for form in self.forms if form.action == action)
