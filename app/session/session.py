"""What the views of one window share: the bag that is open, and what works for it."""

from collections.abc import Callable
from enum import Enum
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Protocol, TypeVar

from PySide6.QtCore import QObject, Signal

from app.session.display import Display
from app.session.document import Document
from app.session.settings import Settings

if TYPE_CHECKING:  # each is loaded when it is first asked for
    from datetime import datetime

    from app.session.capacity import CapacityModel, LoadModel
    from app.session.redesigner import Redesigner
    from app.session.variants import Variants

SUFFIX = ".json"


class Unsaved(Enum):
    """What to do with changes that are not saved."""

    SAVE = "save"
    DISCARD = "discard"
    CANCEL = "cancel"


class Changed(Enum):
    """What to do when a bag's file was changed by somebody else."""

    READ_AGAIN = "read again"
    KEEP_MINE = "keep mine"
    SAVE_AS = "save as"
    LATER = "later"


class RecoveryChoice(Enum):
    """What to do with a bag that a program that ended badly left."""

    RECOVER = "recover"
    FORGET = "forget"
    LATER = "later"


Reply = TypeVar("Reply", bound=Enum)


class Questions(Protocol):
    """What the files ask the maker."""

    def open_path(self, folder: Path) -> Path | None:
        """Which bag file to open; None for none."""
        ...

    def save_path(self, suggested: Path) -> Path | None:
        """Where to save the bag; None for nowhere."""
        ...

    def unsaved(self, name: str, file: str) -> Unsaved:
        """What to do with the unsaved changes of the bag with this name; `file` as below."""
        ...

    def changed_on_disk(self, file: str, *, unsaved: bool) -> Changed:
        """What to do about a file of this name that holds something else by now."""
        ...

    def revert(self, file: str) -> bool:
        """Whether to go back to the bag as it was last saved to the file of this name."""
        ...

    def open_elsewhere(self, file: str, who: str) -> bool:
        """Whether to go on with a file that another window has open; `who` tells which."""
        ...

    def left_over(self, name: str, path: Path | None, at: "datetime") -> RecoveryChoice:
        """What to do with a bag that was not saved when the program ended."""
        ...

    def name(self, present: str) -> str | None:
        """What to call the bag; None to leave it."""
        ...

    def kept_name(self, title: str, prompt: str, present: str) -> str | None:
        """Under which name to keep a bag; None not to keep it."""
        ...

    def replace_kept(self, name: str) -> bool:
        """Whether the bag on the table takes the place of the variant of this name."""
        ...

    def tell(self, text: str, details: str = "") -> None:
        """Say what went wrong; the details are shown when asked for."""
        ...


class Session(QObject):
    """One open bag with everything that the views of one window share.

    What works for the bag is made when it is first asked for: the redesigner loads numpy, which
    must not be waited for before the flat pieces are drawn. Where `questions` is None, nobody can
    be asked yet.

    Attributes:
        finish_work: waits for what is still being worked out, before the bag is saved, kept or
            left; False where the maker will not wait.

    Signals:
        said(str): something to be told in passing.
    """

    said = Signal(str)

    def __init__(
        self,
        document: Document,
        display: Display,
        settings: Settings,
        questions: Questions | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.document, self.display, self.settings = document, display, settings
        document.setParent(self)
        display.setParent(self)
        self._questions = questions
        self.finish_work: Callable[[], bool] = lambda: True

    @property
    def questions(self) -> Questions:
        """Who asks the maker, and tells what went wrong."""
        if self._questions is None:
            raise RuntimeError("the window that asks is not there yet")
        return self._questions

    def ask_by(self, questions: Questions) -> None:
        """Ask the maker in this way from here on, unless somebody does so already."""
        self._questions = self._questions or questions

    @cached_property
    def redesigner(self) -> "Redesigner":
        """Turns wanted figures into steps of the document."""
        from app.session.redesigner import Redesigner

        return Redesigner(self)

    @cached_property
    def capacity(self) -> "CapacityModel":
        """What the document's bag holds, filled."""
        from app.session.capacity import CapacityModel

        return CapacityModel(self)

    @cached_property
    def load(self) -> "LoadModel":
        """What the filled bag weighs against its handles."""
        from app.session.capacity import LoadModel

        return LoadModel(self)

    @cached_property
    def variants(self) -> "Variants":
        """What is kept beside the document's bag."""
        from app.session.variants import Variants

        return Variants(self)

    def close(self) -> None:
        """End all work; it is not waited for."""
        for work in ("capacity", "load", "redesigner"):
            if work in self.__dict__:
                getattr(self, work).close()
