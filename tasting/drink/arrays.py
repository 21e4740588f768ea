"""The one array type that this package computes with."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
