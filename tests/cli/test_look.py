"""The look of the host's pages can be read, in both modes."""

from collections.abc import Mapping

import pytest

from tasting.cli.look import DARK, LIGHT

WHITE = "#FFFFFF"
TEXTS = (
    "textColor",
    "linkColor",
    "redColor",
    "greenColor",
    "blueColor",
    "orangeColor",
    "grayColor",
)


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour (WCAG 2.2, definition of "relative luminance")."""
    parts = (int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5))
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio (WCAG 2.2, definition of "contrast ratio")."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_ratio_is_that_of_the_guideline() -> None:
    """Black on white is 21:1; #767676 on white is known as the faintest grey that passes 4.5:1."""
    assert contrast("#000000", WHITE) == pytest.approx(21)
    assert contrast("#767676", WHITE) == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize("mode", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("behind", ["backgroundColor", "secondaryBackgroundColor"])
@pytest.mark.parametrize("text", TEXTS)
def test_every_text_passes(mode: Mapping[str, str], behind: str, text: str) -> None:
    """WCAG 2.2, 1.4.3: 4.5:1."""
    assert contrast(mode[text], mode[behind]) >= 4.5


@pytest.mark.parametrize("mode", [LIGHT, DARK], ids=["light", "dark"])
def test_the_words_on_a_main_button_pass(mode: Mapping[str, str]) -> None:
    """Streamlit writes them in white."""
    assert contrast(mode["primaryColor"], WHITE) >= 4.5
