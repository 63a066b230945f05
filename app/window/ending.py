"""Ending at the system's word: a signal, or the end of the desktop's session.

Nothing is asked then. What is not saved is kept as a recovery copy first, with what stands
half typed, and the next start offers it. What stands in a dialog that is still open has not
been given to the bag, and goes with the dialog.
"""

import signal
from contextlib import suppress
from types import FrameType
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QCoreApplication, QObject
from PySide6.QtGui import QGuiApplication

if TYPE_CHECKING:
    from app.files.recovery import Recovery
    from app.window.main_window import MainWindow

ENDED_BY: Final = 128
"""What shells add to the number of the signal that ended a program."""
_NAMES: Final = ("SIGINT", "SIGTERM", "SIGHUP", "SIGQUIT", "SIGBREAK")
"""Signals that ask a program to end, as far as a system has them."""


def end_at_once() -> None:
    """Let signals end the program at once: there is nothing to lose.

    Python's own answer to Ctrl+C would wait until Qt next calls Python.
    """
    for each in _heeded():
        signal.signal(each, signal.SIG_DFL)


class OrderlyEnd(QObject):
    """Ends a window's program in order when the system says so, whatever is open or runs.

    Qt's loop knows no signals, and Python answers one only when Qt next calls it. But the
    moment a signal comes its number is written to a socket, and of that the loop hears. A
    second signal of the same kind ends the program at once.
    """

    def __init__(self, window: "MainWindow", recovery: "Recovery") -> None:
        super().__init__(window)
        self._window = window
        self._recovery = recovery
        # Not before the window stands.
        import socket

        from PySide6.QtCore import QSocketNotifier

        self._hearing, self._told = socket.socketpair()
        self._hearing.setblocking(False)
        self._told.setblocking(False)
        self._notifier = QSocketNotifier(self._hearing.fileno(), QSocketNotifier.Type.Read, self)
        self._notifier.activated.connect(self._on_told)
        signal.set_wakeup_fd(self._told.fileno(), warn_on_full_buffer=False)
        for each in _heeded():
            signal.signal(each, _leave_the_next)
        app = QGuiApplication.instance()
        if isinstance(app, QGuiApplication):
            app.commitDataRequest.connect(self._on_session_ends)
        window.closed.connect(self.close)

    def close(self) -> None:
        """The window is closed: from now on there is nothing to lose."""
        end_at_once()
        signal.set_wakeup_fd(-1)
        self._notifier.setEnabled(False)
        self._hearing.close()
        self._told.close()

    def _on_told(self) -> None:
        told = b""
        with suppress(BlockingIOError):
            told = self._hearing.recv(64)
        # A signal that somebody else has a handler for is told here, too.
        asked = [number for number in told if number in _heeded()]
        if asked:
            self._end(ENDED_BY + asked[0])

    def _end(self, code: int) -> None:
        try:
            self._recovery.keep()
            self._window.shut()
            self._recovery.leave()
        finally:
            # Every dialog and menu that is open ends with the loop, as if it were cancelled.
            QCoreApplication.exit(code)

    def _on_session_ends(self) -> None:
        # Another program may still hold the session up: the window stays.
        self._recovery.keep()


def _heeded() -> frozenset[int]:
    """The signals that end the program; not those that whoever started it had it ignore."""
    known = (getattr(signal, name) for name in _NAMES if hasattr(signal, name))
    return frozenset(each for each in known if signal.getsignal(each) is not signal.SIG_IGN)


def _leave_the_next(number: int, _frame: FrameType | None) -> None:
    signal.signal(number, signal.SIG_DFL)
