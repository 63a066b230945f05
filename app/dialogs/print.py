"""Printing: paper, whole or half walls, which pieces; the pages before they are saved."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QComboBox,
    QDialogButtonBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QRadioButton,
    QVBoxLayout,
    QWidget,
)

from app.dialogs.page_view import PageView
from app.files.export import ask_export, exported, file_name, save_export
from app.help.topics import Topic, set_topic
from app.session.display import Display, told, told_error, told_rule, tr, translated
from app.session.settings import PrintChoices
from app.widgets.dialog import FittedDialog
from app.widgets.labels import TonedLabel, keep_room
from app.widgets.layouts import arrow_button, holding
from app.widgets.theme import problem_colour
from core.bag.compute import Result
from core.base.errors import CornerwrightError
from core.base.quantities import reckon_length
from core.base.sentences import plural, say
from core.base.tolerance import same_length
from core.base.units import LengthTextError, Unit, format_exact, format_length, parse_length
from core.model.findings import Severity
from core.output.papers import PAPERS, Paper, roll
from core.output.print_options import PrintOptions

ChoosePath = Callable[[QWidget, str], str]
"""(parent, suggested path) -> chosen path, "" when nothing was chosen. The path has the suggested
one's ending, and a file that lies there may be replaced."""

_PAUSE = 250
"""ms: typing or ticking on within this time redraws the pages once."""
_ROLL = "roll"


def _length_of(line: QLineEdit, unit: Unit) -> float:
    """The length typed in a line, mm."""
    return reckon_length(line.text(), unit=unit, stands=None).value


def ask_path(parent: QWidget, suggested: str) -> str:
    """Ask with the platform's dialog where the PDF goes."""
    title = tr("Save pattern as PDF")
    kind = tr("PDF file (*.pdf)")
    chosen = ask_export(parent, title, kind, Path(suggested))
    return "" if chosen is None else str(chosen)


class PrintDialog(FittedDialog):
    """Lays the pattern on pages, shows them, and saves the PDF.

    Attributes:
        path: where the PDF is; None while none is saved.
        options: what would be saved now; None when the choices do not go together.
        choices: how the pages were laid when the dialog was left; None where that cannot be.
    """

    def __init__(
        self,
        result: Result,
        display: Display,
        *,
        folder: Path | str,
        own: Path | None = None,
        choices: PrintChoices | None = None,
        choose_path: ChoosePath | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._result = result
        self._display = display
        self._folder = Path(folder)
        self._own = own
        self._choose_path = choose_path or ask_path
        self._data: bytes | None = None
        self.options: PrintOptions | None = None
        self.path: Path | None = None
        self.choices: PrintChoices | None = None
        self.setWindowTitle(self.tr("Save pattern as PDF"))
        set_topic(self, Topic.PRINT)
        self._pause = QTimer(self, singleShot=True, interval=_PAUSE)
        self._pause.timeout.connect(self.refresh)
        self._make_controls(choices or self._usual_choices())
        self._make_preview()
        self._build()
        self._on_paper_change()
        self.refresh()

    # --- what is chosen and said ----------------------------------------------------------

    @property
    def problem(self) -> str:
        """What is said about choices that do not go together, or a file not written."""
        return self._problem.text()

    def refresh(self) -> None:
        """Lay the pages out anew and show them, or say why that cannot be."""
        # The writer is loaded when a pattern is first printed, not with the program.
        from core.output.printed_pattern import pdf_bytes

        self._pause.stop()
        self.options = self._data = None
        problem = ""
        try:
            options = self.options = self._read_options()
            self._data = exported(lambda: pdf_bytes(self._result, options))
        except LengthTextError as error:
            problem = self.tr("{field}: {rule}.").format(
                field=self._field_in_trouble, rule=told_rule(error)
            )
        except CornerwrightError as error:
            self.options = None
            problem = told_error(error, self._display)
        self._problem.setText(problem)
        self._problem.setVisible(bool(problem))
        self._show_pages()

    # --- controls -----------------------------------------------------------------------

    def _usual_choices(self) -> PrintChoices:
        unit = self._display.unit
        by_inch = unit is Unit.INCH
        return PrintChoices(
            paper=self._display.paper.name,
            roll_width=36 * 25.4 if by_inch else 914.0,
            overlap=PrintOptions.usual(unit).overlap,
            half=False,
        )

    def _make_controls(self, choices: PrintChoices) -> None:
        self.paper = QComboBox()
        self.paper.setToolTip(self.tr("Sheets of your printer, or a roll of its width."))
        self.paper.setAccessibleName(self.tr("Paper"))
        for paper in PAPERS:
            self.paper.addItem(self._paper_text(paper), paper)
        self.paper.addItem(self.tr("Roll"), _ROLL)
        names = [*(paper.name for paper in PAPERS), ""]
        known = choices.paper if choices.paper in names else self._usual_choices().paper
        self.paper.setCurrentIndex(names.index(known))
        self.paper.currentIndexChanged.connect(self._on_paper_change)
        self.roll_width = self._length_line(
            self.tr("Roll width"),
            choices.roll_width,
            self.tr("Width of the roll of paper; pages are as long as they need to be."),
        )
        self.overlap = self._length_line(
            self.tr("Overlap"),
            choices.overlap,
            self.tr("Strip that neighbouring pages share, for gluing or taping them together."),
        )
        self.whole = QRadioButton(self.tr("&Whole"))
        self.half = QRadioButton(self.tr("&Half, to cut on the fold"))
        self.whole.setToolTip(self.tr("Print each piece whole."))
        self.half.setToolTip(
            self.tr(
                "Print half of each symmetric piece of the walls: lay its edge on the folded cloth."
            )
        )
        (self.half if choices.half else self.whole).setChecked(True)
        self.half.toggled.connect(self._on_choice)
        self.pieces = QListWidget()
        self.pieces.setToolTip(self.tr("Tick the pieces that are to be printed."))
        self.pieces.setAccessibleName(self.tr("Pieces to print"))
        for piece in self._result.draft.pieces:
            item = QListWidgetItem(translated(piece.label))
            item.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsUserCheckable)
            item.setCheckState(Qt.CheckState.Checked)
            self.pieces.addItem(item)
        self.pieces.itemChanged.connect(self._on_choice)
        self._problem = TonedLabel(problem_colour, parent=self)
        keep_room(self._problem, 2)
        self._count = QLabel()
        self._field_in_trouble = ""

    def _stop_labels(self) -> list[TonedLabel]:
        """What will not go together, said before paper and goods are spent on it."""
        stops = [each for each in self._result.findings if each.severity is Severity.STOP]
        labels = [
            TonedLabel(
                problem_colour,
                self.tr("Stop: {finding}").format(finding=told(stop.message, self._display)),
            )
            for stop in stops
        ]
        for label in labels:
            label.setWordWrap(True)
        return labels

    def _length_line(self, name: str, length: float, help_text: str) -> QLineEdit:
        unit = self._display.unit
        text = format_length(length, unit=unit)
        # A rounded figure must not become the figure: show what it is.
        is_whole = same_length(parse_length(text, unit=unit), length)
        line = QLineEdit(text if is_whole else format_exact(length, unit=unit))
        line.setAccessibleName(name)
        line.setToolTip(help_text)
        line.textEdited.connect(self._on_choice)
        return line

    def _paper_text(self, paper: Paper) -> str:
        if paper.height is None:
            return paper.name
        # In the unit of its standard, whatever the reader's.
        if paper.width.is_integer():
            size = f"{paper.width:.0f} × {paper.height:.0f} mm"
        else:
            size = f"{paper.width / 25.4:g} × {paper.height / 25.4:g} in"
        return self.tr("{paper}  ({size})").format(paper=paper.name, size=size)

    def _make_preview(self) -> None:
        self.view = PageView()
        self.before_button = arrow_button(Qt.ArrowType.LeftArrow, self.tr("Previous page"))
        self.next_button = arrow_button(Qt.ArrowType.RightArrow, self.tr("Next page"))
        self.before_button.clicked.connect(self._on_before)
        self.next_button.clicked.connect(self._on_next)
        for key, slot in (
            (QKeySequence.StandardKey.MoveToPreviousPage, self._on_before),
            (QKeySequence.StandardKey.MoveToNextPage, self._on_next),
        ):
            QShortcut(QKeySequence(key), self).activated.connect(slot)
        self._place = QLabel()
        self._place.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._place.setMinimumWidth(150)

    def _build(self) -> None:
        form = QFormLayout()
        form.addRow(self.tr("&Paper"), self.paper)
        form.addRow(self.tr("&Roll width"), self.roll_width)
        form.addRow(self.tr("&Overlap"), self.overlap)
        form.addRow(self.tr("Walls"), self.whole)
        form.addRow("", self.half)
        self._form = form
        hint = self.hint(
            self.tr("Print the PDF at 100 %, not fitted to the page, and measure the test squares.")
        )
        self.save_button = QPushButton(self.tr("&Save PDF…"))
        self.save_button.setDefault(True)
        self.save_button.clicked.connect(self._on_save)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.addButton(self.save_button, QDialogButtonBox.ButtonRole.ActionRole)
        close = buttons.button(QDialogButtonBox.StandardButton.Close)
        close.setAutoDefault(False)
        buttons.rejected.connect(self.reject)
        pieces_label = QLabel(self.tr("P&ieces"))
        pieces_label.setBuddy(self.pieces)
        left = QVBoxLayout()
        left.addLayout(form)
        left.addWidget(pieces_label)
        left.addWidget(self.pieces, 1)
        for label in (self._count, self._problem, *self._stop_labels(), hint):
            left.addWidget(label)
        right = QVBoxLayout()
        right.addWidget(self.view, 1)
        turning = (None, self.before_button, self._place, self.next_button, None)
        right.addLayout(holding(QHBoxLayout(), *turning))
        columns = QHBoxLayout()
        columns.addLayout(left, 2)
        columns.addLayout(right, 5)
        self.lay_out(columns, buttons, letters=(166, 52))
        # In the order seen: Qt would pass over the one made first on the way down.
        QWidget.setTabOrder(self.save_button, close)

    # --- reading and showing ------------------------------------------------------------

    def _read_options(self) -> PrintOptions:
        self._field_in_trouble = self.tr("Roll width")
        paper = self.paper.currentData()
        if paper == _ROLL:
            width = _length_of(self.roll_width, self._display.unit)
            paper = roll(width, self.tr("roll {width}").format(width=self._display.length(width)))
        self._field_in_trouble = self.tr("Overlap")
        overlap = _length_of(self.overlap, self._display.unit)
        pieces = self._result.draft.pieces
        chosen = [
            piece.id
            for row, piece in enumerate(pieces)
            if self.pieces.item(row).checkState() is Qt.CheckState.Checked
        ]
        return PrintOptions(
            paper=paper,
            overlap=overlap,
            half=self.half.isChecked(),
            pieces=None if len(chosen) == len(pieces) else frozenset(chosen),
            wording=self._display.wording,
        )

    def _chosen(self) -> PrintChoices | None:
        """What is asked for, for the next time; None where it cannot be."""
        options = self.options
        if options is None:
            return None
        is_roll = self.paper.currentData() == _ROLL
        try:
            width = _length_of(self.roll_width, self._display.unit)
        except LengthTextError:
            width = self._usual_choices().roll_width  # nobody looks at it while there is no roll
        return PrintChoices(
            paper="" if is_roll else options.paper.name,
            roll_width=width,
            overlap=options.overlap,
            half=options.half,
        )

    def _show_pages(self) -> None:
        page = self.view.page
        self.view.show_file(self._data)
        self.view.show_page(min(page, max(self.view.count - 1, 0)))
        count = self.view.count
        self.save_button.setEnabled(count > 0)
        pages = say(plural("1 page", "{count} pages"), numbers={"count": count})
        self._count.setText(pages.text(translate=translated) if count else "")
        self._show_place()

    def _show_place(self) -> None:
        page, count = self.view.page, self.view.count
        self.before_button.setEnabled(page > 0)
        self.next_button.setEnabled(page + 1 < count)
        text = self.tr("Page {page} of {count}").format(page=page + 1, count=count)
        self._place.setText(text if count else "")

    # --- handlers -----------------------------------------------------------------------

    def _on_paper_change(self) -> None:
        self._form.setRowVisible(self.roll_width, self.paper.currentData() == _ROLL)
        self._pause.start()

    def _on_choice(self) -> None:
        self._pause.start()

    def _on_before(self) -> None:
        self.view.show_page(self.view.page - 1)
        self._show_place()

    def _on_next(self) -> None:
        self.view.show_page(self.view.page + 1)
        self._show_place()

    def _on_save(self) -> None:
        self.refresh()
        data = self._data
        if data is None:
            return
        name = file_name(self._result.bag.name, otherwise=self.tr("pattern"))
        suggested = self._folder / f"{name}.pdf"
        chosen = self._choose_path(self, str(suggested))
        if not chosen:
            return
        path = Path(chosen)
        try:
            save_export(path, lambda: data, own=self._own)
        except CornerwrightError as error:
            self._tell(told_error(error, self._display))
            return
        self.path = path
        self.accept()

    def _tell(self, problem: str) -> None:
        self._problem.setText(problem)
        self._problem.setVisible(True)

    # Qt's own names from here on.

    def done(self, result: int) -> None:
        if self._pause.isActive():
            self.refresh()  # the last choice counts, too
        self.choices = self._chosen()
        super().done(result)
