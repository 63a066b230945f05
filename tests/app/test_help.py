"""The help: its pages, search and drawings, and that F1 and What's This reach all of the window."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QPoint, QSize, Qt, QTimer
from PySide6.QtGui import QColor, QHelpEvent, QPalette
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSlider,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QDialog,
    QLineEdit,
    QMenuBar,
    QScrollBar,
    QTabBar,
    QWidget,
)
from pytestqt.qtbot import QtBot

from app.help.access import explain, explanation_of
from app.help.drawings import PICTURES, Drawings
from app.help.findings import EXPLAINED
from app.help.glossary import GLOSSARY
from app.help.page import page_html
from app.help.search import HelpPlace, all_pages, find, places
from app.help.topics import Topic, topic_of
from app.help.window import HelpWindow
from app.session.display import Display
from app.window.action_table import ACTIONS
from core.bag.tables import CUT_FIGURES, FINISHED_FIGURES
from core.base.units import Unit
from core.flat.ink import Ink
from tests.app.hands import Hands
from tests.core.bag.finding_cases import EVERY_CODE

pytestmark = pytest.mark.usefixtures("qapp")  # the platform's keys stand on the pages

FIELDS = (QAbstractSpinBox, QComboBox, QLineEdit, QAbstractButton, QAbstractItemView)
DIALOGS = {
    "print": "print",
    "edit_layers": "materials",
    "compare": "variants#variants",
    "fit_tape": "redesign#measured-bag",
    "take_up": "take-up",
    "edit_load": "load",
    "preferences": "preferences",
    "new_bag": "files#new",
}
"""Actions that open a dialog, and the help on it."""


@pytest.fixture
def html() -> dict[Topic, str]:
    display = Display()
    return {topic: page_html(page, display) for topic, page in all_pages().items()}


# --- Pages ----------------------------------------------------------------------------------------


def test_every_link_leads_to_a_place_that_is_there(html: dict[Topic, str]) -> None:
    anchors = {
        topic.value: set(re.findall(r"<a name='([^']+)'", page)) for topic, page in html.items()
    }
    links = [link for page in html.values() for link in re.findall(r"href='help:([^']+)'", page)]
    assert len(links) > 30
    dead = []
    for link in links:
        page, _, anchor = link.partition("#")
        if page not in anchors or (anchor and anchor not in anchors[page]):
            dead.append(link)
    assert dead == []


def test_no_page_shows_a_gap_or_a_mark_of_its_source(html: dict[Topic, str]) -> None:
    for topic, page in html.items():
        assert len(page) > 350, (topic, len(page))
        assert re.findall(r"\{\w*\}|\[\[|\]\]", page) == [], topic


def test_every_finding_and_every_measure_is_explained(html: dict[Topic, str]) -> None:
    told = {code for each in EXPLAINED for code in each.codes}
    assert set(EVERY_CODE) <= told
    # Those of the load come later than a bag's own: all that the core can give are looked up.
    sources = [
        path.read_text(encoding="utf-8")
        for path in (Path(__file__).parents[2] / "core").rglob("*.py")
    ]
    given = {code for each in sources for code in re.findall(r'code="([a-z-]+)"', each)}
    assert "heavy-load" in given
    assert given <= told
    for figure in (*CUT_FIGURES, *FINISHED_FIGURES):
        assert f"<a name='{figure.name}'>" in html[Topic.FIGURES]


def test_examples_are_in_the_reader_s_unit() -> None:
    page = all_pages()[Topic.FIRST_STEPS]
    display = Display(Unit.INCH)
    assert "1/2 in more" in page_html(page, display).replace("\xa0", " ")
    display.set_unit(Unit.MM)
    assert "10 mm more" in page_html(page, display).replace("\xa0", " ")
    assert " in more" not in page_html(page, display)


# --- Drawings -------------------------------------------------------------------------------------


def test_every_drawing_shows_what_its_word_means() -> None:
    """Something in each is drawn as what is meant, by the layers that mean so."""
    drawings = Drawings(show=Display().length)
    wanted = {term.drawing for term in GLOSSARY if term.drawing}
    assert wanted <= set(PICTURES)
    for name in wanted - {"layers"}:  # whose names alone say which is which
        layers = {record.ink for record in drawings.picture(name).records}
        assert layers & {Ink.NEW, Ink.NEW_AREA}, name


def test_sizes_in_the_drawings_are_those_of_the_demo_bag() -> None:
    """Worked example, design: base 11 in, gusset 6 3/4 in, face 15 in, trim 1 1/2 in."""
    drawings = Drawings(show=Display(Unit.INCH).length)

    def lengths(name: str) -> set[str]:
        records = drawings.picture(name).records
        texts = [each.text.replace("\xa0", " ") for each in records if hasattr(each, "text")]
        return {text for text in texts if text.endswith(" in")}

    assert lengths("base-width") == {"11 in"}
    assert lengths("gusset-depth") == {"6 ¾ in"}
    assert lengths("face-height") == {"15 in"}
    assert lengths("front-trim") == {"1 ½ in"}


def test_the_terms_stand_in_the_order_of_the_alphabet() -> None:
    words = [term.word.lower() for term in GLOSSARY]
    assert words == sorted(words)


# --- Search ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("corner cut", "glossary#corner-cut"),
        ("NAP", "glossary#nap"),
        ("pin", "glossary#pin"),
        ("recovery", "files#recovery"),
        ("true size", "print#true-scale"),
        ("take-up", "take-up"),
        ("basting", "glossary#basting"),
    ],
)
def test_what_is_searched_comes_first(typed: str, first: str) -> None:
    hits = find(typed, places(all_pages(), Display()))
    assert hits[0].place.address == first


def test_every_word_must_be_there_and_beginnings_do() -> None:
    pages = [
        HelpPlace("a", "Zips", "", "A zip and its teeth"),
        HelpPlace("b", "Caf\u00e9", "Zipped", "Teeth of a saw"),
        HelpPlace("c", "Hems", "", "No tooth"),
    ]
    assert [hit.place.address for hit in find("zip teeth", pages)] == ["a", "b"]
    assert [hit.place.address for hit in find("cafe saw", pages)] == ["b"]
    assert find("zip hem", pages) == []
    assert find("  ", pages) == []
    assert find("teeth", pages)[0].snippet == "A zip and its <b>teeth</b>"


def test_a_snippet_shows_the_word_that_was_found_and_no_markup_of_the_page() -> None:
    body = "<i>" + "cloth " * 60 + "the needle & thread " + "cloth " * 60
    shown = find("needle", [HelpPlace("a", "T", "", body)])[0].snippet
    assert "<b>needle</b> &amp; thread" in shown
    assert shown.startswith("… ")
    assert shown.endswith(" …")
    assert len(shown) < 180


# --- The window -----------------------------------------------------------------------------------


@pytest.fixture
def window(qtbot: QtBot) -> HelpWindow:
    made = HelpWindow(Display())
    qtbot.addWidget(made)
    made.show()
    return made


def test_search_by_keyboard_alone(window: HelpWindow, qtbot: QtBot) -> None:
    window.show_address("cautions")
    window.field.setFocus()
    qtbot.keyClicks(window.field, "gusset")
    assert window.list.count() > 2
    qtbot.keyClick(window.field, Qt.Key.Key_Down)
    assert window.list.hasFocus()
    qtbot.keyClick(window.list, Qt.Key.Key_Down)
    wanted = window.list.currentItem().data(Qt.ItemDataRole.UserRole)
    qtbot.keyClick(window.list, Qt.Key.Key_Return)
    assert window.address == wanted
    window.field.setFocus()
    qtbot.keyClicks(window.field, "zzz")
    assert window.list.count() == 0
    assert window.told.text().startswith("Nothing is found")
    qtbot.keyClick(window.field, Qt.Key.Key_Escape)
    assert window.field.text() == ""
    assert window.isVisible()
    assert window.list.count() == len(Topic)


def test_back_forward_and_the_marked_page(window: HelpWindow, qtbot: QtBot) -> None:
    for page in ("first-steps", "glossary#nap", "take-up"):
        window.show_address(page)
    assert window.list.currentItem().text() == "Take-up"
    qtbot.keyClick(window, Qt.Key.Key_Left, Qt.KeyboardModifier.AltModifier)
    assert window.address == "glossary#nap"
    assert window.list.currentItem().text() == "Glossary"
    qtbot.mouseClick(window.back, Qt.MouseButton.LeftButton)
    assert window.address == "first-steps"
    assert not window.back.isEnabled()
    qtbot.keyClick(window, Qt.Key.Key_Right, Qt.KeyboardModifier.AltModifier)
    assert window.address == "glossary#nap"


def test_it_fits_a_small_screen_with_large_fonts(window: HelpWindow) -> None:
    font = window.font()
    font.setPointSizeF(1.5 * font.pointSizeF())
    window.setFont(font)
    window.resize(1024, 640)
    assert window.size() == QSize(1024, 640)
    assert window.text.horizontalScrollBar().maximum() == 0
    window.show_address("glossary")
    assert window.text.horizontalScrollBar().maximum() == 0


def test_drawings_wear_the_colours_of_the_window(window: HelpWindow) -> None:
    def darkest() -> int:
        image = window.text._drawing("cut-line").toImage()
        colours = [image.pixelColor(x, y) for x in range(image.width()) for y in (30, 60)]
        return min(each.lightness() for each in colours if each.alpha() == 255)

    light = darkest()
    palette = QPalette()
    palette.setColor(QPalette.ColorRole.Base, QColor("#202020"))
    palette.setColor(QPalette.ColorRole.Text, QColor("#f0f0f0"))
    window.text.setPalette(palette)
    assert darkest() != light


# --- F1 and What's This ---------------------------------------------------------------------------


def test_f1_opens_the_help_on_what_has_the_focus(hands: Hands, qtbot: QtBot) -> None:
    window = hands.window
    qtbot.waitExposed(window)
    for widget, page in (
        (hands.box("corner_cut_depth"), "every-measure#corner_cut_depth"),
        (hands.box("gusset_depth"), "every-measure#gusset_depth"),
        (window.measures._row_of("base_width").pin, "every-measure#base_width"),
        (window.flat, "flat-pieces"),
        (window.fold.view, "fold-preview"),
        (window.fold.slider, "fold-preview"),
        (window.findings.rows[0], f"findings#{window.document.result.findings[0].code}"),
    ):
        assert widget is not None
        window.activateWindow()
        widget.setFocus()
        qtbot.keyClick(widget, Qt.Key.Key_F1)
        assert window.help.window is not None
        assert window.help.window.isVisible()
        assert window.help.window.address == page
    assert window.settings.help_page == page


def test_the_contents_open_where_they_were_left(hands: Hands) -> None:
    window = hands.window
    window.commands["glossary"].trigger()
    assert window.help.window is not None
    window.help.window.close()
    window.commands["contents"].trigger()
    assert window.help.window.address == "glossary"
    assert window.help.window.field.text() == ""
    assert not window.help.window.isModal()


def _during(action: Callable[[], object], act: Callable[[QDialog], None]) -> None:
    """Open a dialog, do something in it, and close it."""
    wrong: list[BaseException] = []
    seen: list[QDialog] = []

    def reach() -> None:
        dialog = QApplication.activeModalWidget()
        if isinstance(dialog, QDialog) and dialog.isVisible():
            timer.stop()
            seen.append(dialog)
            try:
                act(dialog)
            except BaseException as error:  # told below, once the dialog is gone
                wrong.append(error)
            dialog.reject()

    timer = QTimer(interval=10)
    timer.timeout.connect(reach)
    timer.start()
    action()
    timer.stop()
    assert seen
    if wrong:
        raise wrong[0]


def unexplained(window: QWidget) -> list[str]:
    """Fields, buttons and lists that What's This tells nothing of their own about."""
    explain(window)
    missing = []
    for widget in window.findChildren(QWidget):
        inner = isinstance(widget.parentWidget(), FIELDS) or isinstance(
            widget, QScrollBar | QTabBar | QMenuBar
        )
        kept = isinstance(widget, (*FIELDS, QAbstractSlider)) and widget.isVisibleTo(window)
        private = widget.objectName().startswith(("qt_", "Scroll"))
        if inner or private or not kept or "QDialogButtonBox" in type(widget.parent()).__name__:
            continue
        if widget.window() is window and not widget.whatsThis():
            text = widget.text() if isinstance(widget, QAbstractButton) else ""
            missing.append(f"{type(widget).__name__} {widget.accessibleName()}{text}")
    return missing


def test_whats_this_tells_of_every_field_and_button_of_the_window(hands: Hands) -> None:
    window = hands.window
    for name in ("cutting_plan", "sewing_order"):
        window.commands[name].trigger()
    assert unexplained(window) == []
    for spec in ACTIONS:
        assert window.commands[spec.name].whatsThis() == spec.tip
    for pane in (window.measures, window.flat, window.fold, window.findings, window.changes):
        assert explanation_of(pane).endswith(".")
    box = hands.box("corner_cut_depth")
    event = QHelpEvent(QEvent.Type.WhatsThis, QPoint(2, 2), box.mapToGlobal(QPoint(2, 2)))
    assert QApplication.sendEvent(box.lineEdit(), event)
    shown = [each for each in QApplication.topLevelWidgets() if each.inherits("QWhatsThat")]
    assert len(shown) == 1
    shown[0].close()


def test_whats_this_asked_twice_tells_of_what_has_the_focus(hands: Hands, qtbot: QtBot) -> None:
    from PySide6.QtWidgets import QWhatsThis

    box = hands.box("base_width")
    box.setFocus()
    qtbot.keyClick(box, Qt.Key.Key_F1, Qt.KeyboardModifier.ShiftModifier)
    assert QWhatsThis.inWhatsThisMode()
    hands.window.commands["whats_this"].trigger()
    assert not QWhatsThis.inWhatsThisMode()
    shown = [each for each in QApplication.topLevelWidgets() if each.inherits("QWhatsThat")]
    assert len(shown) == 1
    shown[0].close()


def test_every_dialog_has_its_help_and_explains_its_fields(hands: Hands, qtbot: QtBot) -> None:
    window = hands.window
    missing: dict[str, list[str]] = {}
    for name, page in DIALOGS.items():

        def act(dialog: QDialog, name: str = name, page: str = page) -> None:
            dialog.activateWindow()
            field = dialog.focusWidget() or dialog
            QApplication.processEvents()
            assert topic_of(field) == page
            qtbot.keyClick(field, Qt.Key.Key_F1)
            shown = window.help.window
            assert shown is not None
            assert shown.isVisible()
            assert shown.address == page
            # Its own child, or the dialog would keep keys and clicks from it.
            assert shown.parent() is dialog
            missing[name] = unexplained(dialog)

        _during(window.commands[name].trigger, act)
        assert window.help.window is not None
        assert window.help.window.parent() is window
        assert window.help.window.isVisible()
    told = [f"{name}: {each}" for name, every in missing.items() for each in every]
    assert told == [], "\n".join(told)
