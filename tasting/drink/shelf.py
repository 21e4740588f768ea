"""The shelf: every ingredient that a recipe may name, and how a name on paper finds it.

A name is certain only when it is the ingredient's own, another name of it, or the same but for
spelling that carries no meaning (case, accents, plurals, "fresh"). Whatever is only alike is
offered, never taken: malic and maleic acid differ by one letter.
"""

import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from rapidfuzz import fuzz, process

from tasting.drink.pantry import Ingredient, aliases

Known = Mapping[str, Ingredient]
"""Ingredients by the name that is shown."""

# Words that say how an ingredient is bought or held, and not what it is.
_IDLE: Final = frozenset(
    [
        "fresh",
        "freshly",
        "squeezed",
        "pressed",
        "cold",
        "chilled",
        "iced",
        "homemade",
        "house",
        "good",
        "quality",
        "the",
        "of",
    ]
)
_ALIKE, _OFFERED = 70.0, 3
# Of 100 by the weighted ratio of rapidfuzz; below it names only share letters. A judgement.


@dataclass(frozen=True, slots=True)
class Shelf:
    """What can be named: by exact name, by name without spelling, and all names to compare with."""

    known: Known
    exactly: Mapping[str, str]
    loosely: Mapping[str, tuple[str, ...]]

    def find(self, name: str) -> tuple[str, ...]:
        """The shown names that this name certainly stands for: one, or several of one name."""
        wanted = name.strip()
        if wanted.casefold() in self.exactly:
            return (self.exactly[wanted.casefold()],)
        for spelled in _spellings(wanted):
            if spelled in self.loosely:
                return self.loosely[spelled]
        return ()

    def alike(self, name: str) -> tuple[str, ...]:
        """The shown names that are spelled most like it, the best first; none where none is."""
        close = process.extract(
            _plain(name), self.loosely.keys(), scorer=fuzz.WRatio, score_cutoff=_ALIKE, limit=8
        )
        shown = (name for spelled, _, _ in close for name in self.loosely[spelled])
        return tuple(dict.fromkeys(shown))[:_OFFERED]

    def mentioned(self, text: str) -> str:
        """The shown name of what stands in a text, as whole words; empty where nothing does."""
        plain = f" {_plain(text)} "
        found = [name for name in self.loosely if f" {name} " in plain]
        return self.loosely[max(found, key=len)][0] if found else ""


def shelf(known: Known) -> Shelf:
    """The shelf that holds these ingredients."""
    loosely: dict[str, list[str]] = defaultdict(list)
    for shown, item in known.items():
        for name in _names(shown, item):
            if shown not in loosely[_plain(name)]:
                loosely[_plain(name)].append(shown)
    heads: dict[str, list[str]] = defaultdict(list)
    for shown in known:
        heads[_plain(shown.partition(",")[0])].append(shown)
    return Shelf(
        known,
        {shown.casefold(): shown for shown in known},
        {name: tuple(shown) for name, shown in ({**heads, **loosely}).items() if name},
    )


def _names(shown: str, item: Ingredient) -> Iterator[str]:
    """Its shown name, and its other names where the pantry's own item stands under it."""
    yield shown
    if shown == item.name and item.key in aliases():
        yield item.key
        yield from aliases()[item.key]


def _spellings(name: str) -> Iterator[str]:
    """The name, without what stands in brackets, and up to its first comma."""
    bare = re.sub(r"\([^)]*\)", " ", name)
    for spelling in (name, bare, bare.partition(",")[0]):
        yield _plain(spelling)


def _plain(name: str) -> str:
    """Small letters and digits without accents, plurals and idle words."""
    letters = unicodedata.normalize("NFKD", name.casefold())
    words = re.findall(r"[a-z0-9]+", "".join(c for c in letters if not unicodedata.combining(c)))
    return " ".join(_singular(word) for word in words if word not in _IDLE)


def _singular(word: str) -> str:
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word
