"""How wide a page may be that scrolls in its area."""

from PySide6.QtWidgets import QScrollArea


def width_beside_bar(area: QScrollArea, width: int) -> int:
    """Px across for the page of an area this wide, with a bar to scroll along beside it.

    It is the same whether the bar is shown or not. A page that is laid out by its own width
    may never come to rest: the bar comes with one layout, which makes the page narrower, and
    goes with the other.
    """
    return width - area.verticalScrollBar().sizeHint().width()
