"""What each pane is, for What's This, and its page for F1."""

from collections.abc import Mapping

from PySide6.QtCore import QCoreApplication
from PySide6.QtWidgets import QTabWidget, QWidget

from app.help.topics import Topic, set_topic
from app.words import marked

_TOLD: Mapping[Topic, str] = {
    Topic.MEASURES: marked(
        "help",
        "Every size of the bag: finished sizes first, then what is cut, part by part. Type in "
        "either; the pattern and all other sizes follow.",
    ),
    Topic.FLAT: marked(
        "help",
        "The pieces as they are cut. Turn the wheel to zoom, drag to move, double click a piece to "
        "see it large, press F to see everything. A line that shows a dot under the pointer can be "
        "dragged along the ruler; with Alt or Ctrl it moves freely, and Escape undoes the drag. "
        "Page down chooses one line after another, and the arrow keys move it.",
    ),
    Topic.FOLD: marked(
        "help",
        "The same pieces folding into the bag. Push the slider from flat to filled; drag the bag, "
        "or use the arrow keys, to turn it; turn the wheel to zoom.",
    ),
    Topic.FINDINGS: marked(
        "help",
        "What would go wrong with this bag, the worst first. Click one to go to its "
        "measure; the button beside it makes a change that helps.",
    ),
    Topic.VARIANTS: marked(
        "help",
        "Each measure that differs from the starting bag, before and after.",
    ),
    Topic.CUTTING: marked(
        "help",
        "How the pieces lie on each material, for one bag or many, and what to buy.",
    ),
    Topic.SEWING: marked(
        "help",
        "The sewing order: every step of this bag with its numbers and its drawing. Tick what "
        "is done.",
    ),
}


def describe_panes(panes: Mapping[Topic, QWidget]) -> None:
    """Give each pane its explanation and its page."""
    for topic, pane in panes.items():
        set_topic(pane, topic)
        pane.setWhatsThis(tr(_TOLD[topic]))


def describe_tabs(tabs: QTabWidget) -> None:
    """Let each tab be explained as its pane is."""
    for place in range(tabs.count()):
        pane = tabs.widget(place)
        tabs.setTabWhatsThis(place, "" if pane is None else pane.whatsThis())
    tabs.tabBar().setWhatsThis(tr(_TABS))


_TABS = marked("help", "Click a tab, or use the left and right arrow keys, to open it.")


def tr(words: str) -> str:
    """A text of the help in the reader's language."""
    return QCoreApplication.translate("help", words)
