"""The mends to Streamlit's server, each against the class that it mends."""

import inspect
from types import SimpleNamespace
from unittest.mock import Mock

import pytest
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from streamlit.proto.WidgetStates_pb2 import WidgetStates
from streamlit.runtime import app_session, runtime
from streamlit.runtime.pages_manager import PagesManager
from streamlit.runtime.scriptrunner import script_runner
from streamlit.runtime.state.safe_session_state import SafeSessionState
from streamlit.watcher import local_sources_watcher
from streamlit.watcher.path_watcher import NoOpPathWatcher

from tasting.web.streamlit_patches import apply_patches


@pytest.fixture(autouse=True)
def mended() -> None:
    apply_patches()


def test_a_phone_that_reconnects_starts_no_search_for_source_files(monkeypatch) -> None:
    looked_at: list[object] = []
    # As `server.fileWatcherType` none: a real one watches this folder from a thread, for ever.
    monkeypatch.setattr(local_sources_watcher, "PathWatcher", NoOpPathWatcher)
    monkeypatch.setattr(local_sources_watcher, "get_module_paths", looked_at.append)
    watcher = local_sources_watcher.LocalSourcesWatcher(PagesManager("streamlit_app.py"))
    watcher.update_watched_modules()

    assert looked_at == []


def test_a_tap_is_applied_even_if_another_one_has_come() -> None:
    state, another_has_come = Mock(), Mock(side_effect=AssertionError)
    tapped = WidgetStates()
    SafeSessionState(state, another_has_come).on_script_will_rerun(tapped)

    state.on_script_will_rerun.assert_called_once_with(tapped)


def test_a_message_goes_to_the_connection_that_the_session_has_now() -> None:
    session = SimpleNamespace(id="one")
    lost, present = (SimpleNamespace(session=session, client=Mock()) for _ in range(2))
    server = SimpleNamespace(_session_mgr=Mock())
    server._session_mgr.get_active_session_info.return_value = present
    message = ForwardMsg()
    runtime.Runtime._send_message(server, lost, message)

    present.client.write_forward_msg.assert_called_once_with(message)
    lost.client.write_forward_msg.assert_not_called()


@pytest.mark.parametrize(
    ("caller", "call"),
    [
        (app_session, ".update_watched_modules()"),
        (script_runner, "_session_state.on_script_will_rerun("),
        (runtime, "self._send_message(active_session_info, msg)"),
    ],
)
def test_streamlit_still_calls_what_is_mended(caller, call: str) -> None:
    assert call in inspect.getsource(caller)
