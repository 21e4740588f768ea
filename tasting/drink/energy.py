"""Energy of a drink from what is in it (Regulation (EU) No 1169/2011, Annex XIV).

Kilojoules and kilocalories are computed each from their own factors, as the Annex does; they are
not converted into one another.
"""

from typing import Final

# kcal and kJ in one gram.
PER_G: Final = {
    "carbohydrate": (4.0, 17.0),
    "polyol": (2.4, 10.0),
    "protein": (4.0, 17.0),
    "fat": (9.0, 37.0),
    "alcohol": (7.0, 29.0),
    "organic acid": (3.0, 13.0),
    "fibre": (2.0, 8.0),
    "erythritol": (0.0, 0.0),
}
