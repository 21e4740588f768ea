"""The look of the host's pages, as options of Streamlit: warm paper, ink, bay green, rhubarb.

Both modes pass a contrast of 4.5:1 (WCAG 2.2, 1.4.3) for text; `tests/cli/test_look.py` holds it.
"""

import json
from collections.abc import Mapping

LIGHT: Mapping[str, str] = {
    "backgroundColor": "#FBF8F3",
    "secondaryBackgroundColor": "#F1EBE1",
    "textColor": "#2A2622",
    "primaryColor": "#1F6F5C",
    "linkColor": "#1F6F5C",
    "borderColor": "#E4DCCF",
    "redColor": "#A8324F",
    "greenColor": "#1F6F5C",
    "blueColor": "#2C6E9B",
    "orangeColor": "#9A5B00",
    "yellowColor": "#8A6100",
    "grayColor": "#655D53",
}
DARK: Mapping[str, str] = {
    "backgroundColor": "#191714",
    "secondaryBackgroundColor": "#2B2823",
    "textColor": "#F0EAE1",
    "primaryColor": "#28806A",
    "linkColor": "#79C9B1",
    "borderColor": "#3A352E",
    "redColor": "#EE8FA4",
    "greenColor": "#79C9B1",
    "blueColor": "#85BDE3",
    "orangeColor": "#E3AE5C",
    "yellowColor": "#E3AE5C",
    "grayColor": "#B3A99B",
}
_CHART_COLOURS = ("#0072B2", "#D55E00", "#009E73", "#CC79A7", "#E69F00", "#56B4E9")
"""Told apart with any colour vision (Okabe and Ito 2008, "Color universal design"); their yellow is
left out, being faint on white, and their black, being lost on a dark page."""

THEME: Mapping[str, str] = {
    "theme.font": "sans-serif",
    "theme.headingFont": "serif",
    "theme.headingFontWeights": json.dumps([600] * 6),
    "theme.headingFontSizes": json.dumps(["2.1rem", "1.5rem", "1.25rem", "1.1rem", "1rem", "1rem"]),
    "theme.baseRadius": "8px",
    "theme.showWidgetBorder": "true",
    "theme.linkUnderline": "true",
    "theme.chartCategoricalColors": json.dumps(_CHART_COLOURS),
    **{f"theme.light.{name}": value for name, value in LIGHT.items()},
    **{f"theme.dark.{name}": value for name, value in DARK.items()},
}
