"""A phone without a browser: it sends what Streamlit's page sends and shows what that page shows.

Read from Chromium's traffic with Streamlit 1.67. The phone
- asks for the page, `/_stcore/health` and `/_stcore/host-config`, and keeps the cookie it is given;
- opens the WebSocket `/_stcore/stream` with its origin, that cookie, and as sub-protocols
  "streamlit", the cookie's value (against forgery from other sites) and, when it only lost the
  connection, its session's id;
- sends a ClientState on opening and on each tap: query of the address, hash of the page once it
  knows it, the browser's surroundings, and the value of every widget shown; a button's only when it
  is tapped, once;
- puts the deltas' elements at their places, and clears what a finished run did not send again;
- runs a fragment again as often as it was told to.
It loads no scripts or styles, and it draws nothing.
"""

import asyncio
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from http.cookies import SimpleCookie

from streamlit.proto.Alert_pb2 import Alert
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.Button_pb2 import Button
from streamlit.proto.ClientState_pb2 import ClientState
from streamlit.proto.Delta_pb2 import Delta
from streamlit.proto.Element_pb2 import Element
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from streamlit.proto.WidgetStates_pb2 import WidgetStates
from websockets.asyncio.client import ClientConnection, connect
from websockets.typing import Origin, Subprotocol

PATIENCE_SECONDS = 240
XSRF = "_streamlit_xsrf"
Place = tuple[int, ...]


@dataclass(frozen=True)
class Shown:
    """An element, the run of the script that sent it last, and its fragment."""

    element: Element | None
    run: str
    fragment: str


@dataclass
class Page:
    """What a browser's page shows, by place; a place without an element is a container."""

    session: str = ""
    script_hash: str = ""
    run: str = ""
    asked: bool = False
    """Whether a run was asked for that has not begun."""
    running: bool = False
    places: dict[Place, Shown] = field(default_factory=dict)
    again: dict[str, tuple[float, float]] = field(default_factory=dict)
    """Fragments to run again: how often, and when next."""

    def take(self, message: ForwardMsg) -> None:
        """Show what the server sent."""
        match message.WhichOneof("type"):
            case "new_session":
                self.begin(message)
            case "navigation":
                self.script_hash = message.navigation.page_script_hash
            case "delta":
                self.put(tuple(message.metadata.delta_path), message.delta)
            case "auto_rerun":
                every = message.auto_rerun.interval
                self.again[message.auto_rerun.fragment_id] = (every, time.monotonic() + every)
            case "stop_auto_rerun":
                for fragment in message.stop_auto_rerun.fragment_ids:
                    self.again.pop(fragment, None)
            case "script_finished" if message.metadata.run.script_run_id == self.run:
                self.finish(message.script_finished, set(message.metadata.run.fragment_ids))

    def begin(self, message: ForwardMsg) -> None:
        """A run of the script, or of a fragment, begins."""
        self.session = message.new_session.initialize.session_id
        self.asked, self.running = False, True
        self.run = message.metadata.run.script_run_id
        if not message.metadata.run.fragment_ids:
            self.again.clear()

    def put(self, place: Place, delta: Delta) -> None:
        """An element takes a place and all places below; a container leaves what is inside."""
        element = delta.new_element if delta.HasField("new_element") else None
        if element:
            inside = [other for other in self.places if other[: len(place)] == place]
            for other in inside:
                del self.places[other]
        if element or delta.HasField("add_block"):
            self.places[place] = Shown(element, self.run, delta.fragment_id)

    def finish(self, status: int, fragments: set[str]) -> None:
        """Clear what this run of the script, or of these fragments, did not send again."""
        early = status == ForwardMsg.FINISHED_EARLY_FOR_RERUN
        self.running = self.asked or early
        if early or status == ForwardMsg.FINISHED_WITH_COMPILE_ERROR:
            return
        self.places = {
            place: shown
            for place, shown in self.places.items()
            if shown.run == self.run or (fragments and shown.fragment not in fragments)
        }

    def elements(self) -> Iterator[Element]:
        """All elements, from the top of the page down."""
        for place in sorted(self.places):
            if element := self.places[place].element:
                yield element

    def texts(self) -> list[str]:
        """Headings and texts."""
        bodies = (
            getattr(element, str(element.WhichOneof("type"))).body
            for element in self.elements()
            if element.WhichOneof("type") in ("heading", "markdown")
        )
        return list(bodies)

    def buttons(self) -> dict[str, Button]:
        """Buttons by the plain part of their label; what is set small stands after it."""
        shown = (element.button for element in self.elements() if element.HasField("button"))
        return {button.label.partition(" :small[")[0]: button for button in shown}

    def alerts(self, kind: "Alert.Format.ValueType") -> list[str]:
        """The texts in coloured boxes of this kind."""
        shown = (element.alert for element in self.elements() if element.HasField("alert"))
        return [alert.body for alert in shown if alert.format == kind]

    def faults(self) -> list[str]:
        """What the page says to be wrong."""
        broken = (element for element in self.elements() if element.HasField("exception"))
        said = [element.exception.message for element in broken]
        return said + self.alerts(Alert.ERROR)


@dataclass
class Phone:
    """One phone, on one page of the app."""

    url: str
    query: str
    page: Page = field(default_factory=Page)
    ticked: set[str] = field(default_factory=set)
    socket: ClientConnection | None = None

    async def open(self, url: str = "") -> None:
        """Open the page, or open it anew: it knows nothing of what it showed before."""
        self.url = url or self.url
        self.page, self.ticked = Page(), set()
        await self.connect()

    async def come_back(self, url: str = "") -> None:
        """The same page after its connection was lost: it tells its session and its widgets."""
        self.url = url or self.url
        await self.connect()

    async def connect(self) -> None:
        """Connect, and ask for a run of the script."""
        self.drop()
        cookie = await asyncio.to_thread(self.fetch)
        session = [self.page.session] if self.page.session else []
        self.socket = await connect(
            f"ws{self.url.removeprefix('http')}/_stcore/stream",
            origin=Origin(self.url),
            subprotocols=[Subprotocol(one) for one in ("streamlit", cookie, *session)],
            additional_headers={"Cookie": f"{XSRF}={cookie}"},
            ping_interval=None,
            open_timeout=PATIENCE_SECONDS,
            proxy=None,
        )
        await self.send()

    def fetch(self) -> str:
        """Ask for the page, and for the cookie against forgery; the value of that."""
        cookie = ""
        for path in (f"/?{self.query}", "/_stcore/health", "/_stcore/host-config"):
            wanted = urllib.request.Request(self.url + path, headers={"Accept": "text/html, */*"})
            with urllib.request.urlopen(wanted, timeout=PATIENCE_SECONDS) as reply:
                reply.read()
                for header in reply.headers.get_all("Set-Cookie", []):
                    cookie = SimpleCookie(header)[XSRF].value
        return cookie

    def drop(self) -> None:
        """Lose the connection, without a word to the server."""
        if self.socket:
            self.socket.transport.abort()
            self.socket = None

    async def send(self, tapped: str = "", fragment: str = "") -> None:
        """Ask for a run of the script, or of a fragment."""
        state = ClientState(
            query_string=self.query,
            widget_states=self.widgets(tapped),
            page_script_hash=self.page.script_hash,
            fragment_id=fragment,
            is_auto_rerun=bool(fragment),
        )
        context = state.context_info
        context.timezone, context.timezone_offset, context.locale = "UTC", 0, "en-GB"
        context.url, context.is_embedded, context.color_scheme = f"{self.url}/", False, "light"
        assert self.socket
        self.page.asked = self.page.running = True
        await self.socket.send(BackMsg(rerun_script=state).SerializeToString())

    def widgets(self, tapped: str) -> WidgetStates:
        """The values of the widgets of the ballot, and the button that is tapped now."""
        states = WidgetStates()
        for element in self.page.elements():
            match element.WhichOneof("type"):
                case "checkbox":
                    id_ = element.checkbox.id
                    states.widgets.add(id=id_, bool_value=id_ in self.ticked)
                case "text_input":
                    states.widgets.add(id=element.text_input.id, string_value="")
                case "button_group":
                    group = states.widgets.add(id=element.button_group.id)
                    group.string_array_value.SetInParent()
        if tapped:
            states.widgets.add(id=tapped, trigger_value=True)
        return states

    async def tap(self, label: str) -> None:
        """Tap the button with this label; as in a browser it may be one of a run that goes on."""
        await self.send(self.page.buttons()[label].id)

    async def tick(self) -> None:
        """Tick the one box that is shown."""
        boxes = [
            element.checkbox for element in self.page.elements() if element.HasField("checkbox")
        ]
        (box,) = boxes
        self.ticked.add(box.id)
        await self.send()

    async def until(self, seen: Callable[[Page], bool]) -> None:
        """Receive until the page shows this. Raises RuntimeError with the page if it never does."""
        if not await self.within(PATIENCE_SECONDS, seen):
            shown = (*self.page.texts(), *self.page.buttons(), *self.page.faults())
            raise RuntimeError(f"in {PATIENCE_SECONDS} s the phone saw no more than {shown}")

    async def within(self, seconds: float, seen: Callable[[Page], bool]) -> bool:
        """Receive so long, or until the page shows this; whether it does."""
        with suppress(TimeoutError):
            async with asyncio.timeout(seconds):
                while not seen(self.page):
                    await self.receive()
        return seen(self.page)

    async def receive(self) -> None:
        """Take the next message, or run the fragments that are due."""
        assert self.socket
        due = min((next_ for _, next_ in self.page.again.values()), default=None)
        loop_due = (
            None if due is None else asyncio.get_running_loop().time() + due - time.monotonic()
        )
        try:
            async with asyncio.timeout_at(loop_due):
                frame = await self.socket.recv(decode=False)
        except TimeoutError:
            await self.run_again()
            return
        self.page.take(ForwardMsg.FromString(frame))

    async def run_again(self) -> None:
        """Run the fragments whose time has come."""
        now = time.monotonic()
        for fragment, (every, due) in list(self.page.again.items()):
            if due <= now:
                self.page.again[fragment] = (every, now + every)
                await self.send(fragment=fragment)
