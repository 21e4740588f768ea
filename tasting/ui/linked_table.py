"""A table whose rows open what they tell of; on a phone each row becomes a short paragraph.

Streamlit's own tables open links in another tab, or draw on a canvas that no screen reader reads.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

import streamlit as st
from markupsafe import Markup

from tasting.ui.pages import AppPage

# Roles are said, because a row that is laid out as a paragraph would lose them.
_STYLE = Markup("""<style>
.linked { width: 100%; border-collapse: collapse; }
.linked caption { position: absolute; width: 1px; height: 1px; overflow: hidden; }
.linked th { text-align: left; font-weight: 600; color: var(--soft); font-size: 0.875rem; }
.linked th, .linked td { padding: 0 0.75rem 0 0; border-bottom: 1px solid var(--line); }
.linked td { vertical-align: middle; height: 46px; }
.linked td:first-child { white-space: nowrap; }
.linked .soft { color: var(--soft); font-size: 0.875rem; }
.linked a { display: flex; align-items: center; min-height: 44px; color: var(--bay); }
@media (max-width: 640px) {
  .linked thead { position: absolute; width: 1px; height: 1px; overflow: hidden; }
  .linked, .linked tbody { display: block; }
  .linked tr { display: block; border-bottom: 1px solid var(--line); padding: 0.4rem 0; }
  .linked td { border: 0; padding: 0; height: auto; }
  .linked .soft { display: inline; margin-right: 0.5rem; }
  .linked .opens { display: block; }
  .linked .told { font-size: 0.875rem; line-height: 1.35; }
  .linked .told { display: -webkit-box; -webkit-box-orient: vertical; -webkit-line-clamp: 2; }
  .linked .told { overflow: hidden; }
}
</style>""")


@dataclass(frozen=True, slots=True)
class LinkedRow:
    """A row: what stands before the name, the name, the page that it opens, and what is told.

    id: of the thing, in the address of that page
    """

    before: tuple[str, ...]
    name: str
    page: AppPage
    id: str
    told: str

    @property
    def address(self) -> str:
        """Where the name leads, seen from any page of the host."""
        return f"{self.page.address}?{urlencode({'id': self.id})}"


def linked_table(caption: str, header: Sequence[str], rows: Sequence[LinkedRow]) -> str:
    """The table as HTML; whatever was typed is shown as it was typed.

    caption: says what it holds, for those who listen
    """
    heads = Markup("").join(
        Markup('<th role="columnheader" scope="col">{}</th>').format(name) for name in header
    )
    return _STYLE + Markup(
        '<table class="linked" role="table"><caption>{}</caption>'
        '<thead role="rowgroup"><tr role="row">{}</tr></thead>'
        '<tbody role="rowgroup">{}</tbody></table>'
    ).format(caption, heads, Markup("").join(map(_row, rows)))


def _row(row: LinkedRow) -> Markup:
    before = Markup("").join(
        Markup('<td role="cell" class="soft">{}</td>').format(text) for text in row.before
    )
    return Markup(
        '<tr role="row">{}<td role="cell" class="opens"><a href="{}">{}</a></td>'
        '<td role="cell" class="told">{}</td></tr>'
    ).format(before, row.address, row.name, row.told)


def show_linked(caption: str, header: Sequence[str], rows: Sequence[LinkedRow]) -> None:
    """Shows the table."""
    st.html(linked_table(caption, header, rows))
