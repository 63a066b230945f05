"""Opening and saving: asks where to, reads, writes, and never loses an unsaved bag."""

from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from app.files.watch import BagFileLock, FileWatch, digest_of, file_digest, is_there
from app.session.display import plain_name, told, told_detail, told_error
from app.session.session import SUFFIX, Changed, Session, Unsaved
from app.widgets.figure_box import finish_typing
from core.bag.bag import Bag
from core.base.errors import BagFileError
from core.base.sentences import Sentence
from core.model.record import BAG_NAME
from core.storage.bag_file import MOST_BYTES, Reading, project_to_json
from core.storage.bag_files import read_file, sample, write_project
from core.storage.project import Project

_Read = tuple[Reading, str | None]
"""What a bag file holds, and the file's digest."""


class Files(QObject):
    """The document's way to and from files.

    Signals:
        changed: another bag is open, or it has another file, or what that holds is known
            anew, or the recent files differ.
    """

    changed = Signal()

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._document, self._display = session.document, session.display
        self._settings, self._questions = session.settings, session.questions
        self.watch = FileWatch(self)
        self.watch.changed.connect(self._on_changed_on_disk)
        self.watch.gone.connect(self._on_gone)
        self._told_lost: tuple[Path, Sentence] | None = None

    def start_from(self, name: str) -> bool:
        """Open one of the bags that come with the program."""
        if not self.may_leave():
            return False
        self.watch.follow(None, None)
        bag = sample(name)
        unit = self._settings.own_unit or bag.unit
        self._show(Project(bag=replace(bag, unit=unit)), None)
        return True

    def begin(self, bag: Bag) -> bool:
        """Show a new bag that no file has yet; the one that is open is asked about first."""
        if not self.may_leave():
            return False
        self.watch.follow(None, None)
        self._show(Project(bag=bag), None, saved=False)
        return True

    def revert(self) -> bool:
        """Ask, and go back to the bag as it was last saved: a step that undo takes back."""
        path = self._document.path
        if path is None:
            self._session.said.emit(
                self.tr("This bag was never saved: there is nothing to go back to.")
            )
            return False
        if not self._session.finish_work():  # what was typed last is a change to go back on, too
            return False
        if self._document.saved and not self.watch.differs():
            self._session.said.emit(self.tr("The bag is as it was saved."))
            return False
        if not self._questions.revert(plain_name(path.name)):
            return False
        return self._read_again(path, self.tr("Revert to saved"))

    def ask_open(self) -> bool:
        path = self._questions.open_path(self._settings.folder)
        return path is not None and self.open(path)

    def open(self, path: Path) -> bool:
        """Open a bag file; when it cannot be, say why and keep the bag that is open."""
        found = self._read(path)
        if found is None or not self.may_leave():
            return False
        lock = self._lock(path)
        if lock is None:
            return False
        # The bag that was left may just have been saved to this very file.
        if file_digest(path) != found[1]:
            found = self._read(path)
        if found is None:
            self._give_back(lock)
            return False
        reading, seen = found
        self.watch.follow(path, seen, lock)
        self._keep(path)
        self._show(reading.project, path)
        self._remark(reading.remark)
        return True

    def reopen(self, path: Path) -> str:
        """Open the file that was open last, unasked; why that cannot be, or nothing.

        It is only opened where no other window has it.
        """
        try:
            reading, seen = _read_file(path)
        except BagFileError as error:
            return told_error(error, self._display)
        lock = self.watch.lock_of(path)
        if not lock.take():
            told = self.tr("“{file}” is open in another window.")
            return told.format(file=plain_name(path.name))
        self.watch.follow(path, seen, lock)
        self._show(reading.project, path)
        self._remark(reading.remark)
        return ""

    def recover(
        self, project: Project, path: Path | None, seen: str | None, remark: Sentence | None = None
    ) -> bool:
        """Show a bag that was never saved, as unsaved changes of its file if it has one.

        `seen` is the digest of what was last read from there or written; `remark` tells what was
        not taken as its copy has it, once it is shown.
        """
        if not self.may_leave():
            return False
        lock = None
        if path is not None:
            lock = self._lock(path)
            if lock is None:
                return False
        self.watch.follow(path, seen, lock)
        self._show(project, path, saved=False)
        self._remark(remark)
        return True

    def save(self) -> bool:
        """Save to the document's file; ask for one when it has none."""
        path = self._document.path
        if path is None:
            return self.ask_save()
        if self.watch.differs():
            return self._settle_change(saving=True)
        return self._write(path)

    def ask_save(self) -> bool:
        path = self._questions.save_path(self._suggestion())
        return path is not None and self._write(path)

    def ask_name(self) -> bool:
        """Ask for another name of the bag; one undo step."""
        bag = self._document.bag
        name = self._questions.name(bag.name)
        plain = plain_name(name or "")
        if not plain:
            return False
        if len(plain) > BAG_NAME.most:
            rule = self.tr("Name of the bag: keep it to {limit} characters or fewer.")
            self._questions.tell(rule.format(limit=BAG_NAME.most))
            return False
        return self._document.replace_bag(replace(bag, name=plain), self.tr("Rename the bag"))

    def may_leave(self) -> bool:
        """Whether the bag may be closed: it is saved, or the maker gives its changes up."""
        finish_typing()
        if not self._session.finish_work():
            return False
        if self._document.saved:
            return True
        path = self._document.path
        file = "" if path is None else plain_name(path.name)
        match self._questions.unsaved(self._document.bag.name, file):
            case Unsaved.SAVE:
                return self.save()
            case Unsaved.DISCARD:
                return True
            case _:
                return False

    def close(self) -> None:
        self.watch.close()

    def _suggestion(self) -> Path:
        if self._document.path is not None:
            return self._document.path
        name = "".join(sign if sign.isalnum() else "-" for sign in self._document.bag.name)
        plain = "-".join(filter(None, name.lower().split("-"))) or "bag"
        return self._settings.folder / f"{plain}{SUFFIX}"

    def _write(self, path: Path) -> bool:
        if not self._session.finish_work():
            self._session.said.emit(
                self.tr("The bag is not saved: a new pattern is still being worked out.")
            )
            return False
        lock = self._lock(path)
        if lock is None:
            return False
        project = self._as_shown(self._document.to_keep)
        if len(project_to_json(project).encode()) > MOST_BYTES:
            # What was changed is worth less than that it can be saved.
            project = self._as_shown(self._document.project)
        try:
            lost = write_project(project, path)
        except BagFileError as error:
            self._give_back(lock)
            told = told_error(error, self._display)
            stays = self.tr("Your bag stays open and unsaved: save it to another place.")
            self._questions.tell(f"{told} {stays}")
            return False
        self.watch.follow(path, digest_of(project_to_json(project).encode()), lock)
        self._document.mark_saved(path)
        self._keep(path)
        self.changed.emit()
        self._tell_lost(path, lost)
        return True

    def _tell_lost(self, path: Path, lost: Sentence | None) -> None:
        """Say once of a file why what it held before is not kept, until that can be again."""
        found = None if lost is None else (path, lost)
        if lost is not None and found != self._told_lost:
            self._session.said.emit(told(lost, self._display))
        self._told_lost = found

    def _as_shown(self, project: Project) -> Project:
        """With the unit in which the bag is read now, for whoever opens its file."""
        return replace(project, bag=replace(project.bag, unit=self._display.unit))

    def _lock(self, path: Path) -> BagFileLock | None:
        """The file's lock, whether it could be taken or not; None to leave the file alone."""
        lock = self.watch.lock_of(path)
        if lock.take() or self._questions.open_elsewhere(path.name, lock.holder):
            return lock
        return None

    def _give_back(self, lock: BagFileLock) -> None:
        if not self.watch.holds(lock):
            lock.free()

    def _read(self, path: Path) -> _Read | None:
        """What a file holds; None, with the reason told, where it cannot be read."""
        try:
            return _read_file(path)
        except BagFileError as error:
            self._settings.forget_recent(path)
            self.changed.emit()
            self._tell(error)
            return None

    def _tell(self, error: BagFileError) -> None:
        self._questions.tell(told_error(error, self._display), told_detail(error, self._display))

    def _keep(self, path: Path) -> None:
        self._settings.keep_recent(path.absolute())
        self._settings.keep_last_file(path.absolute())
        self._settings.keep_folder(path.absolute().parent)

    def _show(self, project: Project, path: Path | None, *, saved: bool = True) -> None:
        self._display.set_unit(self._settings.own_unit or project.bag.unit)
        self._document.open(project, path)
        self._settings.keep_last_file(None if path is None else path.absolute())
        if not saved:
            self._document.mark_unsaved()
        self.changed.emit()

    def _remark(self, remark: Sentence | None) -> None:
        if remark is not None:
            self._session.said.emit(told(remark, self._display))

    def _settle_change(self, *, saving: bool) -> bool:
        """Ask what to do with a file that others changed; whether the bag is saved after."""
        path = self._document.path
        if path is None:
            return False
        match self._questions.changed_on_disk(path.name, unsaved=not self._document.saved):
            case Changed.READ_AGAIN:
                if self._read_again(path, self.tr("Read the file again")):
                    return False
            case Changed.KEEP_MINE:
                self.watch.accept()
                self.changed.emit()  # a recovered bag is not asked about the same again
                if saving and self._write(path):
                    return True
            case Changed.SAVE_AS:
                if self.ask_save():
                    return True
        # No file holds what is on the table: closing asks, and there is a copy for a crash.
        self._document.mark_unsaved()
        return False

    def _read_again(self, path: Path, step: str) -> bool:
        """Show what the file holds now, as a step that undo takes back; False if nothing does."""
        try:
            reading, seen = _read_file(path)
        except BagFileError as error:
            self._tell(error)
            return False
        self._document.replace_project(reading.project, step)
        self.watch.seen = seen
        self._document.mark_saved(path)
        self.changed.emit()
        self._remark(reading.remark)
        return True

    def _on_changed_on_disk(self) -> None:
        finish_typing()
        self._settle_change(saving=False)

    def _on_gone(self) -> None:
        path = self._document.path
        if path is not None:
            self._document.mark_unsaved()
            told = self.tr("{file} is no longer there: save the bag to keep it.")
            if is_there(path):
                told = self.tr("{file} is no longer a file: save the bag elsewhere to keep it.")
            self._session.said.emit(told.format(file=path.name))


def _read_file(path: Path) -> _Read:
    # Its digest first: what is written before it is read is noticed as a change.
    seen = file_digest(path)
    return read_file(path), seen
