"""What stands on screen, on paper and in the terminal is said in plain words, one for one thing."""

import ast
import re
from collections.abc import Iterator

import pytest

from tests.sources import MODULES, ROOT, text, tree

TEMPLATES = sorted([*ROOT.glob("tasting/**/*.html"), *ROOT.glob("tasting/**/*.md")])
RANGE = r"(?:\d|\}|∞|%) to (?:\d|\{|−|∞)"

BANNED = {
    r"\bfor ever\b": "say permanently",
    r"\bis told\b|\bwere told\b": "say says, shows, or who tells whom",
    r"\bhang together\b": "say are not independent",
    r"\bwith which\b": "turn the sentence round",
    r"\bso many\b": "say the number itself",
    r"\bas it likes\b": "say free",
    r"\bwhat limits\b": "say Limitations",
    r"\bkept\b": "say saved",
    r"\bkeep (?:this|these|the) (?:move|answers?|version|session)": "say save",
    r"(?<!-)\bd-prime\b": "write d′",
    r"\btasters?\b": "say assessor",
    r"\bof my own will\b": "say voluntarily",
    r"\byour own log\b|\bkey can be read\b": "it misleads",
    r"\bturning round\b": "name the test",
    r"\bshould be right\b|\bright answers?\b": "say correct",
    r"\bmost told by\b|\bnats\b|\bthousandths\b": "no unit of information on screen",
    r"\bbest liked\b": "write best-liked",
    r"(?:string|input) should|field required": "say it in our words, not pydantic's",
}
"""What is not said, and what to say for it."""

OF_TWO_THINGS = {
    "top with {} to {}",  # a line of a recipe, as it is typed
    "top with {} to {} {}",
    "up to what? Write, for example, top with {} to 225 mL",
    "Copied {} to {} ({} bytes).",
    "{} to {}",  # a version and its goals
}
"""Texts where "to" is between two things, not between the ends of a range."""


def strings(path_tree: ast.Module) -> Iterator[str]:
    """Texts of a module with a space in them, but docstrings; what is filled in as {}."""
    inside, alone = set(), set()
    for node in ast.walk(path_tree):
        if isinstance(node, ast.JoinedStr):
            inside |= {id(value) for value in node.values}
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            alone.add(id(node.value))
    for node in ast.walk(path_tree):
        if isinstance(node, ast.JoinedStr):
            parts = [getattr(value, "value", None) for value in node.values]
            yield "".join(part if isinstance(part, str) else "{}" for part in parts)
        elif (
            isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and id(node) not in inside | alone
            and " " in node.value.strip()
        ):
            yield node.value


def lines(markup: str) -> Iterator[str]:
    """The lines of a template without its style and without what the template fills in."""
    plain = re.sub(
        r"<style>.*?</style>|\{% block style %\}.*?\{% endblock %\}", "", markup, flags=re.S
    )
    filled = re.sub(r"\{\{.*?\}\}", "{}", re.sub(r"\{%.*?%\}", "", plain, flags=re.S), flags=re.S)
    yield from (line.strip() for line in filled.splitlines())


def ranges(said: str) -> bool:
    """Whether a range stands in a text with "to"; "from 3 to 5" is a sentence."""
    found = re.search(RANGE, said)
    return bool(found) and said not in OF_TWO_THINGS and "from " not in said[: found.start()]


def told(name: str) -> list[str]:
    """Every text of a module or template."""
    if name in MODULES:
        return list(strings(tree(MODULES[name])))
    return list(lines(text(ROOT / name)))


PLACES = [
    *(name for name in MODULES if "migrations" not in name),
    *(str(path.relative_to(ROOT)) for path in TEMPLATES),
]


@pytest.mark.parametrize("place", PLACES)
def test_no_page_print_or_command_says_what_has_a_plainer_word(place: str) -> None:
    found = [
        f"{said!r}: {instead}"
        for said in told(place)
        for word, instead in BANNED.items()
        if re.search(word, said, re.IGNORECASE)
    ]

    assert found == []


@pytest.mark.parametrize("place", PLACES)
def test_a_range_has_an_en_dash_and_per_cent_a_space(place: str) -> None:
    said = told(place)

    assert [one for one in said if ranges(one)] == []
    assert [one for one in said if re.search(r"\d%(?![;\w])", one)] == []


@pytest.mark.parametrize(
    ("said", "seen"),
    [
        ("5 to 77 %", True),
        ("{} to {} g", True),
        ("−∞ to −0.5", True),
        ("from 3 to 5", False),
        ("top with {} to {}", False),
        ("5–77 %", False),
    ],
)
def test_a_range_is_seen(said: str, seen: bool) -> None:
    assert ranges(said) is seen


def test_texts_are_seen_with_what_is_filled_in() -> None:
    source = ast.parse('"""Doc string."""\nx = f"It is {told} for ever"\ny = "kept here"\n')

    assert list(strings(source)) == ["It is {} for ever", "kept here"]


def test_of_a_template_the_text_is_seen_alone() -> None:
    page = "<style>a { width: 5%; }</style>\n<p>{{ n }} to {{ m }}</p>"

    assert list(lines(page)) == ["", "<p>{} to {}</p>"]
