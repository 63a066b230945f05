"""What is asked in the platform's own boxes: files, names, and what to do with a bag at risk."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from app.session.display import plain_name
from app.session.session import SUFFIX, Changed, RecoveryChoice, Reply, Unsaved
from core.model.record import BAG_NAME, KEPT_NAME, TextLimit

if TYPE_CHECKING:
    from datetime import datetime


class BoxQuestions(QObject):
    """Asks in the platform's own boxes.

    Their classes, and dates, are imported when something is asked: the window opens sooner
    without.
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
        from app.files.export import ask_export, with_ending

        named = with_ending(suggested, SUFFIX)
        return ask_export(self._window, self.tr("Save the bag"), self._filter(), named)

    def unsaved(self, name: str, file: str) -> Unsaved:
        """What to do with the unsaved changes of the bag with this name.

        `file` is the name of its file; empty where it was never saved to one.
        """
        told = self.tr("Save the changes to “{name}” in its file “{file}”?")
        more = ""
        if not file:
            told = self.tr("Save the changes to “{name}”?")
            more = self.tr("It was never saved to a file: you will be asked where to.")
        return self._choose(
            self.tr("Unsaved changes"),
            told.format(name=name, file=file),
            {
                Unsaved.SAVE: self.tr("&Save"),
                Unsaved.DISCARD: self.tr("&Discard"),
                Unsaved.CANCEL: self.tr("&Cancel"),
            },
            more,
        )

    def changed_on_disk(self, file: str, *, unsaved: bool) -> Changed:
        """What to do about a file of this name that holds something else by now."""
        told = self.tr("The file “{file}” was changed by another program or window.")
        more = self.tr("Your bag has changes that are not in the file.") if unsaved else ""
        return self._choose(
            self.tr("File changed"),
            " ".join(filter(None, (told.format(file=file), more))),
            {
                Changed.READ_AGAIN: self.tr("&Read again"),
                Changed.KEEP_MINE: self.tr("&Keep mine"),
                Changed.SAVE_AS: self.tr("Save mine &as…"),
                Changed.LATER: self.tr("Decide &later"),
            },
            self.tr(
                "“Read again” opens the file as it is now; undo brings your bag back. “Keep mine” "
                "keeps your bag, and your next save replaces the file."
            ),
            usual=Changed.LATER,
        )

    def revert(self, file: str) -> bool:
        """Whether to go back to the bag as it was last saved to the file of this name."""
        chosen = self._choose(
            self.tr("Revert to saved"),
            self.tr("Go back to the bag as it is in “{file}”?").format(file=file),
            {Unsaved.DISCARD: self.tr("&Revert"), Unsaved.CANCEL: self.tr("&Cancel")},
            self.tr("Undo brings back what you have changed since it was saved."),
            usual=Unsaved.CANCEL,
        )
        return chosen is Unsaved.DISCARD

    def open_elsewhere(self, file: str, who: str) -> bool:
        chosen = self._choose(
            self.tr("File in use"),
            self.tr("“{file}” is open in another window.").format(file=file),
            {Unsaved.SAVE: self.tr("&Go on"), Unsaved.CANCEL: self.tr("&Cancel")},
            self.tr("Whoever saves last replaces what the other has saved."),
            usual=Unsaved.CANCEL,
            details=self.tr("The file is held by: {who}.").format(who=who),
        )
        return chosen is Unsaved.SAVE

    def left_over(self, name: str, path: Path | None, at: "datetime") -> RecoveryChoice:
        """What to do with a bag that was not saved when the program ended."""
        from PySide6.QtCore import QDateTime, QLocale

        moment = QDateTime.fromSecsSinceEpoch(round(at.timestamp()))
        # A short date is read in two ways (3/4/26), and is not even one where no language is set.
        day = QLocale().toString(moment.date(), QLocale.FormatType.LongFormat)
        time = QLocale().toString(moment.time(), QLocale.FormatType.ShortFormat)
        told = self.tr("“{name}” was not saved when the program ended on {day} at {time}.")
        place = self.tr("It was never saved to a file.")
        if path is not None:
            place = self.tr("Its file is {path}, which stays as it is until you save.")
            place = place.format(path=path)
        return self._choose(
            self.tr("Unsaved bag found"),
            told.format(name=name, day=day, time=time),
            {
                RecoveryChoice.RECOVER: self.tr("&Recover"),
                RecoveryChoice.FORGET: self.tr("&Discard it"),
                RecoveryChoice.LATER: self.tr("Ask &later"),
            },
            place,
        )

    def name(self, present: str) -> str | None:
        """What to call the bag; None to leave it."""
        title, prompt = self.tr("Rename the bag"), self.tr("Name of the bag:")
        return self._typed(title, prompt, present, BAG_NAME)

    def kept_name(self, title: str, prompt: str, present: str) -> str | None:
        """Under which name to keep a bag; None not to keep it."""
        return self._typed(title, prompt, present, KEPT_NAME)

    def replace_kept(self, name: str) -> bool:
        """Whether the bag on the table takes the place of the variant of this name."""
        chosen = self._choose(
            self.tr("Keep as variant"),
            self.tr("Replace the variant “{name}”?").format(name=name),
            {Unsaved.SAVE: self.tr("&Replace"), Unsaved.CANCEL: self.tr("&Cancel")},
            self.tr(
                "The present bag takes its place; Bring back in the menu Redesign has the old one."
            ),
            usual=Unsaved.CANCEL,
        )
        return chosen is Unsaved.SAVE

    def tell(self, text: str, details: str = "") -> None:
        from app.widgets.dialog import tell

        tell(self._window, text, details=details)

    def _typed(self, title: str, prompt: str, present: str, limit: TextLimit) -> str | None:
        """A name as typed; one that is too long is there again, to be made shorter."""
        from PySide6.QtWidgets import QApplication, QInputDialog, QLineEdit

        over = QApplication.activeModalWidget() or self._window
        text, accepted = present, True
        while accepted:
            plain = QLineEdit.EchoMode.Normal
            text, accepted = QInputDialog.getText(over, title, prompt, plain, text)
            if accepted and len(plain_name(text)) > limit.most:
                rule = self.tr("{head} keep it to {limit} characters or fewer.")
                self.tell(rule.format(head=prompt, limit=limit.most))
            elif accepted:
                return text
        return None

    def _choose(
        self,
        title: str,
        text: str,
        answers: Mapping[Reply, str],
        more: str = "",
        *,
        usual: Reply | None = None,
        details: str = "",
    ) -> Reply:
        from PySide6.QtWidgets import QApplication

        from app.widgets.dialog import choose

        # A variant is kept out of a dialog too: the question must not lie behind that.
        over = QApplication.activeModalWidget() or self._window
        return choose(over, title, text, answers, more, usual=usual, details=details)

    def _filter(self) -> str:
        return self.tr("Bag files (*{suffix});;All files (*)").format(suffix=SUFFIX)
