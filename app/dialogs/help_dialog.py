"""Help pages: first steps, keys, cautions, about."""

from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QDialogButtonBox, QTextBrowser, QVBoxLayout, QWidget

from app.actions import ACTIONS, MENUS, keys_of
from app.actions import tr as action_text
from app.dialogs.help_pages import page_html, page_title
from app.fitted_dialog import FittedDialog


class HelpDialog(FittedDialog):
    """Shows one page: first_steps, keys, cautions or about."""

    def __init__(self, page: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(page_title(page))
        self.text = QTextBrowser(self)
        self.text.setOpenExternalLinks(True)
        self.text.setFrameShape(QTextBrowser.Shape.NoFrame)
        self.text.document().setDocumentMargin(14)
        self.text.setAccessibleName(page_title(page))
        self.text.setHtml(keys_html() if page == "keys" else page_html(page))
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close, self)
        buttons.rejected.connect(self.reject)
        body = QVBoxLayout()
        body.addWidget(self.text)
        self.lay_out(body, buttons, letters=(86, 34))


def keys_html() -> str:
    """Every action with its first key, menu by menu."""
    rows = []
    for menu, title in MENUS.items():
        rows.append(f"<tr><td colspan=2><h3>{action_text(title).replace('&', '')}</h3></td></tr>")
        for spec in ACTIONS:
            if spec.menu == menu:
                name = action_text(spec.text).replace("&", "").rstrip("…")
                native = QKeySequence.SequenceFormat.NativeText
                keys = keys_of(spec)[0].toString(native)
                rows.append(f"<tr><td>{name}&nbsp;&nbsp;&nbsp;</td><td><b>{keys}</b></td></tr>")
    return f"<h2>{page_title('keys')}</h2><table cellpadding=3>{''.join(rows)}</table>"
