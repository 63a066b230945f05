"""The filler: `python -m core.solid.filler` fills bags in a process of its own.

It reads questions on standard input and answers on standard output, as `core.solid.filled_bag`
has them, starts each bag from the one before, and ends when its standard input does.
"""

import signal
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from queue import SimpleQueue
from traceback import format_exception
from typing import IO, Final

from core.base.progress import Progress
from core.solid.capacity import Capacity
from core.solid.fill_solve import FillCancelledError
from core.solid.filled_bag import (
    GIVE_UP,
    Broken,
    Cancelled,
    FilledBag,
    Message,
    Question,
    Share,
    fill_bag,
    receive,
    send,
)

SECONDS_BETWEEN: Final = 0.015
"""The share done is told no more often: who hears it is busy with other things."""


def serve(questions: IO[bytes], answers: IO[bytes]) -> None:
    """Answer questions until there are no more."""
    asked: SimpleQueue[Question | None] = SimpleQueue()
    ended = threading.Event()

    def listen() -> None:
        try:
            while True:
                asked.put(receive(questions))
        except EOFError:
            ended.set()
            asked.put(GIVE_UP)

    # In a thread of its own: that a question is given up is heard while it is worked on.
    threading.Thread(target=listen, name="listen", daemon=True).start()
    last: Capacity | None = None
    while not ended.is_set():
        question = asked.get()
        if question is GIVE_UP:  # too late: what it meant has been answered
            continue
        answer = _answer(question, last, _teller(answers, lambda: not asked.empty()))
        if isinstance(answer, FilledBag):
            # The shape stays here, for the next bag to start from.
            last = answer.capacity
            answer = replace(answer, capacity=replace(last, outside=None))
        send(answers, answer)


def _answer(question: Question, last: Capacity | None, progress: Progress) -> Message:
    try:
        return fill_bag(question.bag, last if question.follow else None, progress)
    except FillCancelledError:
        return Cancelled()
    except Exception as error:  # whatever it is, it is told in the window
        return Broken("".join(format_exception(error)))


def _teller(answers: IO[bytes], given_up: Callable[[], bool]) -> Progress:
    """Tells the share done, and whether to go on."""
    told = 0.0

    def tell(done: float) -> bool:
        nonlocal told
        now = time.monotonic()
        if now - told >= SECONDS_BETWEEN:
            told = now
            send(answers, Share(done))
        return not given_up()

    return tell


if __name__ == "__main__":
    # Ctrl+C in a terminal is meant for the window, and this ends with it.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    serve(sys.stdin.buffer, sys.stdout.buffer)
