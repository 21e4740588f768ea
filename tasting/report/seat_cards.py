"""Cards to cut out: for each assessor the link to their ballot as a QR code."""

from collections.abc import Mapping
from dataclasses import dataclass

import segno

from tasting.report.printing import page


@dataclass(frozen=True, slots=True)
class Card:
    """One assessor's card; `picture` is the QR code of the link, as a data address."""

    assessor: str
    link: str
    picture: str


def seat_cards(links: Mapping[str, str]) -> tuple[Card, ...]:
    """The cards for these links by assessor."""
    return tuple(Card(who, link, _picture(link)) for who, link in links.items())


def _picture(link: str) -> str:
    return segno.make(link, error="m").svg_data_uri(border=2)


def seat_cards_html(session: str, links: Mapping[str, str], *, invented: bool = False) -> str:
    """The cards as an HTML page of its own, with lines to cut along."""
    return page("seat_cards.html", session=session, cards=seat_cards(links), invented=invented)
