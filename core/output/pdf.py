"""What every printed page shares: faces, pens, the operators for records, and the file.

Operators are those of ISO 32000-1, table 51; coordinates are mm. The writer's library is
loaded when the faces are first asked for.
"""

import io
import math
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from core.base.atomic_write import check_place, reason_of, write_whole
from core.base.errors import ExportError, Sentence
from core.drawing.lettering import text_width
from core.drawing.records import Anchor, Line, Polygon, Text
from core.work.scene import Ink

POINTS = 72 / 25.4
"""PDF units in 1 mm (ISO 32000-1, 8.3.2.3: the default unit is 1/72 in)."""
REGULAR, BOLD = "Pattern", "Pattern-Bold"
"""The two faces, as a page calls them."""
_FILES = {REGULAR: "DejaVuSans.ttf", BOLD: "DejaVuSans-Bold.ttf"}

Pen = tuple[float, tuple[float, ...], float, int]
"""Width in mm, dashes in mm, grey (0 black), cap (0 butt, 1 round)."""
LOOKS: dict[Ink, Pen] = {
    Ink.CUT: (0.6, (), 0.0, 1),
    Ink.STITCH: (0.3, (3.0, 1.6), 0.0, 0),
    Ink.FOLD: (0.3, (8.0, 1.6, 1.2, 1.6), 0.0, 0),
    Ink.PLACEMENT: (0.45, (0.0, 1.5), 0.0, 1),
    Ink.BASTE: (0.2, (1.0, 1.0), 0.35, 0),
    Ink.GRAIN: (0.35, (), 0.0, 1),
    Ink.NOTCH: (0.9, (), 0.0, 0),
    Ink.DIMENSION: (0.2, (), 0.0, 0),
    Ink.LABEL: (0.3, (), 0.0, 0),
    Ink.FRAME: (0.2, (), 0.45, 0),
    Ink.PAGE_JOIN: (0.3, (), 0.35, 0),
    Ink.TEST: (0.3, (), 0.0, 0),
    Ink.MAP: (0.25, (), 0.3, 0),
}
"""How the lines of each layer are printed."""
FILLS: dict[Ink, float] = {Ink.MAP: 0.88, Ink.PAGE_JOIN: 0.8}
"""Grey of the layers that are filled."""
STROKED = (Ink.TEST, Ink.PAGE_JOIN, Ink.MAP)
"""Polygons with an outline of their own; a piece's cut line is drawn edge by edge."""


def put_whole(path: Path, content: bytes) -> None:
    """Write a finished document, whole or not at all.

    Raises:
        ExportError: the file cannot be written there.
    """
    try:
        write_whole(path, content)
    except (OSError, ValueError) as error:
        raise _unwritable(path, error) from error


def refuse_bad_place(path: Path) -> None:
    """Ask before the work is done whether a document can be written there.

    Raises:
        ExportError: it cannot.
    """
    try:
        check_place(path)
    except (OSError, ValueError) as error:
        raise _unwritable(path, error) from error


def _unwritable(path: Path, error: OSError | ValueError) -> ExportError:
    words = {"path": str(path), "reason": reason_of(error)}
    return ExportError(
        Sentence("{path} cannot be written: {reason}. Choose another place.", words=words)
    )


@cache
def pattern_fonts() -> dict[str, Any]:
    """Register the two faces once; they come with the program."""
    from reportlab import rl_config
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    # Plain bytes: armouring them in ASCII takes a quarter more room and a good deal of time.
    rl_config.useA85 = 0
    found: dict[str, Any] = {}
    for name, file in _FILES.items():
        data = resources.files("resources").joinpath("fonts", file).read_bytes()
        found[name] = TTFont(name, io.BytesIO(data))
        pdfmetrics.registerFont(found[name])
    return found


def thousandths(value: float) -> str:
    """Thousandths of a millimetre: finer than any printer."""
    return f"{value:.3f}"


def pen(ink: Ink) -> str:
    """Width, cap, dashes and grey of a layer, as operators."""
    width, dashes, grey, cap = LOOKS[ink]
    pattern = " ".join(f"{dash:g}" for dash in dashes)
    fill = f" {FILLS[ink]:g} g" if ink in FILLS else ""
    return f"{width:g} w {cap} J [{pattern}] 0 d {grey:g} G{fill}"


def path_code(record: Line | Polygon) -> str:
    """A line's points, stroked, or an outline's, filled where its layer is, as operators."""
    (x, y), *others = record.points
    code = [f"{x:.3f} {y:.3f} m"]
    code += [f"{u:.3f} {v:.3f} l" for u, v in others]
    if isinstance(record, Line):
        code.append("S")
    else:
        code.append("b" if record.ink in FILLS else "s")
    return " ".join(code)


def text_matrix(text: Text) -> str:
    """Where the text's first sign stands and how it is turned, as an operator."""
    width = text_width(text.text, text.height, bold=text.bold)
    back = {Anchor.START: 0.0, Anchor.MIDDLE: width / 2, Anchor.END: width}[text.anchor]
    down = text.height / 2
    x, y = text.at
    if not text.angle:
        return f"1 0 0 1 {x - back:.3f} {y - down:.3f} Tm"
    turn = math.radians(text.angle)
    cos, sin = math.cos(turn), math.sin(turn)
    at = (x - cos * back + sin * down, y - sin * back - cos * down)
    return " ".join(map(thousandths, (cos, sin, -sin, cos, *at))) + " Tm"
