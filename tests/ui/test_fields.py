"""Number fields: what is understood is echoed, what is not is said, nothing typed is changed."""

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tasting.errors import InputError
from tasting.ui import fields
from tests.sources import CODE, faults, text


def one_field() -> None:
    import streamlit as st

    from tasting.ui import fields

    share = fields.number("Share", "share", 0.01, 0.99, 0.3)
    count = fields.number("Count", "count", 1, 60, 8, whole=True)
    cold = fields.optional_number("Cold", "cold", 80, smallest=-5)
    st.write(f"{share} {count} {cold}")


@pytest.fixture
def page() -> AppTest:
    return AppTest.from_function(one_field).run()


def read(page: AppTest) -> list[str]:
    return str(page.markdown[0].value).split()


def typed(page: AppTest, key: str, text: str) -> AppTest:
    return page.text_input(key=key).set_value(text).run()


def test_the_usual_values_stand_in_the_fields(page: AppTest) -> None:
    assert [page.text_input(key=key).value for key in ("share", "count", "cold")] == [
        "0.3",
        "8",
        "",
    ]
    assert read(page) == ["0.3", "8", "None"]


@pytest.mark.parametrize(
    ("text", "value", "echo"),
    [("0,5", "0.5", " (= 0.5)"), ("½", "0.5", " (= 0.5)"), ("1/4", "0.25", " (= 0.25)")]
    + [("0.5", "0.5", ""), (" 0.5", "0.5", "")],
)
def test_what_is_understood_is_echoed_and_stays_as_typed(
    page: AppTest, text: str, value: str, echo: str
) -> None:
    typed(page, "share", text)
    assert page.text_input(key="share").value == text
    assert page.text_input(key="share").label == f"Share{echo}"
    assert read(page)[0] == value
    assert not page.error


@pytest.mark.parametrize(
    ("key", "text", "why"),
    [
        ("share", "abc", "'abc' is not a number"),
        ("share", "", "nothing is written"),
        ("share", "1,5", "1.5 is not between 0.01 and 0.99"),
        ("share", "1,000", "can mean 1 or 1000"),
        ("count", "22,5", "'22,5' is not a whole number"),
        ("count", "61", "61 is not between 1 and 60"),
        ("cold", "−6", "−6 is not between −5 and 80"),
    ],
)
def test_what_is_not_understood_is_said_and_counts_as_not_read(
    page: AppTest, key: str, text: str, why: str
) -> None:
    typed(page, key, text)
    assert page.text_input(key=key).value == text
    assert why.casefold() in page.error[0].value.replace("\\", "").casefold()
    assert "nan" in read(page)


def test_an_empty_field_is_not_zero(page: AppTest) -> None:
    assert read(typed(page, "cold", "−0,5"))[2] == "-0.5"
    assert read(typed(page, "cold", " "))[2] == "None"


def test_a_number_that_was_not_read_is_never_saved() -> None:
    fields.require_read(1.0, None, 0)
    with pytest.raises(InputError, match="the note below it says why"):
        fields.require_read(1.0, fields.NOT_READ, None)


def number_fields(path: Path) -> list[str]:
    return [name for name in ("number_input(", "NumberColumn(") if name in text(path)]


def test_no_field_lets_the_browser_read_a_number() -> None:
    """A browser's own number field takes 22,5 for 225 or for nothing, by its language."""
    assert faults(CODE, number_fields) == {}
