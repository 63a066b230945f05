"""Every box and dialog of the window fed what no maker should type, what some do, and lengths.

Each text is read a second time (`plain_texts`): what is refused there must be refused here in
words, and what is taken must be taken as that very size.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from typing import Any

import pytest
from PySide6.QtCore import QAbstractListModel, QEvent, QModelIndex, Qt, QTimer
from PySide6.QtGui import QKeyEvent, QPalette
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QApplication,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QLineEdit,
    QMessageBox,
    QWidget,
)

from app.dialogs.layers.cells import CELLS
from app.dialogs.layers.dialog import LayersDialog
from app.dialogs.measured_bag import FitDialog
from app.dialogs.print import PrintDialog
from app.dialogs.take_up import TakeUpDialog
from app.dialogs.weight import LoadDialog
from app.session.display import told_error
from app.widgets.figure_box import FigureBox
from app.widgets.inputs import CountBox, VolumeBox
from app.widgets.theme import problem_colour
from core.bag.bag import cut_value, with_figures
from core.bag.compute import compute
from core.bag.making import Load
from core.bag.tables import CUT_FIGURES, FINISHED_FIGURES
from core.base.errors import CornerwrightError
from core.base.units import Unit
from core.model.figures import CutFigure, Quantity
from core.redesign.redesign import redesign
from core.redesign.request import RedesignRequest
from core.storage.bag_file import project_to_json
from tests.app.hands import Hands
from tests.faults import plain_texts
from tests.faults.plain_files import LEAST
from tests.helpers import project_from_json

BAD = (
    *("", " ", "-", ".", ",", "NaN", "nan", "inf", "-inf", "Infinity", "1e400", "1e-400", "-1"),
    *("-0", "0", "0.0000001", "10 km", "10000000", "9" * 400, "abc", "18,,5", "18.5.5", "1/0"),
    *("18 1/2 1/2", "18 -1/2", "1/2/3", "--5", "5 in in", "5 mm in", "5 light years", "½½"),
    *("∞", "\u0661\u0662", "\uff11\uff18", "12\u202e34", "<b>5</b>", "=1+1", "5\\n6", "0x10"),
    *("1_000", "🧵", "%s", "{x}", "5;6", "pi", "√2", "18,5", "1,250"),
)
"""Texts that are no length, and lengths that no bag has."""
CUT = {figure.name: figure for figure in CUT_FIGURES}
LABELS = {figure.name: figure.label for figure in (*CUT_FIGURES, *FINISHED_FIGURES)}


def type_in(line: QLineEdit, text: str) -> None:
    """Put a text in as if it were typed or pasted in one go."""
    line.selectAll()
    kind = QEvent.Type.KeyPress
    if text:
        # The key itself must be none that means something.
        event = QKeyEvent(kind, Qt.Key.Key_unknown, Qt.KeyboardModifier.NoModifier, text)
    else:
        event = QKeyEvent(kind, Qt.Key.Key_Delete, Qt.KeyboardModifier.NoModifier)
    QApplication.sendEvent(line, event)


def press(widget: QWidget, key: Qt.Key) -> None:
    for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
        QApplication.sendEvent(widget, QKeyEvent(kind, key, Qt.KeyboardModifier.NoModifier))


def sound(hands: Hands) -> None:
    """What must hold whatever is typed."""
    project, result = hands.document.project, hands.document.result
    assert project_from_json(project_to_json(project), source="x") == project
    assert result.bag is project.bag
    assert dict(compute(project.bag).finished) == dict(result.finished)


def spellings(size: Fraction) -> list[str]:
    """Lengths of about this size (mm), spelled in each way that the help promises."""
    eighths = max(round(size / plain_texts.INCH * 8), 9)
    whole, top = divmod(eighths | 1, 8)
    tenths = max(round(size * Fraction(103, 100)), 1)
    return [
        f"{whole} {25 * top}/200",
        f"{tenths / 10:g} cm",
        f'{whole}-{top}/8"',
        f"{whole}.{top}",
        f"{whole}{'⅛¼⅜½⅝¾⅞'[top - 1]} in",
        f"{tenths}mm",
        f"{tenths / 1000:.4f} m",
        f"{whole},{top}",
        f" {8 * whole + top}/8 inches ",
        f"{whole} in - 3 mm",
    ]


def near(box: FigureBox, value: float) -> list[str]:
    """Texts of about the value that a box has."""
    if isinstance(box, CountBox):
        return [f"{value + 1:g}", " +2 ", f"{value:g}.0", f"{value:g},5", "1 1/2", "*2", "1 + 3"]
    if isinstance(box, VolumeBox):
        litres = [f"{value * share:.2f}" for share in (1.02, 0.98, 1.01, 0.99)]
        quarts = f"{value / float(plain_texts.QUART) * 1.015:.1f} qt"
        inches = f"{value * 61.5:.0f} cu in"
        return [
            f"{litres[0]} L",
            quarts,
            inches,
            litres[1],
            f"{value * 990:.0f} ml",
            f"{value:.0f},5",
            "+1/2 qt",
            "101 %",
            f"{value:.2f} + 0.1",
        ]
    return [*spellings(Fraction(value)), *CHANGES]


CHANGES = ("+2 mm", "-1/16 in", "*1.01", "99 %", "/1.02", "+1 %", "=-1/2", "10 cm + 1/2 in")
"""Changes of what stands, and a sum."""


@dataclass(frozen=True)
class Stands:
    """What stands in a box before something is typed: its value, and its text."""

    value: Fraction | None
    text: str


def stands_in(box: FigureBox) -> Stands:
    # The shortest decimal that is the float: 18 3/16 in is 461.9625 mm, the float only near it.
    value = None if box.value is None else Fraction(repr(float(box.value)))
    return Stands(value, box.text())


def meant(box: FigureBox, text: str, unit: str, stood: Stands) -> Fraction | None:
    """What a text means in a box, mm, litres or pieces; None for what must be refused."""
    read = plain_texts.volume
    if isinstance(box, CountBox):
        read = plain_texts.count
    elif not isinstance(box, VolumeBox):
        read = partial(plain_texts.length, unit=unit)
    size = plain_texts.field(text, read, stood.value, stood.text)
    if size is None or not isinstance(box, CountBox):
        return size
    return size if size.denominator == 1 and abs(size) < 10**6 else None


def length_in(text: str, unit: str) -> Fraction | None:
    """What a text means in a line or cell where nothing stands that it could change, mm."""
    return plain_texts.field(text, partial(plain_texts.length, unit=unit), None)


def same(found: float | None, wanted: Fraction, least: float = 0.0) -> bool:
    """Whether a figure is what was meant, to 1e-9 of it, or to `least`."""
    return found is not None and abs(Fraction(found) - wanted) <= max(abs(wanted) / 10**9, least)


def figure_value(hands: Hands, name: str) -> float | None:
    """A cut or finished figure of the bag on the table."""
    bag = hands.document.bag
    return cut_value(bag, name) if name in CUT else hands.finished[name]


def judge_box(hands: Hands, name: str, text: str, before: str, stood: Stands) -> bool:
    """What a box must show once a text was entered; whether the text was taken."""
    box, where = hands.box(name), (name, text)
    size = meant(box, text, hands.window.display.unit.value, stood)
    colour = box.lineEdit().palette().color(QPalette.ColorRole.Text)
    assert (colour == problem_colour(hands.window.palette())) is bool(box.problem), where
    assert box.accessibleDescription() == box.problem, where
    if not box.problem:
        assert size is not None, f"{where} was taken, and means nothing"
        least = SOLVED if name not in CUT else HAIR if name == "handle_last_strip" else 0.0
        value = figure_value(hands, name)
        if value is None and isinstance(box, VolumeBox):
            value = 0.0  # there is no room at all, which is not told as a volume
        assert same(value, size, least), (where, value)
        return True
    assert project_to_json(hands.document.project) == before, f"{where} was refused, and did more"
    assert hands.note(name) == box.problem, where
    if size is not None:
        assert is_refused_rightly(hands, name, size, box.problem), (where, box.problem)
    else:
        assert box.problem.startswith(f"{LABELS[name]}: "), (where, box.problem)
    return False


SOLVED = 1e-6
"""mm, or litres: how near a redesign comes to a finished size."""
HAIR = 1e-6
"""mm: a last strip as near as this to the others is as long as they are."""
LIMIT = re.compile(r"must be (?:0 or )?(?:more than|at least|at most) (.+?)[.]( |$)")


def is_refused_rightly(hands: Hands, name: str, size: Fraction, problem: str) -> bool:
    """Whether a text that means something is beyond a limit, which the problem tells.

    Limits between figures are the model's to judge, and those of finished sizes the solver's,
    whose proofs have a judge of their own (tests/core/redesign/judge.py): the box says what
    they do.
    """
    bag, project = hands.document.bag, hands.document.project
    figure, wants = CUT.get(name), {name: float(size)}
    if figure is None:
        request = RedesignRequest(wants=wants, holds=frozenset(), matched=project.seams_matched)
        return problem == _refusal(hands, lambda: redesign(bag, request))
    beyond = beyond_limit(figure, size)
    if beyond is None:
        return problem == _refusal(hands, lambda: with_figures(bag, wants))
    told = LIMIT.search(problem.replace("\u00a0", " "))
    assert told is not None, problem
    assert problem.startswith(f"{figure.label} is "), problem
    if isinstance(hands.box(name), CountBox):
        return plain_texts.count(told[1]) == beyond
    shown, is_near = plain_texts.shown_length(told[1], hands.window.display.unit.value)
    is_metric = hands.window.display.unit is not Unit.INCH
    near = 0.05 + 1e-6 if is_metric else hands.window.display.step if is_near else 1e-6
    return abs(shown - Fraction(beyond)) <= near


def beyond_limit(figure: CutFigure, size: Fraction) -> float | None:
    """The limit of a figure that a size is beyond; a length is 0 or no less than `LEAST`."""
    if figure.quantity is Quantity.LENGTH and 0 < abs(size) < LEAST and figure.low < LEAST:
        return LEAST
    if size < figure.low or (figure.above_low and size == figure.low):
        return figure.low
    return figure.high if size > figure.high else None


def _refusal(hands: Hands, change: Callable[[], object]) -> str:
    """What the model says against a change; nothing where it takes it."""
    try:
        change()
    except CornerwrightError as error:
        return told_error(error, hands.window.display)
    return ""


def test_every_box_refuses_in_words_or_takes_what_it_says(
    hands: Hands, share: Callable[[int], int], tell: Callable[[str], None]
) -> None:
    measures = hands.window.measures
    names = [*measures.cut_rows, *measures.finished_rows]
    whole = share(1000) == 1000
    boxes = typed = taken = 0
    for place, name in enumerate(names):
        box = hands.box(name) if _has_box(hands, name) else None
        if box is None or not box.isEnabled():
            continue
        boxes += 1
        before = project_to_json(hands.document.project)
        likely = near(box, figure_value(hands, name) or 0.0)
        texts = [*BAD, *likely] if whole else [*BAD[place % 6 :: 6], *(likely * 2)[place % 3 :][:4]]
        for text in texts:
            box.setFocus()
            stood = stands_in(box)
            type_in(box.lineEdit(), text)
            press(box, Qt.Key.Key_Return)
            QApplication.processEvents()
            typed += 1
            taken += judge_box(hands, name, text, before, stood)
            sound(hands)
            press(box, Qt.Key.Key_Escape)
            while hands.document.undo_stack.canUndo():
                hands.document.undo_stack.undo()
            assert project_to_json(hands.document.project) == before, (name, text)
            assert not box.problem
    assert boxes > 30
    assert taken > 2 * boxes, "most of what is near the present size can be"
    tell(f"texts typed into {boxes} boxes: {typed}, {taken} taken as what they say, others told")


def _has_box(hands: Hands, name: str) -> bool:
    measures = hands.window.measures
    row = measures.finished_rows.get(name) or measures.cut_rows[name]
    return row.box is not None and row.box.isVisibleTo(hands.window)


DIALOGS = ("print", "edit_layers", "compare", "fit_tape", "take_up", "load", "preferences")


@pytest.mark.parametrize("name", DIALOGS)
def test_every_dialog_takes_bad_input_without_harm(
    hands: Hands, share: Callable[[int], int], tell: Callable[[str], None], name: str
) -> None:
    texts = BAD if share(1000) == 1000 else BAD[::8]
    first = project_to_json(hands.document.project)
    fed = 0
    for text in texts:
        fed += feed(hands, opener(hands, name), text)
        sound(hands)
        while hands.document.undo_stack.canUndo():
            hands.document.undo_stack.undo()
        assert project_to_json(hands.document.project) == first, text
    assert fed >= len(texts)
    tell(f"dialog {name}: {fed} fields fed with {len(texts)} bad texts")


def opener(hands: Hands, name: str) -> Callable[[], object]:
    """What opens the dialog: an action, or for one of them a button in the sewing order."""
    return hands.window.dialogs.edit_load if name == "load" else hands.window.commands[name].trigger


def feed(hands: Hands, open_dialog: Callable[[], object], text: str) -> int:
    """Open a dialog, put the text into every field, try to accept, and leave; fields fed."""
    return in_dialog(open_dialog, lambda dialog: _fill(dialog, text))


def in_dialog(open_dialog: Callable[[], object], fill: Callable[[QDialog], int]) -> int:
    """Open a dialog, fill it, try to accept, and leave; how many fields were filled."""
    fed: list[int] = []

    def work() -> None:
        dialog = QApplication.activeModalWidget()
        if not isinstance(dialog, QDialog):
            return
        timer.stop()
        try:
            fed.append(fill(dialog))
            QApplication.processEvents()
            for button in _accepting(dialog):
                if button.isEnabled() and dialog.isVisible():
                    button.click()
                    break
        finally:
            if dialog.isVisible():
                leave(dialog)

    timer = QTimer(interval=5)
    timer.timeout.connect(work)
    timer.start()
    open_dialog()
    timer.stop()
    assert len(fed) == 1
    return fed[0]


def leave(dialog: QDialog) -> None:
    """Close a dialog, and give up what was typed where it asks."""

    def give_up() -> None:
        box = QApplication.activeModalWidget()
        if isinstance(box, QMessageBox):
            role = QMessageBox.ButtonRole.AcceptRole
            next(each for each in box.buttons() if box.buttonRole(each) is role).click()

    timer = QTimer(interval=5)
    timer.timeout.connect(give_up)
    timer.start()
    dialog.reject()
    timer.stop()
    assert not dialog.isVisible()


def _fill(dialog: QDialog, text: str) -> int:
    fed = 0
    for view in dialog.findChildren(QAbstractItemView):
        model = view.model()
        if isinstance(view.parent(), QComboBox) or model is None:
            continue
        for row in range(model.rowCount(QModelIndex())):
            flat = isinstance(model, QAbstractListModel)
            for column in range(1 if flat else model.columnCount(QModelIndex())):
                index = model.index(row, column)
                if index.flags() & Qt.ItemFlag.ItemIsEditable:
                    model.setData(index, text, Qt.ItemDataRole.EditRole)
                    fed += 1
    for line in dialog.findChildren(QLineEdit):
        if line.isEnabled() and not line.isReadOnly() and line.isVisibleTo(dialog):
            type_in(line, text)
            fed += 1
            holder = line.parent()
            if isinstance(holder, FigureBox):
                press(holder, Qt.Key.Key_Tab)
    return fed


def _accepting(dialog: QDialog) -> list[QAbstractButton]:
    roles = (QDialogButtonBox.ButtonRole.AcceptRole, QDialogButtonBox.ButtonRole.ApplyRole)
    return [
        button
        for box in dialog.findChildren(QDialogButtonBox)
        for button in box.buttons()
        if box.buttonRole(button) in roles
    ]


# --- What a dialog takes --------------------------------------------------------------------------

LIKELY = (
    *("18 1/2", "10-3/4 in", "3.5", "2½", "1/32", "47 cm", "270mm", "0.02 m", "12", "0.35", "2,5"),
    *("1,250", "4 %", "18; 22 in, 55 cm", "9e2", "0.8 mm", "5e-1"),
)
"""Texts that are something in one field or another."""
_TOLD_SIZE = re.compile(
    r"(?:\u2248 )?\u2212?[0-9][0-9./ ]*(?:e[-+]?[0-9]+)? ?(?:in\b|mm|cm|m\b|%)?"
)
_PRICED = {"in": 36 * plain_texts.INCH, "mm": Fraction(1000), "cm": Fraction(1000)}
"""The length that a price is told for, mm: a yard or a metre."""
_MASSES = {"in": Fraction("33.905747"), "mm": Fraction(1), "cm": Fraction(1)}
"""g/m2 of one in which the mass of cloth is told: 1 oz/yd2 (ounce of 1959, 28.349523125 g)."""


def judge_field(label: str, size: Any, found: Any, problem: str, unit: str = "in") -> bool:
    """What a field of a dialog must do with a text that means `size`; whether it took it."""
    told = problem.replace("\u00a0", " ")
    if not problem:
        assert size is not None, (label, found)
        if isinstance(size, Fraction):
            assert same(found, size), (label, float(size), found)
        else:
            assert found == size, (label, size, found)
        return True
    assert label.casefold() in told.casefold(), (label, told)
    if size is not None:
        assert is_beyond(size, told, unit), (label, size, told)
    return False


def is_beyond(size: Fraction, told: str, unit: str) -> bool:
    """Whether a size is beyond the limits that a sentence tells."""
    rule = told.partition("must be ")[2]
    shown = [each.strip() for each in _TOLD_SIZE.findall(rule)]
    sizes = [
        Fraction(each.removesuffix("%")) / 100
        if each.endswith("%")
        else plain_texts.shown_length(each, "mm")[0]
        for each in shown
    ]
    slack = Fraction(8, 5) if "≈" in rule else Fraction(1, 20)
    if "near the" in rule:
        low, high = sizes[0] / 2, 3 * sizes[0] / 2
    elif len(sizes) == 2:
        low, high = sizes
    elif "at most" in rule:
        return size > sizes[0] - slack
    elif "from 0 up" in rule:
        return size >= 10**9
    else:
        return size <= sizes[0] + slack
    return size <= low + slack or size > high - slack


def read_print(hands: Hands, texts: list[str]) -> list[bool]:
    """What the print dialog takes of texts."""
    dialog = PrintDialog(
        hands.document.result, hands.window.display, folder=".", parent=hands.window
    )
    dialog.paper.setCurrentIndex(dialog.paper.count() - 1)  # a roll
    taken = []
    for line, label in ((dialog.roll_width, "roll"), (dialog.overlap, "Overlap")):
        usual = line.text()
        for text in texts:
            type_in(line, text)
            dialog.refresh()
            options = dialog.options
            found = None
            if options is not None:
                found = options.paper.width if label == "roll" else options.overlap
            assert dialog.save_button.isEnabled() is (options is not None)
            assert (options is None) is bool(dialog.problem)
            taken.append(judge_field(label, length_in(text, "in"), found, dialog.problem))
        type_in(line, usual)
    dialog.refresh()
    dialog.deleteLater()
    return taken


def read_layers(hands: Hands, texts: list[str]) -> list[bool]:
    """What the dialog of layers takes of texts: in the cells of a row, and in the lines."""
    bag, display = hands.document.bag, hands.window.display
    priced, mass = _PRICED[display.unit.value], _MASSES[display.unit.value]
    thread = priced  # it is told by the yard or by the metre, too
    readers: dict[str, tuple[str, Callable[[str], Any]]] = {
        "usable_width": ("Usable width", lambda text: length_in(text, "in")),
        "sold_step": ("Selling step", lambda text: length_in(text, "in")),
        "thickness": ("Thickness", lambda text: length_in(text, "mm")),
        "pressed": ("Pressed", lambda text: length_in(text, "mm")),
        "mass_per_area": ("Weight", lambda text: _over(plain_texts.number(text), 1 / mass)),
        "price_per_length": ("Price", lambda text: _over(plain_texts.number(text), priced)),
        "shrink_length": ("Shrink", plain_texts.percentage),
        "shrink_width": ("Shrink", plain_texts.percentage),
        "role": ("Role", lambda text: _words(text) or None),
        "name": ("Material", _words),
    }
    lines: dict[str, tuple[str, Callable[[str], Any]]] = {
        "zip_price": ("Price", plain_texts.number),
        "spool_price": ("Price", plain_texts.number),
        "spool_length": ("spool", lambda text: _over(plain_texts.number(text), 1 / thread)),
        "clip_spacing": ("Clip spacing", lambda text: length_in(text, "in")),
    }
    taken = []
    for place, text in enumerate(texts):
        row = place % len(bag.sandwich.layers)
        for name, (label, reader) in readers.items():
            dialog = LayersDialog(bag.sandwich.layers, display, hands.window, supplies=bag.supplies)
            column = next(n for n, cell in enumerate(CELLS) if cell.attribute == name)
            item = dialog.table.item(row, column)
            assert item is not None
            item.setText(text)
            dialog.accept()
            found = getattr(dialog.layers[row], name)
            taken.append(judge_field(label, reader(text), found, dialog.problem))
            assert (dialog.layers == bag.sandwich.layers) or not dialog.problem
            dialog.deleteLater()
        for name, (label, reader) in lines.items():
            dialog = LayersDialog(bag.sandwich.layers, display, hands.window, supplies=bag.supplies)
            type_in(dialog.notions.lines[name], text)
            dialog.accept()
            found = getattr(dialog.supplies, name)
            taken.append(judge_field(label, reader(text), found, dialog.problem))
            dialog.deleteLater()
        taken.append(_read_zips(hands, text))
    return taken


def _read_zips(hands: Hands, text: str) -> bool:
    bag = hands.document.bag
    dialog = LayersDialog(
        bag.sandwich.layers, hands.window.display, hands.window, supplies=bag.supplies
    )
    type_in(dialog.notions.lines["zip_lengths"], text)
    dialog.accept()
    sizes, found = plain_texts.lengths(text, "in"), dialog.supplies.zip_lengths
    if dialog.problem:
        assert "zip" in dialog.problem.casefold()
        told = dialog.problem.replace("\u00a0", " ")
        assert sizes is None or any(is_beyond(size, told, "in") for size in sizes)
    else:
        assert sizes is not None
        pairs = zip(found or (), sizes, strict=True)
        assert all(same(one, other) for one, other in pairs), (text, found)
    dialog.deleteLater()
    return not dialog.problem


def _over(size: Fraction | None, each: Fraction) -> Fraction | None:
    return None if size is None else size / each


def _words(text: str) -> str | None:
    plain = " ".join(text.split())
    return plain if len(plain) <= 60 else None


def read_tape(dialog: FitDialog | TakeUpDialog, texts: list[str]) -> list[bool]:
    """What rows of measurements take of texts, and what the dialog then says."""
    taken = []
    for name, box in dialog.rows.boxes.items():
        for text in texts:
            stood = stands_in(box)
            type_in(box.lineEdit(), text)
            press(box, Qt.Key.Key_Return)
            size = meant(box, text, "in", stood)
            if not text.strip():
                assert name not in dialog.rows.measured
                assert not box.problem
                continue
            found = dialog.rows.measured.get(name)
            taken.append(judge_field(box.accessibleName(), size, found, box.problem))
            if isinstance(dialog, FitDialog) and not box.problem:
                _judge_fit(dialog, name, box.accessibleName(), size)
            elif isinstance(dialog, TakeUpDialog):
                _judge_sample(dialog, name, box, size)
        type_in(box.lineEdit(), "")
        press(box, Qt.Key.Key_Return)
    dialog.deleteLater()
    return taken


def _judge_fit(dialog: FitDialog, name: str, label: str, size: Fraction | None) -> None:
    assert size is not None
    if dialog.fitted is None:
        said = dialog.verdict.text()
        assert said.startswith(("Measurements: ", label)), said
        assert not said.startswith(label) or is_beyond(size, said.replace("\u00a0", " "), "in")
        return
    drawn, left = dialog.fitted.result.finished[name], dialog.fitted.residuals
    assert left.keys() == {name}
    assert drawn is not None
    assert abs(Fraction(drawn) + Fraction(left[name]) - size) <= Fraction(1, 10**6)


def _judge_sample(dialog: TakeUpDialog, name: str, box: FigureBox, size: Fraction | None) -> None:
    before = dialog.project
    dialog.accept()
    if dialog.project is before:  # refused
        if size is not None:
            judge_field(box.accessibleName(), size, None, dialog.verdict.text())
        return
    assert size is not None
    assert dialog.project.sample is not None
    assert dialog.project.sample.measured.keys() == {name}
    assert same(dialog.project.sample.measured[name], size)
    dialog.project = before


def read_load(hands: Hands, texts: list[str]) -> list[bool]:
    """What the dialog of load and thread takes of texts."""
    # lb per US quart -> kg/m3; threads are kept in pounds.
    each = {"density": plain_texts.POUND / plain_texts.QUART * 1000}
    labels = {
        "density": ("Density of the load", 25_000),
        "needle_thread": ("Needle thread", 1000),
        "bobbin_thread": ("Bobbin thread", 1000),
        "safety": ("Factor of safety", 1000),
    }
    taken = []
    for name, (label, most) in labels.items():
        for text in texts:
            dialog = LoadDialog(
                hands.document.result, 20.0, None, hands.window.display, hands.window
            )
            type_in(dialog.fields[name], text)
            dialog.accept()
            size = plain_texts.number_with_comma(text)
            size = None if size is None else size * each.get(name, Fraction(1))
            if dialog.result():
                assert size is not None, (name, text)
                assert dialog.load is not None
                assert same(getattr(dialog.load, name), size), (name, text)
                others = labels.keys() - {name}
                usual = Load()
                assert all(getattr(dialog.load, key) == getattr(usual, key) for key in others)
            else:
                assert dialog.verdict.text().startswith(f"{label} is "), (
                    name,
                    text,
                    dialog.verdict.text(),
                )
                least = 1 if name == "safety" else 0
                assert size is None or not least <= size <= most or not size, (name, text)
            taken.append(bool(dialog.result()))
            dialog.deleteLater()
    return taken


READERS: dict[str, Callable[[Hands, list[str]], list[bool]]] = {
    "print": read_print,
    "edit_layers": read_layers,
    "fit_tape": lambda hands, texts: read_tape(
        FitDialog(hands.document.bag, hands.window.display, hands.window), texts
    ),
    "take_up": lambda hands, texts: read_tape(
        TakeUpDialog(hands.document.project, hands.window.display, hands.window), texts
    ),
    "load": read_load,
}


@pytest.mark.parametrize("name", READERS)
def test_what_a_dialog_takes_is_what_is_typed(
    hands: Hands, share: Callable[[int], int], tell: Callable[[str], None], name: str
) -> None:
    texts = [*BAD, *LIKELY] if share(1000) == 1000 else [*BAD[::15], "1_000", *LIKELY[::3]]
    before = hands.document.project
    taken = READERS[name](hands, texts)
    assert hands.document.project is before
    assert any(taken)
    assert not all(taken)
    tell(f"dialog {name}: {len(taken)} texts, {sum(taken)} taken as what they say, others told")


def _fill_line(field: str, text: str) -> Callable[[QDialog], int]:
    """Types a text into one field of a dialog."""

    def fill(dialog: QDialog) -> int:
        if isinstance(dialog, LayersDialog):
            column = next(n for n, cell in enumerate(CELLS) if cell.attribute == field)
            item = dialog.table.item(0, column)
            assert item is not None
            item.setText(text)
        elif isinstance(dialog, FitDialog | TakeUpDialog):
            type_in(dialog.rows.boxes[field].lineEdit(), text)
            press(dialog.rows.boxes[field], Qt.Key.Key_Return)
        elif isinstance(dialog, LoadDialog):
            type_in(dialog.fields[field], text)
        elif isinstance(dialog, PrintDialog):
            type_in(dialog.overlap, text)
        return 1

    return fill


def test_what_a_dialog_takes_is_in_the_project(hands: Hands) -> None:
    def taken(name: str, field: str, text: str) -> None:
        in_dialog(opener(hands, name), _fill_line(field, text))

    document, quart = hands.document, plain_texts.QUART
    taken("edit_layers", "usable_width", "1.2 m")
    assert document.bag.sandwich.layers[0].usable_width == 1200.0
    taken("load", "density", "0,75")
    assert document.project.load is not None
    assert same(document.project.load.density, Fraction(3, 4) * plain_texts.POUND / quart * 1000)
    taken("take_up", "base_width", "10 3/4")
    assert document.project.sample is not None
    assert same(document.project.sample.measured["base_width"], Fraction(43, 4) * plain_texts.INCH)
    taken("fit_tape", "base_width", "26 cm")
    assert same(document.result.finished["base_width"], Fraction(260), SOLVED)
    taken("print", "overlap", "3/4")
    kept = hands.window.settings.print_choices(hands.window.display.unit)
    assert kept is not None
    assert same(kept.overlap, Fraction(3, 4) * plain_texts.INCH)


def test_bad_names_are_refused_or_kept_as_they_are(
    hands: Hands, tell: Callable[[str], None]
) -> None:
    names = (*BAD, "x" * 10_000, "\u2028", "a\0b", "CON", "../../x", "\ud83d", "line\nbreak")
    for name in names:
        hands.answers.named = name
        for action in ("rename", "keep_variant", "name_starting"):
            hands.window.commands[action].trigger()
            sound(hands)
    stack = hands.document.undo_stack
    while stack.canUndo():
        stack.undo()
    sound(hands)
    tell(f"bad names given to bag, variant and starting bag: {len(names)}")
