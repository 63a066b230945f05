"""The cutting plan with its controls, its table and its exports; made when first shown."""

from PySide6.QtCore import QPoint, QPointF, Qt, QTimer, Signal
from PySide6.QtWidgets import QProgressBar, QWidget

from app.files.export import AskExport, file_name, save_export
from app.session.cutting_plan import CuttingPlanModel
from app.session.display import plain_tip, told_error, tr
from app.session.session import Session
from app.views.cutting.controls import CuttingControls, CuttingLayout
from app.views.cutting.table import CuttingTable, facts_of, lacking_of, rows_of, weight_of
from app.views.cutting.view import CuttingView
from app.widgets.inputs import OptionBox
from app.widgets.labels import ElidedLabel, TonedLabel
from app.widgets.layouts import button
from app.widgets.menus import Command, copying, widget_at
from app.widgets.theme import muted_colour, problem_colour
from core.base.errors import CornerwrightError
from core.cutting.plan import Plan, PlanOptions
from core.output.csv import cut_list_csv

SOON = 250
"""Milliseconds without a change after which the plan is worked out anew."""


class CuttingTab(QWidget):
    """Everything on the tab.

    Signals:
        materials_asked: the maker wants to edit the goods.
    """

    materials_asked = Signal()

    def __init__(
        self,
        session: Session,
        parent: QWidget | None = None,
        *,
        ask: AskExport,
        watch: CuttingPlanModel | None = None,
    ) -> None:
        super().__init__(parent)
        self._session = session
        self._document = document = session.document
        self._display = display = session.display
        self._settings = session.settings
        self._ask_path, self._tell = ask, session.questions.tell
        self._is_open = False
        self._wish = ""
        self._width = 0
        self.watch = watch or CuttingPlanModel()
        self.watch.setParent(self)
        self.controls = CuttingControls(document, display, self)
        self.view = CuttingView(display, self)
        self.table = CuttingTable(self)
        self._make_rest()
        self._build()
        self._soon = QTimer(self, singleShot=True, interval=SOON)
        self._soon.timeout.connect(self.ask_now)
        self._connect()

    def open(self) -> None:
        self._is_open = True
        if not self.is_current:
            self.ask_now()
        self.refresh()

    def leave(self) -> None:
        """The tab is looked at no more: a change starts no work until it is opened again."""
        self._is_open, self._wish = False, ""
        self._soon.stop()

    def shut(self) -> None:
        """End all work; the window closes."""
        self._is_open = False
        self._soon.stop()
        self.watch.close()

    @property
    def _options(self) -> PlanOptions:
        return PlanOptions.of(self._document.project.making)

    @property
    def is_current(self) -> bool:
        """Whether the plan answers the bag and its making as they are now."""
        return self.watch.answers(self._document.result, self._options)

    @property
    def plan(self) -> Plan | None:
        """The plan, if it is one of the bag and its making as they are now."""
        return self.watch.plan if self.is_current else None

    def copies_at(self, at: QPoint | None) -> list[Command]:
        """What can be copied of a line of the table, or of a piece; `at` as in `HasMenu`."""
        widget, table = widget_at(self, at), self.table
        if widget is not None and (widget is table or table.isAncestorOf(widget)):
            row = table.currentRow()
            if at is not None:
                row = table.rowAt(table.viewport().mapFromGlobal(at).y())
            what, amount, *_ = table.rows[row].cells if 0 <= row < len(table.rows) else ("", "")
            told = tr("Copy the amount of {what}: {amount}").format(what=what, amount=amount)
            return [copying(told, amount)] if amount else []
        if widget is not self.view or at is None:
            return []
        laid = self.view.piece_at(QPointF(self.view.mapFromGlobal(at)))
        if laid is None:
            return []
        name, size = self.view.name_and_size(laid)
        return [copying(tr("Copy the size of {piece}: {size}").format(piece=name, size=size), size)]

    def ask_now(self) -> None:
        self._soon.stop()
        self.watch.ask(self._document.result, self._options)

    def export_cut_list(self) -> None:
        """Write the cut list as CSV, once there is a plan of the bag as it is now."""
        self._wish_for("cut_list")

    def export_materials(self) -> None:
        """Write what to buy, cut list and plans as PDF, once there is a plan."""
        self._wish_for("materials")

    def _make_rest(self) -> None:
        self.goods = OptionBox(self)
        self.goods.setAccessibleName(self.tr("Material shown"))
        self.goods.setToolTip(self.tr("The material whose cutting plan is drawn."))
        self.goods.setSizeAdjustPolicy(
            OptionBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self.goods.setMinimumContentsLength(12)
        self.facts = TonedLabel(muted_colour, parent=self)
        self.weight = TonedLabel(muted_colour, parent=self)
        self.lacking = TonedLabel(problem_colour, parent=self)
        self.problem = TonedLabel(problem_colour, parent=self)
        for label in (self.facts, self.weight, self.lacking, self.problem):
            label.setWordWrap(True)
            label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.progress = QProgressBar(self)
        self.progress.setRange(0, 100)
        self.progress.setTextVisible(False)
        self.progress.setMaximumHeight(10)
        self.progress.setMaximumWidth(120)
        self.progress.setAccessibleName(self.tr("Search for better plans"))
        self.state = ElidedLabel(parent=self)
        self.stop = button(
            self.tr("&Stop"), self, self.tr("Stop the search and keep the best plan.")
        )
        self.again = button(
            self.tr("Search a&gain"), self, self.tr("Search for a better plan once more.")
        )
        self.edit = button(
            self.tr("Materials…"),
            self,
            self.tr("Widths, prices and shrinkage of the materials; your own library."),
        )
        self.csv = button(
            self.tr("Cut list…"),
            self,
            self.tr("Save the cut list as a table (CSV) for a spreadsheet."),
        )
        self.pdf = button(
            self.tr("Materials list…"),
            self,
            self.tr("Save what to buy, the cut list and the cutting plans as a PDF."),
        )

    def _build(self) -> None:
        self._layout = CuttingLayout(
            self,
            controls=self.controls,
            goods=self.goods,
            told=(self.problem, self.lacking),
            drawing=(self.view, self.facts),
            buying=(self.table, self.weight),
            foot=(
                (self.progress, self.state),
                (self.stop, self.again, self.edit, self.csv, self.pdf),
            ),
        )

    def arrange(self, width: int) -> None:
        """Lay everything out for a tab of this width, px."""
        self._width = width
        self._layout.arrange(width)

    def _connect(self) -> None:
        self._document.changed.connect(self._on_change)
        self._display.changed.connect(self.refresh)
        self.controls.changed.connect(self._on_change)
        self.controls.problem_changed.connect(self._on_problem_change)
        self.controls.said.connect(self._session.said)
        self.watch.changed.connect(self._on_watch_change)
        self.watch.progressed.connect(self._on_progress)
        self.goods.currentIndexChanged.connect(self._show_goods)
        self.table.goods_chosen.connect(self.goods.setCurrentIndex)
        self.stop.clicked.connect(self.watch.cancel)
        self.again.clicked.connect(self.ask_now)
        self.edit.clicked.connect(self.materials_asked)
        self.csv.clicked.connect(self.export_cut_list)
        self.pdf.clicked.connect(self.export_materials)

    def refresh(self) -> None:
        plan, is_older = self.watch.plan, not self.is_current
        self._list_goods(plan)
        self.table.show_rows(
            [] if plan is None else rows_of(plan, self._display), is_older=is_older
        )
        self.weight.setText("" if plan is None else weight_of(plan, self._display))
        short = whole = ""
        if plan is not None and not is_older:
            short, whole = lacking_of(plan, self._display)
        self.lacking.setText(short)
        self.lacking.setToolTip(plain_tip(whole))
        self.lacking.setAccessibleDescription(whole)
        self.lacking.setVisible(bool(short))
        self._show_goods()
        self._show_state()
        self._on_problem_change()

    def _list_goods(self, plan: Plan | None) -> None:
        titles = [] if plan is None else [each.goods.title for each in plan.goods]
        if titles == [self.goods.itemText(place) for place in range(self.goods.count())]:
            return
        current = max(self.goods.currentIndex(), 0)
        self.goods.blockSignals(True)
        self.goods.clear()
        self.goods.addItems(titles)
        self.goods.setCurrentIndex(min(current, len(titles) - 1))
        self.goods.blockSignals(False)

    def _show_goods(self) -> None:
        plan, number = self.watch.plan, self.goods.currentIndex()
        is_older = not self.is_current
        shown = None if plan is None or number < 0 else plan.goods[number]
        note = self._note(is_nothing=shown is not None and not shown.laid)
        self.view.show_plan(shown, is_older=is_older, note=note)
        facts = "" if shown is None or is_older or plan is None else facts_of(shown, self._display)
        self.facts.setText(facts)
        self.facts.setVisible(bool(facts))
        if self._width:
            self._layout.give_table(self._width)
        self.table.choose_goods(number)

    def _note(self, *, is_nothing: bool) -> str:
        if self.watch.trouble:
            return self.tr("The plan could not be worked out.")
        if self.is_current:
            nothing = self.tr("No piece fits on this material. Give it more width under Materials.")
            return nothing if is_nothing else ""
        if self.watch.stopped:
            return self.tr("Stopped before a plan for the present bag was found.")
        if self.watch.plan is None:
            return self.tr("Working out the plan…")
        return self.tr("This plan is from before the last change. Working out the new one…")

    def _show_state(self) -> None:
        watch = self.watch
        waiting = self._soon.isActive() or watch.busy
        if watch.trouble:
            text = self.tr("The cutting plan could not be worked out: {reason}.").format(
                reason=watch.trouble
            )
        elif watch.busy and self.is_current:
            text = self.tr("Looking for better plans…")
        elif waiting:
            text = self.tr("Working out the plan…")
        elif watch.stopped:
            text = self.tr("Stopped.")
        else:
            text = self.tr("Best plan found.") if self.is_current else ""
        self.state.setText(text)
        self.progress.setVisible(waiting and not watch.trouble)
        self.stop.setVisible(watch.busy)
        self.again.setVisible(not waiting and (watch.stopped or bool(watch.trouble)))

    def _wish_for(self, what: str) -> None:
        self._wish = what
        if self.plan is not None:
            self._grant()
        elif not self.watch.busy:
            self.ask_now()

    def _grant(self) -> None:
        plan, wish = self.plan, self._wish
        self._wish = ""
        if plan is None or not wish:
            return
        is_pdf = wish == "materials"
        kind = self.tr("PDF file (*.pdf)") if is_pdf else self.tr("Table (*.csv)")
        title = self.tr("Save the materials list") if is_pdf else self.tr("Save the cut list")
        ending = self.tr("materials") if is_pdf else self.tr("cut list")
        bag = file_name(plan.bag.name, otherwise=self.tr("bag"))
        name = f"{bag} {ending}.{'pdf' if is_pdf else 'csv'}"
        path = self._ask_path(self, title, kind, self._settings.folder / name)
        if path is None:
            return
        try:
            write = self._pdf if is_pdf else self._csv
            save_export(path, lambda: write(plan), own=self._document.path)
        except CornerwrightError as error:
            self._tell(told_error(error, self._display))
            return
        self._settings.keep_folder(path.absolute().parent)
        self.state.setText(self.tr("Saved {file}.").format(file=path.name))

    def _csv(self, plan: Plan) -> bytes:
        wording = self._display.wording._replace(show=self._display.typed)
        return cut_list_csv(plan, wording).encode()

    def _pdf(self, plan: Plan) -> bytes:
        # The writer is loaded when a file is first written, not with the tab.
        from core.output.materials import materials_pdf_bytes

        return materials_pdf_bytes(plan, self._display.paper, self._display.wording)

    def _on_change(self) -> None:
        if self._is_open:
            self._soon.start()
            self.refresh()
        else:
            self.watch.cancel()  # what it looks for is no longer wanted

    def _on_watch_change(self) -> None:
        self.refresh()
        if self.watch.trouble or self.watch.stopped:
            self._wish = ""
        elif self._wish and self.plan is not None:
            QTimer.singleShot(0, self, self._grant)

    def _on_progress(self, share: float) -> None:
        self.progress.setValue(round(100 * share))

    def _on_problem_change(self) -> None:
        self.problem.setText(self.controls.problem)
        self.problem.setVisible(bool(self.controls.problem))
