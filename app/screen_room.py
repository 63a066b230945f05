"""How much of the screen there is for a window, and bringing windows within it.

It needs Qt and nothing of ours: the opening page asks it before anything else is loaded.
Lengths are device-independent pixels.
"""

from PySide6.QtCore import QMargins, QRect, QSize
from PySide6.QtWidgets import QWidget

FRAME = QMargins(8, 36, 8, 8)
"""What a window's frame takes at most; the system tells it only of a window that shows."""


def room_for(widget: QWidget) -> QRect:
    """Where the inside of a window can lie: the widget's screen without bars and a frame."""
    return available(widget).marginsRemoved(FRAME)


def available(widget: QWidget) -> QRect:
    """The widget's screen without the desktop's own bars."""
    return widget.screen().availableGeometry()


def within(wanted: QSize, widget: QWidget) -> QSize:
    """A size for the widget's window, no larger than the room for it."""
    return wanted.boundedTo(room_for(widget).size())


def bring_within(window: QWidget) -> None:
    """Make a window as small, and move it as far, as it takes to be seen whole."""
    if window.isMaximized() or window.isFullScreen():
        return
    room, place = room_for(window), window.geometry()
    place.setSize(place.size().boundedTo(room.size()))
    place.moveRight(min(place.right(), room.right()))
    place.moveBottom(min(place.bottom(), room.bottom()))
    place.moveLeft(max(place.left(), room.left()))
    place.moveTop(max(place.top(), room.top()))
    if place != window.geometry():
        window.setGeometry(place)
