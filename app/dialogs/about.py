"""About the program: its version, and the licence of everything that it is made of."""

from html import escape

from PySide6.QtCore import Qt, qVersion
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import (
    QDialogButtonBox,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QTextBrowser,
    QVBoxLayout,
    QWidget,
)

from app.about import Component, components, program_version
from app.widgets.dialog import FittedDialog
from app.widgets.theme import heading_font

LETTERS = (146, 36)
"""Licences are written in lines of 80."""


class AboutDialog(FittedDialog):
    """Names what the program is made of; the licence of the one that is chosen stands beside."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._works = components()
        self.setWindowTitle(self.tr("About Cornerwright"))
        name = QLabel(self.tr("Cornerwright {version}").format(version=program_version()), self)
        name.setFont(heading_font(self.font()))
        name.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        told = QLabel(
            self.tr(
                "Redraws sewn bags: change a measure, see it fold, check that the seams meet, "
                "print the pattern at true scale. It is free under the MIT licence. It runs on "
                "Qt {qt} and PySide6, which are used unchanged under the GNU LGPL, version 3: you "
                "may put others in their place."
            ).format(qt=qVersion()),
            self,
        )
        told.setWordWrap(True)
        self.names = QListWidget(self)
        self.names.setAccessibleName(self.tr("What the program is made of"))
        for work in self._works:
            self.names.addItem(work.name)
        bar = self.names.verticalScrollBar().sizeHint().width()
        self.names.setFixedWidth(self.names.sizeHintForColumn(0) + bar + 8)
        self.text = QTextBrowser(self)
        self.text.setOpenExternalLinks(True)
        self.text.setAccessibleName(self.tr("Licence"))
        self.names.currentRowChanged.connect(self._on_chosen)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close, self)
        buttons.rejected.connect(self.reject)
        columns = QHBoxLayout()
        columns.addWidget(self.names)
        columns.addWidget(self.text, 1)
        body = QVBoxLayout()
        body.addWidget(name)
        body.addWidget(told)
        body.addLayout(columns, 1)
        self.lay_out(body, buttons, letters=LETTERS)
        self.names.setCurrentRow(0)

    def _on_chosen(self, place: int) -> None:
        self.text.setHtml(self._page(self._works[place]))

    def _page(self, work: Component) -> str:
        """Name, version and licence, where the sources are, and the texts as they were written."""
        parts = [f"<h3>{escape(work.name)} {escape(work.version)}</h3>"]
        parts.append(f"<p>{self.tr('Licence: {name}').format(name=escape(work.licence))}</p>")
        if work.sources:
            # In the colour of the text: the palette's own for links can hardly be read on dark.
            ink = self.text.palette().color(QPalette.ColorRole.Text).name()
            links = "<br>".join(
                f'<a href="{each}" style="color:{ink}">{each}</a>' for each in work.sources
            )
            parts.append(f"<p>{self.tr('Sources and terms:')}<br>{links}</p>")
        for name, text in work.texts():
            parts.append(f"<hr><p><b>{escape(name)}</b></p>")
            parts.append(f"<pre style='white-space:pre-wrap'>{escape(text)}</pre>")
        return "".join(parts)
