"""`python -m tasting.web.start run SCRIPT --option=value`: the process that serves the app.

It is Streamlit's own command, quiet on Ctrl+C while it is still importing, and with the patience
that `connections` has.
"""

import signal
from contextlib import suppress

_OTHER_FILES = 300
"""Files that are open beside connections: the database, libraries while they load."""


def main() -> None:
    """Serve until stopped."""
    # Nothing is to be tidied up yet; once the server runs it has a handler of its own.
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})
    from streamlit.web.cli import main as streamlit
    from uvicorn.config import HTTP_PROTOCOLS

    from tasting.web import connections

    connections.most_open = _allow_files(connections.most_open + _OTHER_FILES) - _OTHER_FILES
    HTTP_PROTOCOLS["auto"] = "tasting.web.connections:ImpatientProtocol"
    streamlit(prog_name="streamlit")


def _allow_files(wanted: int) -> int:
    """How many files this process may open, after asking for so many."""
    try:
        import resource
    except ImportError:  # Windows, which has no such limit
        return wanted
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    if soft != resource.RLIM_INFINITY and soft < wanted:
        asked = wanted if hard == resource.RLIM_INFINITY else min(wanted, hard)
        with suppress(OSError, ValueError):
            resource.setrlimit(resource.RLIMIT_NOFILE, (asked, hard))
        soft = resource.getrlimit(resource.RLIMIT_NOFILE)[0]
    return wanted if soft == resource.RLIM_INFINITY else min(wanted, soft)


if __name__ == "__main__":
    main()
