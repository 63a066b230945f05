"""Every text can be read on every ground that it lies on, in light and in dark.

Web Content Accessibility Guidelines 2.2 (W3C, 2023), level AA: texts 4.5 : 1 (1.4.3 Contrast
(Minimum)), lines and signs that carry a meaning 3 : 1 (1.4.11 Non-text Contrast). Disabled
controls are excepted by both. The ratio is reckoned here a second time, by its definition.
"""

from collections.abc import Iterator

import pytest
from PySide6.QtGui import QColor, QImage, QPalette
from PySide6.QtWidgets import QApplication, QLabel, QTableWidget, QTableWidgetItem, QWidget
from pytestqt.qtbot import QtBot

from app.__main__ import make_app
from app.views.flat.paint import Brush
from app.views.sewing.step_texts import StepSign, tone
from app.widgets import desktop as readable
from app.widgets.desktop import readable_palette
from app.widgets.theme import (
    DrawingTheme,
    change_colour,
    highlight_wash,
    muted_colour,
    problem_colour,
    severity_colour,
)
from core.flat.ink import Ink
from core.model.findings import Severity
from tests.app.hands import Hands

TEXT, LINE = 4.5, 3.0
Role = QPalette.ColorRole
LIGHT = {
    "Window": "#efefef",
    "Base": "#ffffff",
    "AlternateBase": "#f7f7f7",
    "Button": "#efefef",
    "WindowText": "#000000",
    "Text": "#000000",
    "ButtonText": "#000000",
    "Highlight": "#308cc6",
    "HighlightedText": "#ffffff",
    "Link": "#0000ff",
    "LinkVisited": "#ff00ff",
    "PlaceholderText": "#80000000",
    "ToolTipBase": "#ffffdc",
    "ToolTipText": "#000000",
}
"""Qt's Fusion style in light surroundings."""
DARK = {
    "Window": "#323232",
    "Base": "#242424",
    "AlternateBase": "#2b2b2b",
    "Button": "#323232",
    "WindowText": "#ffffff",
    "Text": "#ffffff",
    "ButtonText": "#ffffff",
    "Highlight": "#308cc6",
    "HighlightedText": "#ffffff",
    "Link": "#308cc6",
    "LinkVisited": "#ff00ff",
    "PlaceholderText": "#80ffffff",
    "ToolTipBase": "#3f3f36",
    "ToolTipText": "#ffffff",
}
"""... and in dark ones."""


def luminance(colour: QColor) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = (colour.redF(), colour.greenF(), colour.blueF())
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: QColor, other: QColor) -> float:
    """Contrast ratio as WCAG 2.2 defines it."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def palette_of(colours: dict[str, str]) -> QPalette:
    """As the program uses it: what cannot be read is replaced."""
    made = QPalette()
    for role, colour in colours.items():
        made.setColor(getattr(Role, role), QColor(colour))
    return readable_palette(made).resolve(made)


@pytest.fixture(params=[LIGHT, DARK], ids=["light", "dark"])
def palette(request: pytest.FixtureRequest, qapp: QApplication) -> QPalette:
    return palette_of(request.param)


def seen(top: QColor, ground: QColor) -> QColor:
    """Where one that may be translucent lies on an opaque one."""
    share = top.alphaF()
    pairs = zip(top.getRgbF()[:3], ground.getRgbF()[:3], strict=True)
    return QColor.fromRgbF(*(share * one + (1.0 - share) * other for one, other in pairs))


def washed(colour: QColor, share: float) -> QColor:
    wash = QColor(colour)
    wash.setAlphaF(share)
    return wash


def test_every_text_on_every_ground(palette: QPalette) -> None:
    window, base = palette.color(Role.Window), palette.color(Role.Base)
    grounds = {
        "window": window,
        "field": base,
        "every second row": palette.color(Role.AlternateBase),
        "button": palette.color(Role.Button),
        "lit measure": seen(highlight_wash(palette), window),
        "chosen step": seen(highlight_wash(palette), base),
        "step under the pointer": seen(washed(palette.color(Role.Text), 0.05), base),
        "caution": seen(washed(tone(StepSign.CARE)(palette), 0.10), base),
        "change of a step": seen(washed(tone(StepSign.CHANGE)(palette), 0.10), base),
    }
    inks = {
        "text": palette.color(Role.Text),
        "muted": muted_colour(palette),
        "changed": change_colour(palette),
        "wrong": problem_colour(palette),
        **{str(severity): severity_colour(severity, palette) for severity in Severity},
    }
    pairs = {
        f"{ink} on {ground}": (inks[ink], grounds[ground]) for ink in inks for ground in grounds
    }
    for name in ("Link", "LinkVisited", "PlaceholderText"):
        for ground in ("window", "field"):
            ink = seen(palette.color(getattr(Role, name)), grounds[ground])
            pairs[f"{name} on {ground}"] = ink, grounds[ground]
    for text, ground in (("HighlightedText", "Highlight"), ("ToolTipText", "ToolTipBase")):
        pairs[text] = palette.color(getattr(Role, text)), palette.color(getattr(Role, ground))
    poor = {name: round(contrast(*pair), 2) for name, pair in pairs.items()}
    assert {name: ratio for name, ratio in poor.items() if ratio < TEXT} == {}


LINES = {Ink.CUT, Ink.STITCH, Ink.FOLD, Ink.PLACEMENT, Ink.BASTE}
"""Every kind of line that stands on a flat piece."""


def test_every_text_and_line_of_the_drawings(palette: QPalette) -> None:
    look = DrawingTheme.for_palette(palette)
    brush = Brush(look)
    assert set(brush._pens) >= LINES
    fills = {**brush._fills, "paper": look.paper}
    poor = {}
    for name, fill in fills.items():
        for ink in ("ink", "grain", "dimension"):
            poor[f"{ink} on {name}"] = contrast(getattr(look, ink), fill) / TEXT
        for line in ("highlight", "mate", "gap", "starting"):
            poor[f"{line} on {name}"] = contrast(getattr(look, line), fill) / LINE
        for ink, pen in brush._pens.items():
            poor[f"{ink} on {name}"] = contrast(pen.color(), fill) / LINE
    # The cutting plan: goods and the pieces on them.
    for name in ("outer", "inner"):
        poor[f"name on {name}"] = contrast(look.ink, getattr(look, name)) / TEXT
        poor[f"edge on {name}"] = contrast(look.cut, getattr(look, name)) / LINE
        poor[f"frame on {name}"] = contrast(look.highlight, getattr(look, name)) / LINE
    ruler = brush.ruler
    poor["figure of a ruler"] = contrast(ruler.figure, ruler.ground) / TEXT
    poor["tick of a ruler"] = contrast(ruler.tick, ruler.ground) / LINE
    poor["line to a dimension"] = contrast(brush._lead.color(), look.paper) / LINE
    poor["tag's letter"] = contrast(look.paper, look.highlight) / TEXT
    poor["mate's letter"] = contrast(look.paper, look.mate) / TEXT
    assert {name: round(ratio, 2) for name, ratio in poor.items() if ratio < 1.0} == {}


def test_what_marks_the_focus_stands_out(palette: QPalette) -> None:
    for role in (Role.Window, Role.Base):
        assert contrast(palette.color(Role.Highlight), palette.color(role)) >= LINE


def test_a_palette_that_can_be_read_is_left_alone(qapp: QApplication) -> None:
    once = palette_of(LIGHT)
    assert readable_palette(once).resolve(once) == once
    assert readable_palette(once).resolveMask() == 0


@pytest.mark.parametrize("colour", ["#000000", "#777777", "#ffee00", "#ffffff", "#308cc6"])
def test_any_choice_of_highlight_can_be_read(qapp: QApplication, colour: str) -> None:
    for surroundings in (LIGHT, DARK):
        found = palette_of({**surroundings, "Highlight": colour})
        text, ground = found.color(Role.HighlightedText), found.color(Role.Highlight)
        assert contrast(text, ground) >= TEXT


def test_the_ratio_is_that_of_the_guidelines() -> None:
    """Values by the definition: 21 for black on white; #767676 is the lightest grey on white."""
    white = QColor("white")
    assert readable.contrast(QColor("black"), white) == pytest.approx(21.0)
    assert readable.contrast(QColor("#767676"), white) == pytest.approx(4.54, abs=0.005)
    assert readable.contrast(QColor("#777777"), white) < TEXT
    for code in ("#308cc6", "#885200", "#0a0a0a"):
        assert readable.contrast(QColor(code), white) == pytest.approx(
            contrast(QColor(code), white)
        )


def test_the_program_starts_with_a_palette_that_can_be_read(qapp: QApplication) -> None:
    before = QPalette(qapp.palette())
    make_app()
    found = qapp.palette()
    qapp.setPalette(before)
    text, ground = found.color(Role.HighlightedText), found.color(Role.Highlight)
    assert contrast(text, ground) >= TEXT
    assert found.color(Role.Window) == before.color(Role.Window), "the rest is the platform's"


# --- Measured on the screen -----------------------------------------------------------------------


@pytest.fixture(params=[LIGHT, DARK], ids=["light", "dark"])
def surroundings(request: pytest.FixtureRequest, qapp: QApplication) -> Iterator[QPalette]:
    before = QPalette(qapp.palette())
    found = palette_of(request.param)
    qapp.setPalette(found)
    yield found
    qapp.setPalette(before)


def measured(image: QImage) -> float:
    """Contrast of the ground, which is most of a picture, with what differs most from it."""
    colours = [
        QColor(image.pixel(x, y)) for x in range(image.width()) for y in range(image.height())
    ]
    counts: dict[str, int] = {}
    for each in colours:
        counts[each.name()] = counts.get(each.name(), 0) + 1
    ground = QColor(max(counts, key=lambda name: counts[name]))
    return max(contrast(QColor(name), ground) for name in counts)


def inside(widget: QWidget) -> QImage:
    return widget.grab(widget.rect().adjusted(3, 3, -3, -3)).toImage()


def test_labels_of_the_real_window(surroundings: QPalette, hands: Hands, qtbot: QtBot) -> None:
    window = hands.window
    window.grab()
    labels = [
        label
        for label in window.findChildren(QLabel)
        if label.isVisible() and label.isEnabled() and label.text() and label.pixmap().isNull()
        and label.visibleRegion().boundingRect() == label.rect()
    ]  # fmt: skip
    assert len(labels) > 20
    poor = {label.text(): round(measured(label.grab().toImage()), 2) for label in labels}
    # What is measured is the darkest pixel of a smoothed letter, a little less than its ink.
    assert {text: ratio for text, ratio in poor.items() if ratio < 0.9 * TEXT} == {}


def test_a_chosen_row_of_a_table(surroundings: QPalette, qtbot: QtBot) -> None:
    table = QTableWidget(1, 1)
    qtbot.addWidget(table)
    table.setItem(0, 0, QTableWidgetItem("███"))  # full blocks: their ink is not smoothed away
    table.setCurrentCell(0, 0)
    table.show()
    table.activateWindow()
    qtbot.waitExposed(table)
    cell = table.visualItemRect(table.item(0, 0)).adjusted(2, 2, -2, -2)
    assert measured(table.viewport().grab(cell).toImage()) >= TEXT
