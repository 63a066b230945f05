"""Opening and saving: asks where to, reads, writes, and never loses an unsaved bag."""

from dataclasses import replace
from enum import Enum
from pathlib import Path
from typing import Protocol

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from app.display import Display
from app.document import Document
from app.messages import tell
from app.settings import Settings
from app.words import told_error
from core.bagfile import read_project, sample, write_project
from core.errors import BagFileError
from core.project import Project

SUFFIX = ".json"
LONGEST_NAME = 80


class Unsaved(Enum):
    """What to do with changes that are not saved."""

    SAVE = "save"
    DISCARD = "discard"
    CANCEL = "cancel"


class Questions(Protocol):
    """What the files ask the maker."""

    def open_path(self, folder: Path) -> Path | None:
        """Which bag file to open; None for none."""
        ...

    def save_path(self, suggested: Path) -> Path | None:
        """Where to save the bag; None for nowhere."""
        ...

    def unsaved(self, name: str) -> Unsaved:
        """What to do with the unsaved changes of the bag with this name."""
        ...

    def name(self, present: str) -> str | None:
        """What to call the bag; None to leave it."""
        ...

    def kept_name(self, title: str, prompt: str, present: str) -> str | None:
        """Under which name to keep a bag; None not to keep it."""
        ...

    def tell(self, text: str) -> None:
        """Say what went wrong."""
        ...


class BoxQuestions(QObject):
    """Asks in the platform's own boxes.

    Their classes are imported when something is asked: the window opens sooner without.
    """

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        self._window = window

    def open_path(self, folder: Path) -> Path | None:
        """Which bag file to open; None for none."""
        from PySide6.QtWidgets import QFileDialog

        chosen, _ = QFileDialog.getOpenFileName(
            self._window, self.tr("Open a bag"), str(folder), self._filter()
        )
        return Path(chosen) if chosen else None

    def save_path(self, suggested: Path) -> Path | None:
        """Where to save the bag; None for nowhere."""
        from PySide6.QtWidgets import QFileDialog

        dialog = QFileDialog(self._window, self.tr("Save the bag"), str(suggested), self._filter())
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        # Set here, the suffix is there before the box asks about overwriting.
        dialog.setDefaultSuffix(SUFFIX.removeprefix("."))
        dialog.selectFile(suggested.name)
        accepted = dialog.exec()
        chosen = dialog.selectedFiles()
        dialog.deleteLater()
        return Path(chosen[0]) if accepted and chosen else None

    def unsaved(self, name: str) -> Unsaved:
        """What to do with the unsaved changes of the bag with this name."""
        from PySide6.QtWidgets import QMessageBox

        answers = {
            QMessageBox.StandardButton.Save: Unsaved.SAVE,
            QMessageBox.StandardButton.Discard: Unsaved.DISCARD,
        }
        answer = QMessageBox.question(
            self._window,
            self.tr("Unsaved changes"),
            self.tr("Save the changes to “{name}”?").format(name=name),
            QMessageBox.StandardButton.Save
            | QMessageBox.StandardButton.Discard
            | QMessageBox.StandardButton.Cancel,
            QMessageBox.StandardButton.Save,
        )
        return answers.get(answer, Unsaved.CANCEL)

    def name(self, present: str) -> str | None:
        """What to call the bag; None to leave it."""
        return self.kept_name(self.tr("Rename the bag"), self.tr("Name of the bag:"), present)

    def kept_name(self, title: str, prompt: str, present: str) -> str | None:
        """Under which name to keep a bag; None not to keep it."""
        from PySide6.QtWidgets import QApplication, QInputDialog, QLineEdit

        over = QApplication.activeModalWidget() or self._window
        plain = QLineEdit.EchoMode.Normal
        text, accepted = QInputDialog.getText(over, title, prompt, plain, present)
        return text if accepted else None

    def tell(self, text: str) -> None:
        """Say what went wrong."""
        tell(self._window, text)

    def _filter(self) -> str:
        return self.tr("Bag files (*{suffix});;All files (*)").format(suffix=SUFFIX)


class Files(QObject):
    """The document's way to and from files.

    Signals:
        changed: another bag is open, or it has another file, or the recent files differ.
    """

    changed = Signal()

    def __init__(
        self,
        document: Document,
        display: Display,
        settings: Settings,
        questions: Questions,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._display = display
        self._settings = settings
        self._questions = questions

    def start_from(self, name: str) -> bool:
        """Open one of the bags that come with the program."""
        if not self.may_leave():
            return False
        self._show(Project(bag=sample(name)), None)
        return True

    def ask_open(self) -> bool:
        """Ask for a bag file and open it."""
        path = self._questions.open_path(self._settings.folder)
        return path is not None and self.open(path)

    def open(self, path: Path) -> bool:
        """Open a bag file; when it cannot be, say why and keep the bag that is open."""
        try:
            project = read_project(path)
        except BagFileError as error:
            self._settings.forget_recent(path)
            self.changed.emit()
            self._questions.tell(told_error(error, self._display))
            return False
        if not self.may_leave():
            return False
        self._keep(path)
        self._show(project, path)
        return True

    def save(self) -> bool:
        """Save to the document's file; ask for one when it has none."""
        path = self._document.path
        return self.ask_save() if path is None else self._write(path)

    def ask_save(self) -> bool:
        """Ask for a file and save to it."""
        path = self._questions.save_path(self._suggestion())
        return path is not None and self._write(path)

    def ask_name(self) -> bool:
        """Ask for another name of the bag; one undo step."""
        bag = self._document.bag
        name = self._questions.name(bag.name)
        plain = " ".join((name or "").split())
        if not plain:
            return False
        if len(plain) > LONGEST_NAME:
            rule = self.tr("Name of the bag: keep it to {limit} characters or fewer.")
            self._questions.tell(rule.format(limit=LONGEST_NAME))
            return False
        return self._document.replace_bag(replace(bag, name=plain), self.tr("Rename the bag"))

    def may_leave(self) -> bool:
        """Whether the bag may be closed: it is saved, or the maker gives its changes up."""
        if self._document.saved:
            return True
        match self._questions.unsaved(self._document.bag.name):
            case Unsaved.SAVE:
                return self.save()
            case Unsaved.DISCARD:
                return True
            case _:
                return False

    def _suggestion(self) -> Path:
        if self._document.path is not None:
            return self._document.path
        name = "".join(sign if sign.isalnum() else "-" for sign in self._document.bag.name)
        plain = "-".join(filter(None, name.lower().split("-"))) or "bag"
        return self._settings.folder / f"{plain}{SUFFIX}"

    def _write(self, path: Path) -> bool:
        try:
            write_project(self._document.project, path)
        except BagFileError as error:
            self._questions.tell(told_error(error, self._display))
            return False
        self._document.mark_saved(path)
        self._keep(path)
        self.changed.emit()
        return True

    def _keep(self, path: Path) -> None:
        self._settings.keep_recent(path.absolute())
        self._settings.keep_folder(path.absolute().parent)

    def _show(self, project: Project, path: Path | None) -> None:
        self._display.set_unit(project.bag.unit)
        self._document.open(project, path)
        self.changed.emit()
