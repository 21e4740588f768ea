"""How long the command line takes to start, beside the libraries that it needs.

    python -m tests.benchmarks.start_speed

Each line is the median of nine runs, turn by turn with its floor: a Python that imports the
libraries of that command and nothing of ours.
"""

import subprocess
import sys
from statistics import median
from time import perf_counter

_RUNS = 9
_TYPED = "import typer, rich.table"
_CASES = {
    "--help": (["--help"], _TYPED, 0.3),
    "size": (
        ["size", "triangle"],
        f"{_TYPED}, scipy.special, scipy.optimize, scipy.interpolate",
        0.5,
    ),
}


def _seconds(arguments: list[str]) -> float:
    began = perf_counter()
    subprocess.run([sys.executable, *arguments], stdout=subprocess.DEVNULL, check=True)
    return perf_counter() - began


def started(name: str) -> tuple[float, float]:
    """Seconds of the command of this name, and of its libraries alone."""
    arguments, imports, _ = _CASES[name]
    pairs = [
        (_seconds(["-m", "tasting", *arguments]), _seconds(["-c", imports])) for _ in range(_RUNS)
    ]
    ours, floor = (median(side) for side in zip(*pairs, strict=True))
    return ours, floor


ALLOWED_S = {name: allowed for name, (_, _, allowed) in _CASES.items()}


def main() -> None:
    """Print a line for each command."""
    for name, allowed in ALLOWED_S.items():
        ours, floor = started(name)
        print(
            f"tasting {name}: {ours:.2f} s; libraries alone {floor:.2f} s; "
            f"{ours - floor:+.2f} s (at most +{allowed} s)"
        )


if __name__ == "__main__":
    main()
