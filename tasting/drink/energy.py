"""Energy of a drink from what is in it (Regulation (EU) No 1169/2011, Annex XIV)."""

from __future__ import annotations

from typing import Final

KCAL_PER_G: Final = {"carbohydrate": 4.0, "organic acid": 3.0, "alcohol": 7.0}
KJ_PER_G: Final = {"carbohydrate": 17.0, "organic acid": 13.0, "alcohol": 29.0}
