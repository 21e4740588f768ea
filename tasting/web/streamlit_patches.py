"""Three patches of Streamlit's server, for many phones that tap fast and lose their connection.

Each was measured with `tests/faults/load_app.py`, which fails without the second one.
"""

from typing import Any

from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from streamlit.runtime.runtime import Runtime
from streamlit.runtime.session_manager import ActiveSessionInfo
from streamlit.runtime.state.safe_session_state import SafeSessionState
from streamlit.watcher.local_sources_watcher import LocalSourcesWatcher

_send = Runtime._send_message


def _watch_nothing(_: LocalSourcesWatcher) -> None:
    """Look for no files.

    Streamlit searches those of all modules whenever a phone reconnects, even though it watches none
    (`server.fileWatcherType`), for a tenth of a second in the one thread that serves everybody.
    """


def _apply_taps(self: SafeSessionState, *states: Any, **more: Any) -> None:
    """Take what was tapped before anything else.

    Streamlit first asks whether another tap has come and, if so, drops this one: of a changed
    choice and the tap on "Record this and go on" that follows at once, the change was lost.
    """
    with self._lock:
        self._state.on_script_will_rerun(*states, **more)


def _send_to_present(self: Runtime, info: ActiveSessionInfo, message: ForwardMsg) -> None:
    """Send to the connection that the session has now.

    Streamlit sends to the one that it had when the round of sending began; a phone that had come
    back meanwhile got nothing, and its page stood still until the next tap.
    """
    _send(self, self._session_mgr.get_active_session_info(info.session.id) or info, message)


def apply_patches() -> None:
    """Put all of them in place, before the server starts."""
    for owner, name, mended in (
        (LocalSourcesWatcher, "update_watched_modules", _watch_nothing),
        (SafeSessionState, "on_script_will_rerun", _apply_taps),
        (Runtime, "_send_message", _send_to_present),
    ):
        setattr(owner, name, mended)
