"""How a session is conducted: what a report of it must say and nothing else depends on."""

from typing import Annotated

from pydantic import StringConstraints

from tasting.records import OneLine, Record, Tidy

Said = Annotated[str, StringConstraints(strip_whitespace=True, max_length=500), Tidy]


class Conduct(Record):
    """What ISO 4120, 5495 and 10399 ask a test report to name beside the design.

    led_by: who leads the test
    qualification: how the assessors were chosen and trained
    room: where they taste and under which conditions (light, noise, separate places)
    palate_cleanser: what they take between sets
    preparation: how the samples were prepared
    """

    led_by: Annotated[str, StringConstraints(strip_whitespace=True, max_length=120), OneLine] = ""
    qualification: Said = ""
    room: Said = ""
    palate_cleanser: Said = ""
    preparation: Said = ""
