"""What a page shows, as text."""

import re
from html.parser import HTMLParser

import pandas as pd
from streamlit.testing.v1 import AppTest

ESCAPED = re.compile(r"\\([^A-Za-z0-9\s])")


def sent(page: AppTest) -> str:
    """Everything that the page sends to the browser, apart from ids that are drawn at random."""
    messages = "\n".join(str(getattr(node, "proto", "")) for node in page.main)
    return re.sub(r'(deferred_file_id|id): ".*"', "", messages)


def read(page: AppTest) -> str:
    """The headings and sentences of a page as they read."""
    kinds = (page.title, page.header, page.subheader, page.markdown, page.caption, page.info)
    return ESCAPED.sub(r"\1", "\n".join(node.value for kind in kinds for node in kind))


class _Tables(HTMLParser):
    """The tables of HTML as a browser reads them: rows of cells, the first of them the heads."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[list[list[str]]] = []
        self.cell = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "table":
            self.rows.append([])
        elif tag == "tr":
            self.rows[-1].append([])
        self.cell = tag in {"th", "td"}
        if self.cell:
            self.rows[-1][-1].append("")

    def handle_endtag(self, tag: str) -> None:
        self.cell = self.cell and tag not in {"th", "td"}

    def handle_data(self, data: str) -> None:
        if self.cell:
            self.rows[-1][-1][-1] += data


def tables_in(html: str) -> list[pd.DataFrame]:
    """The tables of some HTML."""
    found = _Tables()
    found.feed(html)
    return [pd.DataFrame(rows, columns=heads) for heads, *rows in found.rows]


def tables(page: AppTest) -> list[pd.DataFrame]:
    """The tables of a page for reading, from the top."""
    bodies = [node.proto.body for node in page.get("html")]
    return [table for body in bodies if 'class="reading"' in body for table in tables_in(body)]


def tabled(page: AppTest) -> str:
    """The tables of a page, cell by cell."""
    return "\n".join(table.to_csv(index=False) for table in tables(page))


def linked(page: AppTest) -> dict[str, str]:
    """Label and address of the page's links."""
    links = [node.proto for node in page.get("page_link")]
    return {link.label: f"{link.page}?{link.query_string}".rstrip("?") for link in links}
