"""`python -m tasting` and `tasting`: the command line, quiet on Ctrl+C from the first moment on."""

import signal
import sys


def main() -> None:
    """Run the command that was typed, and exit."""
    # Until everything is imported there is nothing to tidy up, and no traceback helps anybody; the
    # same while Python ends.
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    from tasting.cli import INTERRUPTED, run

    try:
        signal.signal(signal.SIGINT, signal.default_int_handler)
        code = run(sys.argv[1:])
    except KeyboardInterrupt:
        code = INTERRUPTED
    finally:
        signal.signal(signal.SIGINT, signal.SIG_DFL)
    sys.exit(code)


if __name__ == "__main__":
    main()
