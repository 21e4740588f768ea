"""What a page shows, as text."""

import re

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


def tabled(page: AppTest) -> str:
    """The tables of a page, cell by cell."""
    return ESCAPED.sub(r"\1", "\n".join(table.value.to_csv(index=False) for table in page.table))


def linked(page: AppTest) -> dict[str, str]:
    """Label and address of the page's links."""
    links = [node.proto for node in page.get("page_link")]
    return {link.label: f"{link.page}?{link.query_string}".rstrip("?") for link in links}
