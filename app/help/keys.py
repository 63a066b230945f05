"""Every key of the window: the menus' own, from the table of actions, and the panes'.

`tests/app/test_keys.py` presses each key of `PANE_KEYS` in its pane, and every other one, so that
this list can neither leave one out nor promise one that does nothing.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

from PySide6.QtGui import QKeySequence

from app.help.page import BlockKind, HelpBlock, Page, head, native, page_of, text
from app.help.topics import Topic
from app.session.display import tr, translated
from app.widgets.menus import without_mnemonic
from app.window.action_table import ACTIONS, MENUS, keys_of
from core.base.sentences import mark


class Pane(Enum):
    """Where a key is pressed; the value is what the maker reads."""

    FIELD = mark("In a field")
    PIN = mark("On a pin, a button or a tick box")
    CHOICE = mark("In a list that opens (unit, paper, construction)")
    FLAT = mark("In the flat pieces")
    FOLD = mark("In the fold preview")
    SLIDER = mark("On the slider of the fold preview")
    FINDING = mark("On a finding")
    CUTTING = mark("In the cutting plan")
    STEPS = mark("In the list of sewing steps")
    TABLE = mark("In a table")


class InputKind(Enum):
    """How a pane is told to do something."""

    KEY = "key"
    TYPING = "typing"
    WHEEL = "wheel"


@dataclass(frozen=True, slots=True)
class PaneKey:
    """What some keys do in a pane.

    Attributes:
        keys: as `QKeySequence` reads them, one sequence each; of typing, texts such as may be
            typed, of which any sign may be part; none of the wheel.
        does: what the maker reads.
    """

    pane: Pane
    keys: tuple[str, ...]
    does: str
    way: InputKind = InputKind.KEY


ARROWS = ("Left", "Right", "Up", "Down")
_UP_DOWN = ("Up", "Down")
_PAGES = ("PgUp", "PgDown")
_ENDS = ("Home", "End")
_ZOOM = ((("+", "="), mark("Zoom in")), (("-",), mark("Zoom out")))
_WHEEL = mark("Zoom in and out at the pointer")
_BEGINS = mark("Go to the one that begins so")
_PUSH = mark("Hold it and drag with the mouse to push the drawing")


def _drawing(pane: Pane) -> tuple[PaneKey, ...]:
    return (
        *(PaneKey(pane, keys, does) for keys, does in _ZOOM),
        PaneKey(pane, ("Space",), _PUSH),
        PaneKey(pane, (), _WHEEL, InputKind.WHEEL),
    )


PANE_KEYS: tuple[PaneKey, ...] = (
    PaneKey(
        Pane.FIELD,
        ("18 1/2", "18-1/2", "18.5", "18 ½", "47 cm", "470mm"),
        mark("A length, in any unit, whatever the unit shown"),
        InputKind.TYPING,
    ),
    PaneKey(Pane.FIELD, ("18 + 1/2", "19 in - 1 cm"), mark("A sum"), InputKind.TYPING),
    PaneKey(
        Pane.FIELD,
        ("+2 cm", "-1/2", "*0.9", "/1.1", "90 %", "+5 %"),
        mark("More or less than the present size; the field says what it came to"),
        InputKind.TYPING,
    ),
    PaneKey(
        Pane.FIELD, ("=18 1/2",), mark("The size itself, never a change of it"), InputKind.TYPING
    ),
    PaneKey(Pane.FIELD, _UP_DOWN, mark("One ruler step more or less")),
    PaneKey(Pane.FIELD, _PAGES, mark("Four ruler steps more or less")),
    PaneKey(Pane.FIELD, ("Return", "Enter"), mark("Take what is typed")),
    PaneKey(Pane.FIELD, ("Esc",), mark("Give back the last size, once something is typed")),
    PaneKey(
        Pane.FIELD,
        ("Left", "Right", "Home", "End", "Backspace", "Del"),
        mark("Move and delete within what is typed"),
    ),
    PaneKey(
        Pane.FIELD,
        (),
        mark("One ruler step more or less, in the field that you are in"),
        InputKind.WHEEL,
    ),
    PaneKey(Pane.PIN, ("Space",), mark("Press it: pin or release, tick or untick")),
    PaneKey(Pane.CHOICE, _UP_DOWN, mark("The next choice, the one before")),
    PaneKey(Pane.CHOICE, _PAGES, mark("Several choices on or back")),
    PaneKey(Pane.CHOICE, _ENDS, mark("The first choice, the last one")),
    PaneKey(Pane.CHOICE, ("Space", "F4"), mark("Open the list")),
    PaneKey(Pane.CHOICE, ("A",), _BEGINS, InputKind.TYPING),
    PaneKey(Pane.FLAT, _PAGES, mark("Choose the line before, the next line")),
    PaneKey(
        Pane.FLAT,
        ARROWS,
        mark("Move the chosen line by a ruler step; with none chosen, push the drawing"),
    ),
    PaneKey(Pane.FLAT, ("Esc",), mark("Let go of the chosen line; while dragging it, put it back")),
    PaneKey(Pane.FLAT, ("F",), mark("Show everything")),
    *_drawing(Pane.FLAT),
    PaneKey(Pane.FOLD, ARROWS, mark("Turn the bag")),
    PaneKey(Pane.FOLD, ("Home", "F"), mark("Show the whole bag")),
    *_drawing(Pane.FOLD),
    PaneKey(Pane.SLIDER, ARROWS, mark("Fold a little further, a little back")),
    PaneKey(Pane.SLIDER, _PAGES, mark("A long way further or back")),
    PaneKey(Pane.SLIDER, _ENDS, mark("Flat; as far as the bag can be folded")),
    PaneKey(Pane.FINDING, ("Return", "Enter", "Space"), mark("Go to the measure")),
    PaneKey(Pane.CUTTING, ARROWS, mark("Push the plan")),
    PaneKey(Pane.CUTTING, _PAGES, mark("Go up or down the plan by most of a page")),
    PaneKey(Pane.CUTTING, ("F",), mark("Show the whole plan")),
    *_drawing(Pane.CUTTING),
    PaneKey(Pane.STEPS, _UP_DOWN, mark("The step before, the next one")),
    PaneKey(Pane.STEPS, _PAGES, mark("A page of steps up or down")),
    PaneKey(Pane.STEPS, _ENDS, mark("The first step, the last one")),
    PaneKey(Pane.STEPS, ("Space",), mark("Tick the step, or take the tick away")),
    PaneKey(Pane.STEPS, ("1",), _BEGINS, InputKind.TYPING),
    PaneKey(Pane.TABLE, ARROWS, mark("From cell to cell")),
    PaneKey(Pane.TABLE, _PAGES, mark("A page up or down")),
    PaneKey(Pane.TABLE, _ENDS, mark("The first cell of the row, the last one")),
    PaneKey(Pane.TABLE, ("S",), _BEGINS, InputKind.TYPING),
)
"""Every key of the panes, in the order in which they are listed."""


def keys_page() -> Page:
    """Every key: of the menus, then of each pane."""
    return page_of(
        Topic.KEYS,
        "Keys",
        text(
            "Tab goes from one field, button or pane to the next, Shift+Tab back. Alt with an "
            "underlined letter opens a menu or presses a button. The menu key or Shift+F10 "
            "opens a menu of what can be done with what has the focus, as the right mouse "
            "button does with what is under the pointer."
        ),
        *_menu_rows(),
        *_pane_rows(),
    )


def _menu_rows() -> Iterator[HelpBlock]:
    for menu, title in MENUS.items():
        told = tr("Menu {menu}").format(menu=without_mnemonic(translated(title)))
        yield HelpBlock(BlockKind.HEAD, told, verbatim=True)
        for spec in ACTIONS:
            if spec.menu == menu:
                name = without_mnemonic(translated(spec.text)).rstrip("…")
                keys = native(keys_of(spec)[0])
                yield HelpBlock(BlockKind.ROW, f"<b>{keys}</b>", name, spec.name, verbatim=True)


def _pane_rows() -> Iterator[HelpBlock]:
    for pane in Pane:
        yield head(pane.value, anchor=pane.name.lower())
        for each in PANE_KEYS:
            if each.pane is pane:
                yield HelpBlock(
                    BlockKind.ROW, f"<b>{shown(each)}</b>", translated(each.does), verbatim=True
                )


def shown(each: PaneKey) -> str:
    """The keys of a record as the platform writes them."""
    if each.way is InputKind.WHEEL:
        return translated(_MOUSE_WHEEL)
    if each.way is InputKind.TYPING:
        return ", ".join(each.keys) if each.pane is Pane.FIELD else translated(_LETTERS)
    return ", ".join(native(QKeySequence(key)) for key in each.keys)


_MOUSE_WHEEL = mark("Mouse wheel")
_LETTERS = mark("Letters")
