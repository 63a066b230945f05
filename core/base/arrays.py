"""Arrays of numpy, named once. Only for modules that load numpy anyway."""

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]
"""Floats of any shape; each use says which."""
