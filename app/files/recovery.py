"""Keeping a window's bag safe: copies while it is open, and what an earlier run left.

Loaded with the window; nothing here looks at the disk before something is at risk.
"""

from collections.abc import Iterable
from pathlib import Path

from PySide6.QtCore import QObject

from app.files.autosave import Autosave
from app.files.recovery_copy import LeftOver, left_overs
from app.session.session import Left
from app.widgets.figure_box import finish_typing
from app.window.main_window import MainWindow
from app.window.status_line import StatusLine


class Recovery(QObject):
    """Keeps recovery copies of a window's bag until the window is closed."""

    def __init__(self, window: MainWindow, folder: Path) -> None:
        super().__init__(window)
        self._window = window
        self._files, self._questions = window.files, window.session.questions
        self._folder = folder
        self.autosave = Autosave(window.document, folder, self)
        self.autosave.failed.connect(window.say)
        line = window.statusBar()
        if isinstance(line, StatusLine):
            self.autosave.trouble_changed.connect(line.set_trouble)
        self._files.changed.connect(self._on_files_changed)
        window.closed.connect(self.autosave.close)

    def keep(self) -> bool:
        """Bring the copy up to date with what stands typed, too; whether it is."""
        try:
            finish_typing()
        finally:
            kept = self.autosave.write_now()
        return kept

    def leave(self) -> None:
        """The program ends: what is not saved is left to the next start."""
        self.autosave.leave()

    def begin(self, path: str | None) -> None:
        """Open the file named, or else the last one, and offer what an earlier run left."""
        if path is not None:
            self._files.open(Path(path))
        else:
            self._window.last_bag.show()
        troubles: list[str] = []
        self.offer(left_overs(self._folder, troubles.append))
        if troubles:
            self._questions.tell("\n\n".join(troubles))

    def offer(self, found: Iterable[LeftOver]) -> None:
        """Ask about each what to do with it. Nothing goes before it is safe elsewhere."""
        for each in found:
            match self._questions.left_over(each.project.bag.name, each.path, each.at):
                case Left.RECOVER if self._recover(each):
                    each.forget()
                case Left.FORGET:
                    each.forget()
                case _:
                    each.leave()

    def _recover(self, left_over: LeftOver) -> bool:
        """Show it; whether it has a copy of this window's own by now."""
        shown = self._files.recover(
            left_over.project, left_over.path, left_over.seen, left_over.remark
        )
        return shown and self.autosave.write_now()

    def _on_files_changed(self) -> None:
        self.autosave.set_seen(self._files.watch.seen)
