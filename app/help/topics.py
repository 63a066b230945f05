"""What there is help on, and which widget belongs to which page.

A widget carries the name of its page as a property, so that panes and dialogs say where their
help is without knowing anything of the help itself.
"""

from enum import Enum

from PySide6.QtWidgets import QWidget


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
