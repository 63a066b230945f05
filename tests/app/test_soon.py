"""What is put off until a change is painted."""

import time

from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.session.soon import Soon


def test_it_comes_once_and_after_the_picture_however_late_that_is(qtbot: QtBot) -> None:
    window, happened = QWidget(), []
    qtbot.addWidget(window)
    window.show()
    qtbot.waitExposed(window)
    QApplication.processEvents()
    window.paintEvent = lambda _event: happened.append("painted")
    soon = Soon(window, 5)
    soon.came.connect(lambda: happened.append("came"))
    soon.start()
    window.update()
    time.sleep(0.01)
    soon.start()
    QApplication.processEvents()
    assert happened == ["painted"], "and events are heard before it comes"
    qtbot.waitUntil(lambda: not soon.active)
    assert happened == ["painted", "came"]


def test_what_is_called_off_does_not_come(qtbot: QtBot) -> None:
    window, happened = QWidget(), []
    qtbot.addWidget(window)
    soon = Soon(window, 5)
    soon.came.connect(lambda: happened.append("came"))
    soon.start()
    soon.after.timeout.connect(soon.stop)  # at the last moment
    qtbot.wait(30)
    assert not soon.active and not happened
