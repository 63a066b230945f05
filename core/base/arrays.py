"""Arrays of numpy, named once. Only for modules that load numpy anyway."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]
Vector = NDArray[np.float64]
"""Floats of any shape; each use says which."""
