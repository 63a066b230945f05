"""What is put off until a change is painted."""

from PySide6.QtCore import QObject, QTimer, Signal


class Soon(QObject):
    """Comes once so long after a change, and not before all that was changed is painted.

    It is not put off by further changes: a held key is followed, between one picture and the next.

    Attributes:
        after: the time until then.

    Signals:
        came: it is time.
    """

    came = Signal()

    def __init__(self, parent: QObject, milliseconds: int) -> None:
        super().__init__(parent)
        self.after = QTimer(self, singleShot=True, interval=milliseconds)
        # It comes after all events that are posted: pictures are among them.
        self._idle = QTimer(self, singleShot=True, interval=0)
        self.after.timeout.connect(self._idle.start)
        self._idle.timeout.connect(self.came)

    @property
    def active(self) -> bool:
        """Whether it has yet to come."""
        return self.after.isActive() or self._idle.isActive()

    def start(self) -> None:
        """Come so long after now, unless it is to come already."""
        if not self.active:
            self.after.start()

    def stop(self) -> None:
        """Come no more."""
        self.after.stop()
        self._idle.stop()
