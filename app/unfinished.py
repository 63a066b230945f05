"""What is still being worked out when a bag is saved or left: it is waited for."""

from PySide6.QtCore import QCoreApplication, QEventLoop, Qt
from PySide6.QtWidgets import QProgressDialog, QWidget

from app.redesigner import Redesigner


def finish_redesign(redesigner: Redesigner, window: QWidget) -> bool:
    """Wait until a redesign that fills bags has come to its end; False where the maker will not.

    What was typed a moment ago counts: the bag of before would else be saved unnoticed.
    """
    wish = redesigner.pending
    if not redesigner.is_pending:
        return True
    told = _tr("Rounding to the ruler…")
    if wish is not None:
        told = _tr("Working out the pattern for {figure}…").format(
            figure=redesigner.said(wish.name)
        )
    box = QProgressDialog(told, _tr("Cancel"), 0, 0, window)
    box.setWindowTitle(_tr("One moment"))
    box.setWindowModality(Qt.WindowModality.WindowModal)
    box.setMinimumDuration(0)
    loop = QEventLoop()

    def look() -> None:
        if not redesigner.is_pending:
            loop.quit()

    redesigner.pending_changed.connect(look)
    box.canceled.connect(loop.quit)
    box.show()
    loop.exec()
    redesigner.pending_changed.disconnect(look)
    box.hide()
    box.deleteLater()
    return not redesigner.is_pending


def _tr(text: str) -> str:
    return QCoreApplication.translate("unfinished", text)
