"""Icons, fonts, sample bags and translations: data only."""

from pathlib import Path
from typing import Final

FOLDER: Final = Path(__file__).parent
"""Where they lie. They are files also where the program is installed."""
