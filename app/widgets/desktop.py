"""A palette whose texts can all be read, and windows brought within the screen.

A platform's own colours are kept wherever they can be read; what cannot is darkened,
lightened, or written in black or white. Web Content Accessibility Guidelines 2.2 (W3C, 2023),
1.4.3 Contrast (Minimum) and 1.4.11 Non-text Contrast, level AA.

It needs Qt and nothing of ours: the opening page asks it before anything else is loaded. Lengths
are device-independent pixels.
"""

from typing import TypeVar

from PySide6.QtCore import QMargins, QRect, QSize
from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QApplication, QScrollArea, QWidget

TEXT_CONTRAST = 4.5
"""Least contrast of a text with its ground."""
LINE_CONTRAST = 3.0
"""Least contrast of a line or sign that carries a meaning."""
_STEPS = 100

Found = TypeVar("Found", bound=QWidget)

PaletteRole = QPalette.ColorRole
ON_PAPER = (PaletteRole.Link, PaletteRole.LinkVisited, PaletteRole.PlaceholderText)
"""Inks of texts that stand on windows and in fields."""


def contrast(one: QColor, other: QColor) -> float:
    """Contrast ratio of two opaque colours, 1 to 21 (WCAG 2.2, "contrast ratio")."""
    lighter, darker = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def laid_over(top: QColor, ground: QColor) -> QColor:
    """The opaque colour that is seen where one that may be translucent lies on an opaque one."""
    return mixed(top, ground, top.alphaF())


def mixed(colour: QColor, ground: QColor, share: float) -> QColor:
    """So much of a colour on its ground, opaque; `share` is from 0 to 1."""
    pairs = (
        (colour.redF(), ground.redF()),
        (colour.greenF(), ground.greenF()),
        (colour.blueF(), ground.blueF()),
    )
    return QColor.fromRgbF(*(share * one + (1.0 - share) * other for one, other in pairs))


def translucent(colour: QColor, alpha: float) -> QColor:
    """A colour that lets its ground through; `alpha` is from 0 to 1."""
    found = QColor(colour)
    found.setAlphaF(alpha)
    return found


def readable_palette(palette: QPalette) -> QPalette:
    """What must be other than in a palette so that its texts can be read, and no more."""
    changes = QPalette()
    grounds = [
        palette.color(role)
        for role in (PaletteRole.Window, PaletteRole.Base, PaletteRole.AlternateBase)
    ]
    ink = palette.color(PaletteRole.Text)
    for role in ON_PAPER:
        colour = laid_over(palette.color(role), palette.color(PaletteRole.Base))
        if any(contrast(colour, ground) < TEXT_CONTRAST for ground in grounds):
            _set(changes, role, _towards(colour, ink, grounds))
    chosen, told = palette.color(PaletteRole.Highlight), palette.color(PaletteRole.HighlightedText)
    if contrast(told, chosen) < TEXT_CONTRAST:
        # As dark as its text needs, where it still stands out; else the text gives way.
        darker = _towards(chosen, QColor("black"), [told])
        if all(contrast(darker, ground) >= LINE_CONTRAST for ground in grounds):
            _set(changes, PaletteRole.Highlight, darker)
        else:
            black, white = QColor("black"), QColor("white")
            best = max((black, white), key=lambda each: contrast(each, chosen))
            _set(changes, PaletteRole.HighlightedText, best)
    return changes


def keep_readable(app: QApplication) -> None:
    """Make the application's palette readable now, and whenever light turns dark."""

    def adjust() -> None:
        app.setPalette(QPalette())  # the platform's own again
        app.setPalette(readable_palette(app.palette()))

    adjust()
    app.styleHints().colorSchemeChanged.connect(adjust)


def _towards(colour: QColor, end: QColor, others: list[QColor]) -> QColor:
    """The first colour on the way to `end` that can be read with all others."""
    for step in range(_STEPS + 1):
        found = mixed(end, colour, step / _STEPS)
        if all(contrast(found, other) >= TEXT_CONTRAST for other in others):
            return found
    return end


def _set(palette: QPalette, role: QPalette.ColorRole, colour: QColor) -> None:
    for group in (QPalette.ColorGroup.Active, QPalette.ColorGroup.Inactive):
        palette.setColor(group, role, colour)


def _luminance(colour: QColor) -> float:
    """Relative luminance, 0 to 1 (WCAG 2.2, "relative luminance")."""
    channels = (colour.redF(), colour.greenF(), colour.blueF())
    red, green, blue = (
        value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4
        for value in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


MEASURES_WIDTH = 368
"""Of the window's left column at the first start, px."""
BELOW_HEIGHT = 184
"""Of what lies below the drawings at the first start, px."""
DRAWING_SHARES = (585, 437)
"""How flat pieces and fold preview share the width at the first start."""
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


def enclosing(widget: QWidget | None, kind: type[Found]) -> Found | None:
    """The widget itself, or the innermost of some kind that it lies in."""
    while widget is not None and not isinstance(widget, kind):
        widget = widget.parentWidget()
    return widget


def width_beside_bar(area: QScrollArea, width: int) -> int:
    """Px across for the page of an area this wide, with a bar to scroll along beside it.

    It is the same whether the bar is shown or not. A page that is laid out by its own width
    may never come to rest: the bar comes with one layout, which makes the page narrower, and
    goes with the other.
    """
    return width - area.verticalScrollBar().sizeHint().width()
