"""The parts that a bag can have, in reading order, and what two of them make together.

A slot is the part's name in files; a bag has at most one part in each.
"""

from core.parts.board.board import BaseBoard
from core.parts.compartments import Compartments
from core.parts.handles.handles import Handles
from core.parts.part import Pair, Part
from core.parts.pocket.pocket import Pocket

SLOTS: tuple[type[Part], ...] = (Pocket, Handles, BaseBoard)
PAIRS: tuple[type[Pair], ...] = (Compartments,)
