"""The square with a cross that secures a handle at its stop. mm."""

import math

from core.parts.handles.handles import Handles


def box_side(handles: Handles, near_edge: float) -> float:
    """Side of the square that is sewn below a stop, mm."""
    return max(handles.width - 2 * min(near_edge, handles.width / 4), handles.width / 2)


def box_and_cross(handles: Handles, near_edge: float) -> float:
    """Stitching below one stop: the square's four sides and its two diagonals, mm."""
    return (4 + 2 * math.sqrt(2)) * box_side(handles, near_edge)
