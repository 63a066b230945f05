"""The planner's worker: `python -m core.cutting.worker`.

It reads one request on standard input, to its end, and answers with JSON lines on standard
output: better and better layouts, what share of the work is done, and a last word. It knows
rectangles only; `Planner.plan` makes a plan of its answers for the bag that was asked about.
Killing it is how it is cancelled. Lengths are mm.

    {"kind": "layouts", "request", "done", "layouts": [[[x, y, turned], ...], ...], "lengths"}
    {"kind": "done", "request"}
    {"kind": "error", "message"}

`request` repeats what the request is called, so that an old answer never passes for a new.
"""

import sys
import time
from collections.abc import Iterator, Sequence
from hashlib import sha256
from typing import Final, Literal, TextIO

import msgspec

from core.bag.making import Cutting
from core.base.errors import CornerwrightError
from core.base.sanitize import packed_json
from core.base.sentences import typed
from core.cutting.packing.job import Job, Placement, Rectangle
from core.cutting.packing.sheets import SearchProgress, Section, SectionLayout, better_sections
from core.flat.piece import GrainTurn

SECONDS_BETWEEN: Final = 0.1
"""Lines come no faster than this, but for the first layouts and the last."""

PlacedRectangle = tuple[float, float, bool]
"""(x, y, turned) of one rectangle."""


class RectangleRecord(msgspec.Struct, array_like=True):
    """A rectangle of a request."""

    width: float
    height: float
    turn: Literal["never", "half turn", "quarter turns"]


class SectionRecord(msgspec.Struct, kw_only=True):
    """A section of a request."""

    usable_width: float
    gap: float
    cutting: Literal["free", "rows"]
    sheet: float | None
    share: float
    rectangles: list[RectangleRecord]


class Request(msgspec.Struct, kw_only=True):
    """What the worker is asked; `builds` of null lets the number of rectangles decide."""

    seed: int
    builds: int | None
    sections: list[SectionRecord]


class AnswerLine(msgspec.Struct, kw_only=True):
    """One line of the worker's answer."""

    kind: Literal["layouts", "done", "error"]
    request: str = ""
    done: float = 0.0
    layouts: list[list[PlacedRectangle]] = []
    lengths: list[float] = []
    message: str = ""


def request_json(sections: Sequence[Section], *, seed: int = 0, builds: int | None = None) -> bytes:
    """The request for these sections, one line."""
    records = [
        SectionRecord(
            usable_width=section.job.usable_width,
            gap=section.job.gap,
            cutting="rows" if section.job.cutting is Cutting.ROWS else "free",
            sheet=section.sheet,
            share=section.share,
            rectangles=[
                msgspec.convert((each.width, each.height, each.turn.value), RectangleRecord)
                for each in section.job.rectangles
            ],
        )
        for section in sections
    ]
    return packed_json(Request(seed=seed, builds=builds, sections=records)) + b"\n"


def request_name(request: bytes) -> str:
    """What answers call this request: it follows from its text."""
    return sha256(request.strip()).hexdigest()[:16]


def read_answer(line: bytes, request: bytes, sections: Sequence[Section]) -> SearchProgress | None:
    """The layouts in one line; None for a line without, or one that answers another request.

    A CornerwrightError is the worker's, that could not do what it was asked; a
    msgspec.DecodeError says that the line is no answer at all.
    """
    answer = msgspec.json.decode(line, type=AnswerLine)
    if answer.kind == "error":
        raise CornerwrightError(typed(answer.message))
    if answer.kind != "layouts" or answer.request != request_name(request):
        return None
    layouts = tuple(
        SectionLayout(tuple(_placements(section, spots)), length)
        for section, spots, length in zip(sections, answer.layouts, answer.lengths, strict=True)
    )
    return SearchProgress(answer.done, layouts)


def _placements(section: Section, spots: list[PlacedRectangle]) -> Iterator[Placement]:
    for index, (piece, (x, y, turned)) in enumerate(
        zip(section.job.rectangles, spots, strict=True)
    ):
        width, height = (piece.height, piece.width) if turned else (piece.width, piece.height)
        yield Placement(index=index, x=x, y=y, width=width, height=height, turned=turned)


def answer(request: bytes, out: TextIO) -> int:
    """Work on one request; returns the exit code: 0, or 2 for a request that cannot be."""
    try:
        asked = msgspec.json.decode(request, type=Request)
        sections = [_section(record) for record in asked.sections]
        _search(sections, asked, request_name(request), out)
    except (msgspec.DecodeError, CornerwrightError) as error:
        _say(out, AnswerLine(kind="error", message=str(error)))
        return 2
    return 0


def _search(sections: list[Section], asked: Request, name: str, out: TextIO) -> None:
    last: SearchProgress | None = None
    said_at = 0.0
    for last in better_sections(sections, seed=asked.seed, builds=asked.builds):
        now = time.monotonic()
        if now - said_at >= SECONDS_BETWEEN:
            _say(out, _layouts(last, name))
            said_at = now
    if last is not None:
        _say(out, _layouts(SearchProgress(1.0, last.layouts), name))
    _say(out, AnswerLine(kind="done", request=name, done=1.0))


def _section(record: SectionRecord) -> Section:
    rectangles = tuple(
        Rectangle(width=each.width, height=each.height, turn=GrainTurn(each.turn))
        for each in record.rectangles
    )
    cutting = Cutting.ROWS if record.cutting == "rows" else Cutting.FREE
    job = Job(
        rectangles=rectangles, usable_width=record.usable_width, gap=record.gap, cutting=cutting
    )
    return Section(job=job, sheet=record.sheet, share=record.share)


def _layouts(step: SearchProgress, name: str) -> AnswerLine:
    return AnswerLine(
        kind="layouts",
        request=name,
        done=step.done,
        layouts=[[(p.x, p.y, p.turned) for p in each.placements] for each in step.layouts],
        lengths=[each.length for each in step.layouts],
    )


def _say(out: TextIO, line: AnswerLine) -> None:
    out.write(packed_json(line).decode() + "\n")
    out.flush()


if __name__ == "__main__":
    sys.exit(answer(sys.stdin.buffer.read(), sys.stdout))
