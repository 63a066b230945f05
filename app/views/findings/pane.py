"""Findings: what is doubtful about the bag, worst first, each with the change that fixes it."""

from itertools import chain, repeat
from typing import NamedTuple

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from app.help.topics import Topic, set_topic
from app.session.display import counted, told, told_error, tr
from app.session.session import Session
from app.session.soon import Soon
from app.views.findings.row import FindingRow
from app.widgets.desktop import enclosing, width_beside_bar
from app.widgets.labels import ReleaseBar, TonedLabel
from app.widgets.layouts import button, holding, spaced
from app.widgets.menus import Command, FigureLines, MenuLine, copying, widget_at
from app.widgets.theme import heading_font, muted_colour, problem_colour
from core.bag.figures import FINISHED, is_cut
from core.base.errors import CornerwrightError
from core.model.findings import Finding, Fix, Severity

LATER = 16
"""Milliseconds after a change at which findings are written: the drawings come first."""


class _Place(NamedTuple):
    """A row, counted from 0, and one of its fixes; None for the row itself."""

    row: int
    fix: int | None


class FindingsPane(QFrame):
    """The findings of the document's bag, always the current ones."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._document = document = session.document
        self._display = display = session.display
        self._redesigner, self._load = session.redesigner, session.load
        self._shown: tuple[Finding, ...] | None = None
        self.rows: list[FindingRow] = []
        self._words = {
            Severity.STOP: self.tr("Stop"),
            Severity.WARN: self.tr("Warning"),
            Severity.NOTE: self.tr("Note"),
        }
        self.setAccessibleName(self.tr("Findings"))
        self._soon = Soon(self, LATER)
        self._soon.came.connect(self.refresh)
        self._build()
        document.changed.connect(self._on_changed)
        document.refusal_cleared.connect(self._forget_refusal)
        document.refused.connect(self._on_refused)
        display.changed.connect(self._on_display_changed)
        self._load.changed.connect(self._on_changed)
        self.refresh()

    @property
    def refusal(self) -> str:
        """The line about the edit that could not be; empty when there is none."""
        return self._refusal.text()

    def refresh(self) -> None:
        """Write the findings of the current bag, once no button is held down.

        A press takes what is typed in a field, which may change the findings: what is done
        on release is what the button said when it was pressed.
        """
        if any(button.isDown() for row in self.rows for button in row.fix_buttons):
            self._soon.start()
            return
        self._soon.stop()
        findings = self._findings
        if findings == self._shown:
            self._grey_older(findings)
            return
        shown, self._shown = self._shown or (), findings
        while len(self.rows) < len(findings):
            self._add_row()
        before, after = self._focus_through(shown, findings)
        if after != before:
            self.setFocus()  # what has it may be hidden below, and Qt would choose the next
        for row, finding, was in zip(self.rows, findings, chain(shown, repeat(None)), strict=False):
            if finding != was:
                self._write(row, finding)
        for place, row in enumerate(self.rows):
            row.setVisible(place < len(findings))
        self._nothing.setVisible(not findings)
        self._title.setText(self._heading(findings))
        self._grey_older(findings)
        if after is not None and after != before:
            self._focus(*after)

    def _focus_through(
        self, shown: tuple[Finding, ...], findings: tuple[Finding, ...]
    ) -> tuple[_Place | None, _Place | None]:
        """Where the focus is, and where it goes when other findings are written.

        It stays with a finding, and on a fix that is still the same: what it was on may be
        written over with a change that nobody has read. Of one that is gone, it goes to the row
        that comes in its place.
        """
        focus = self.window().focusWidget()
        row = enclosing(focus, FindingRow)
        if row is None or row not in self.rows:
            return None, None
        place = self.rows.index(row)
        buttons = row.fix_buttons
        number = next((each for each, button in enumerate(buttons) if button is focus), None)
        before = _Place(place, number)
        was = shown[place]
        same = [each for each, now in enumerate(findings) if _is_of_same(now, was)]
        if not same:
            last = len(findings) - 1
            return before, _Place(min(place, last), None) if findings else None
        place = place if place in same else same[0]
        fixes = findings[place].fixes
        fix = None if number is None else was.fixes[number]
        return before, _Place(place, None if fix not in fixes else fixes.index(fix))

    def _focus(self, place: int, number: int | None) -> None:
        row = self.rows[place]
        target: QWidget = row if number is None else row.fix_buttons[number]
        target.setFocus()

    @property
    def _findings(self) -> tuple[Finding, ...]:
        found = self._document.result.findings
        heavy = self._load.finding  # which takes longer; older numbers are greyed
        if heavy is None:
            return found
        return tuple(sorted((*found, heavy), key=lambda each: -each.severity))

    def _grey_older(self, findings: tuple[Finding, ...]) -> None:
        """Grey the row of the load while it is that of older numbers."""
        load = self._load
        for row, finding in zip(self.rows, findings, strict=False):
            older = finding is load.finding and not load.current
            if older and enclosing(self.window().focusWidget(), FindingRow) is row:
                self.setFocus()  # Qt would choose the next, which may lie in another pane
            row.setEnabled(not older)

    def fix_worst(self) -> bool:
        """Apply the best fix of the worst finding that has one; False when none has."""
        for finding in self._findings:
            if finding.fixes:
                self._apply(finding.fixes[0])
                return True
        return False

    def menu_at(self, at: QPoint | None) -> list[MenuLine]:
        row = enclosing(widget_at(self, at), FindingRow)
        if row is None or row not in self.rows:
            return []
        fixes = zip(row.fixes, row.fix_buttons, strict=True)
        lines: list[MenuLine] = [Command(label, button.click) for label, button in fixes]
        if lines:
            lines.append(None)
        figure = self.figure_of(row)
        lines.append(FigureLines(figure))
        if not is_cut(figure) and figure not in FINISHED:
            lines.append(Command(tr("Go to the measure"), row.asked.emit))
        return [*lines, None, copying(tr("Copy this finding"), row.sentence)]

    def _build(self) -> None:
        self._title = QLabel(self)
        self._title.setFont(heading_font(self._title.font()))
        self._title.setContentsMargins(8, 6, 8, 4)
        self._refusal = TonedLabel(problem_colour, parent=self)
        self._refusal.setWordWrap(True)
        self._refusal.setContentsMargins(8, 0, 8, 4)
        self._refusal.hide()
        self.show_field = button(
            self.tr("Show"),
            self,
            self.tr("Go to the field; the reason is shown below the measures."),
            then=self._on_show_field,
        )
        self.show_field.hide()
        refused = spaced(QHBoxLayout(), around=(0, 0, 8, 0))
        refused.addWidget(self._refusal, 1)
        refused.addWidget(self.show_field, 0, Qt.AlignmentFlag.AlignTop)
        self.releases = ReleaseBar(self)
        self.releases.setContentsMargins(8, 0, 8, 4)
        self.releases.release_asked.connect(self._redesigner.release)
        self._nothing = TonedLabel(
            muted_colour,
            self.tr(
                "No problems found: this bag can be sewn as drawn. Next, read the sewing order or "
                "save the pattern as PDF."
            ),
            self,
        )
        self._nothing.setWordWrap(True)
        self._nothing.setContentsMargins(8, 6, 8, 6)
        self._list = QWidget()
        self._rows = spaced(QVBoxLayout(self._list), 0)
        holding(self._rows, self._nothing, None)
        scroll = QScrollArea(self)
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(self._list)
        self._scroll = scroll
        holding(spaced(QVBoxLayout(self), 0), self._title, refused, self.releases, scroll)

    def _heading(self, findings: tuple[Finding, ...]) -> str:
        if not findings:
            return self.tr("Findings")
        return self.tr("Findings: {counts}").format(counts=counted(findings))

    def _add_row(self) -> None:
        place = len(self.rows)
        row = FindingRow(self._list)
        row.fit(width_beside_bar(self._scroll, self.width()))
        row.asked.connect(lambda: self._on_asked(place))
        row.fix_asked.connect(lambda number: self._on_fix_asked(place, number))
        self.rows.append(row)
        self._rows.insertWidget(place, row)

    def _write(self, row: FindingRow, finding: Finding) -> None:
        set_topic(row, Topic.FINDINGS, finding.code)
        metrics = row.fontMetrics()
        widest = max(metrics.horizontalAdvance(word) for word in self._words.values())
        row.show_finding(
            finding.severity,
            self._words[finding.severity],
            told(finding.message, self._display),
            [told(fix.label, self._display) for fix in finding.fixes],
            widest + 10,
        )

    def figure_of(self, row: FindingRow) -> str:
        """The figure that a row's finding is about; empty where the row shows none."""
        place, findings = self.rows.index(row), self._findings
        return findings[place].figure if place < len(findings) else ""

    def _apply(self, fix: Fix) -> None:
        self._document.apply_fix(fix, told(fix.label, self._display))

    def _on_asked(self, place: int) -> None:
        self.refresh()
        findings = self._findings
        if place < len(findings):
            self._document.figure_asked.emit(findings[place].figure)

    def _on_fix_asked(self, place: int, number: int) -> None:
        shown = self._shown or ()
        if place < len(shown) and number < len(shown[place].fixes):
            self._apply(shown[place].fixes[number])

    def _forget_refusal(self) -> None:
        self._refusal.clear()
        self._refusal.hide()
        self.show_field.hide()
        self.releases.show_pins(())

    def _on_changed(self) -> None:
        self._soon.start()

    def _on_refused(self, error: CornerwrightError) -> None:
        """Tell why an edit could not be, or only where that stands already."""
        refusal = self._document.refusal
        field = "" if refusal is None else refusal.field
        names: tuple[str, ...] = ()
        if field:
            told_here = self.tr("Not possible: {figure}. The reason is shown below the measures.")
            self._refusal.setText(told_here.format(figure=self._redesigner.label_of(field)))
        else:
            said = told_error(error, self._display)
            self._refusal.setText(self.tr("Not possible: {reason}").format(reason=said))
            names = self._redesigner.releasable(error)
        self._refusal.show()
        self.show_field.setVisible(bool(field))
        self.releases.show_pins([(name, self._redesigner.label_of(name)) for name in names])

    def _on_show_field(self) -> None:
        refusal = self._document.refusal
        if refusal is not None:
            self._document.figure_asked.emit(refusal.field)

    def _on_display_changed(self) -> None:
        for row, finding in zip(self.rows, self._shown or (), strict=False):
            self._write(row, finding)
        self.refresh()

    # Qt's own names from here on.

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        for row in self.rows:
            row.fit(width_beside_bar(self._scroll, self.width()))


def _is_of_same(finding: Finding, other: Finding) -> bool:
    return (finding.code, finding.figure) == (other.code, other.figure)
