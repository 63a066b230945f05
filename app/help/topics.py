"""What there is help on, and which widget belongs to which page.

A widget carries the name of its page as a property, so that panes and dialogs say where their
help is without knowing anything of the help itself.
"""

from collections.abc import Mapping
from enum import Enum

from PySide6.QtWidgets import QTabWidget, QWidget

from app.session.display import translated
from core.base.sentences import mark


class Topic(Enum):
    """One page of the help; the value is its address."""

    FIRST_STEPS = "first-steps"
    WINDOW = "window"
    MEASURES = "measures"
    FIGURES = "every-measure"
    REDESIGN = "redesign"
    RULER = "ruler"
    FLAT = "flat-pieces"
    FOLD = "fold-preview"
    FINDINGS = "findings"
    VARIANTS = "variants"
    TAKE_UP = "take-up"
    MATERIALS = "materials"
    CUTTING = "cutting-plan"
    SEWING = "sewing-order"
    LOAD = "load"
    PRINT = "print"
    BOOKLET = "booklet"
    FILES = "files"
    PREFERENCES = "preferences"
    CAUTIONS = "cautions"
    KEYS = "keys"
    GLOSSARY = "glossary"


_PROPERTY = "helpTopic"


def set_topic(widget: QWidget, topic: Topic, anchor: str = "") -> None:
    """Let F1 on a widget, and on all that lies in it, open a page, at one of its places."""
    widget.setProperty(_PROPERTY, address(topic, anchor))


def topic_of(widget: QWidget | None) -> str:
    """The address of the help on a widget: its own, else that of what it lies in."""
    while widget is not None:
        found = widget.property(_PROPERTY)
        if isinstance(found, str):
            return found
        widget = widget.parentWidget()
    return address(Topic.WINDOW)


def address(topic: Topic, anchor: str = "") -> str:
    """A page, or a place on it, as links write it after `help:`."""
    return f"{topic.value}#{anchor}" if anchor else topic.value


_TOLD: Mapping[Topic, str] = {
    Topic.MEASURES: mark(
        "Every size of the bag: finished sizes first, then what is cut, part by part. Type in "
        "either; the pattern and all other sizes follow."
    ),
    Topic.FLAT: mark(
        "The pieces as they are cut. Turn the wheel to zoom, drag to move, double click a piece to "
        "see it large, press F to see everything. A line that shows a dot under the pointer can be "
        "dragged along the ruler; with Alt or Ctrl it moves freely, and Escape undoes the drag. "
        "Page down chooses one line after another, and the arrow keys move it."
    ),
    Topic.FOLD: mark(
        "The same pieces folding into the bag. Push the slider from flat to filled; drag the bag, "
        "or use the arrow keys, to turn it; turn the wheel to zoom."
    ),
    Topic.FINDINGS: mark(
        "What would go wrong with this bag, the worst first. Click one to go to its "
        "measure; the button beside it makes a change that helps."
    ),
    Topic.VARIANTS: mark("Each measure that differs from the starting bag, before and after."),
    Topic.CUTTING: mark(
        "How the pieces lie on each material, for one bag or many, and what to buy."
    ),
    Topic.SEWING: mark(
        "The sewing order: every step of this bag with its numbers and its drawing. Tick what "
        "is done."
    ),
}


def describe_panes(panes: Mapping[Topic, QWidget]) -> None:
    """Give each pane its explanation and its page."""
    for topic, pane in panes.items():
        set_topic(pane, topic)
        pane.setWhatsThis(translated(_TOLD[topic]))


def describe_tabs(tabs: QTabWidget) -> None:
    """Let each tab be explained as its pane is."""
    for place in range(tabs.count()):
        pane = tabs.widget(place)
        tabs.setTabWhatsThis(place, "" if pane is None else pane.whatsThis())
    tabs.setWhatsThis(translated(_TABS))  # the bar has none of its own, and so tells this


_TABS = mark("Click a tab, or use the left and right arrow keys, to open it.")
