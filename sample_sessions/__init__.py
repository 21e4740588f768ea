"""The sample workshop: an invented drink, an invented panel, and the script that draws its answers.

Nothing here was measured or tasted. README.md in this folder describes the files and their format.
"""

from pathlib import Path

FOLDER = Path(__file__).parent
IN_ORDER = ("workshop.json", "closed_sessions.json", "planned_and_open.json")


def documents() -> list[Path]:
    """The JSON documents, drinks before the sessions that compare them: import them in this order.

    >>> [path.name for path in documents()]
    ['workshop.json', 'closed_sessions.json', 'planned_and_open.json']
    """
    return [FOLDER / name for name in IN_ORDER]
