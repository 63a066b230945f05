"""A session on a bag, for tests of what shares one."""

import time
from typing import cast

from PySide6.QtCore import QSettings

from app.session.display import Display
from app.session.document import Document
from app.session.session import Questions, Session
from app.session.settings import Settings
from app.session.undo import Clock
from core.bag.bag import Bag
from core.storage.bag_files import demo_bag
from core.storage.project import Project


class Told:
    """Takes down what went wrong; it asks nothing."""

    def __init__(self) -> None:
        self.texts: list[str] = []

    def tell(self, text: str, details: str = "") -> None:
        self.texts.append(text)


def session_on(
    opened: Bag | Project | None = None,
    *,
    store: QSettings | None = None,
    questions: Questions | Told | None = None,
    clock: Clock = time.monotonic,
) -> Session:
    """A session on the bag, or the demo bag, in inches; settings are the test's own."""
    document = Document(demo_bag() if opened is None else opened, clock=clock)
    kept = QSettings("cornerwright", "test") if store is None else store
    asked = cast(Questions | None, questions)
    return Session(document, Display(), Settings(kept), asked)
