"""Drawing records as a PDF: faces, pens, the operators for records, and the file.

Operators are those of ISO 32000-1, table 51; coordinates are mm. The writer's library is
loaded when the faces are first asked for.
"""

import io
import math
from collections.abc import Iterable, Sequence
from functools import cache
from typing import Any

from core.base.sanitize import on_one_title
from core.drawing.lettering import CAPITAL, text_width
from core.drawing.records import Anchor, DrawingRecord, Line, Polygon, Text
from core.flat.geometry import Bounds
from core.flat.ink import Ink
from core.flat.piece import Point
from resources import FOLDER

POINTS = 72 / 25.4
"""PDF units in 1 mm (ISO 32000-1, 8.3.2.3: the default unit is 1/72 in)."""
REGULAR, BOLD = "Pattern", "Pattern-Bold"
"""The two faces, as a page calls them."""
_FILES = {REGULAR: "DejaVuSans.ttf", BOLD: "DejaVuSans-Bold.ttf"}

Pen = tuple[float, tuple[float, ...], float, int]
"""Width in mm, dashes in mm, grey (0 black), cap (0 butt, 1 round)."""
_PENS: dict[Ink, Pen] = {
    Ink.CUT: (0.6, (), 0.0, 1),
    Ink.STITCH: (0.3, (3.0, 1.6), 0.0, 0),
    Ink.FOLD: (0.3, (8.0, 1.6, 1.2, 1.6), 0.0, 0),
    Ink.PLACEMENT: (0.45, (0.0, 1.5), 0.0, 1),
    Ink.BASTE: (0.2, (1.0, 1.0), 0.35, 0),
    Ink.GRAIN: (0.35, (), 0.0, 1),
    Ink.NOTCH: (0.9, (), 0.0, 0),
    Ink.CLIP: (0.3, (), 0.0, 0),
    Ink.DIMENSION: (0.2, (), 0.0, 0),
    Ink.LABEL: (0.3, (), 0.0, 0),
    Ink.FRAME: (0.2, (), 0.45, 0),
    Ink.PAGE_JOIN: (0.3, (), 0.35, 0),
    Ink.TEST: (0.3, (), 0.0, 0),
    Ink.MAP: (0.25, (), 0.3, 0),
    Ink.MATERIAL: (0.3, (), 0.0, 0),
    Ink.PIECE: (0.25, (), 0.3, 0),
    Ink.TRIM: (0.3, (8.0, 1.6, 1.2, 1.6, 1.2, 1.6), 0.0, 0),
    Ink.LEFTOVER: (0.2, (1.0, 1.0), 0.35, 0),
    Ink.USED: (0.2, (1.0, 1.0), 0.35, 0),
}
"""How the lines of each layer are printed."""
_FILLS: dict[Ink, float] = {Ink.MAP: 0.88, Ink.PIECE: 0.88, Ink.PAGE_JOIN: 0.8}
"""Grey of the layers that are filled."""
_OUTLINED = (Ink.TEST, Ink.PAGE_JOIN, Ink.MAP, Ink.MATERIAL, Ink.PIECE)
"""Polygons with an outline of their own; a piece's cut line is drawn edge by edge."""


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
        data = (FOLDER / "fonts" / file).read_bytes()
        found[name] = TTFont(name, io.BytesIO(data))
        pdfmetrics.registerFont(found[name])
    return found


def _thousandths(value: float) -> str:
    """Thousandths of a millimetre: finer than any printer."""
    return f"{value:.3f}"


@cache
def _pen(ink: Ink) -> str:
    """Width, cap, dashes and grey of a layer, as operators."""
    width, dashes, grey, cap = _PENS[ink]
    pattern = " ".join(f"{dash:g}" for dash in dashes)
    fill = f" {_FILLS[ink]:g} g" if ink in _FILLS else ""
    return f"{width:g} w {cap} J [{pattern}] 0 d {grey:g} G{fill}"


def _path(record: Line | Polygon) -> str:
    """A line's points, stroked, or an outline's, filled where its layer is, as operators."""
    (x, y), *others = record.points
    code = [f"{x:.3f} {y:.3f} m"]
    code += [f"{u:.3f} {v:.3f} l" for u, v in others]
    if isinstance(record, Line):
        code.append("S")
    else:
        code.append("b" if record.ink in _FILLS else "s")
    return " ".join(code)


def _text_matrix(text: Text) -> str:
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
    return " ".join(map(_thousandths, (cos, sin, -sin, cos, *at))) + " Tm"


class PdfWriter:
    """A PDF of records, page by page; the same bytes each time.

    The faces are embedded in subsets. A page has its lines first, then all of its texts.

    Attributes:
        lacking: the signs that the faces lack, as `legible` met them.
    """

    def __init__(
        self, *, title: str, subject: str, true_scale: bool = False, packed: bool = True
    ) -> None:
        """Begin a file; its title on one line, "Bag" where nothing is left of it.

        With `true_scale` viewers are asked not to scale when they print. Packing the pages takes
        a fifth of the time of a pattern and saves some 70 kB of 140.
        """
        from reportlab.pdfgen.canvas import Canvas

        self.lacking: dict[str, None] = {}
        self._fonts = pattern_fonts()
        self._file = io.BytesIO()
        self._canvas = Canvas(self._file, invariant=1, pageCompression=int(packed))
        self._canvas.setTitle(on_one_title(title) or "Bag")
        self._canvas.setSubject(subject)
        self._canvas.setAuthor("")
        self._canvas.setCreator("Cornerwright")
        if true_scale:
            self._canvas.setViewerPreference("PrintScaling", "None")

    def legible(self, records: Iterable[DrawingRecord]) -> list[DrawingRecord]:
        """Every sign that the faces lack as a question mark, and remembered.

        A missing sign would otherwise be left out or drawn as a box, silently.
        """
        return [self._legible(each) if isinstance(each, Text) else each for each in records]

    def page(self, size: tuple[float, float], records: Iterable[DrawingRecord]) -> None:
        """One page of this size, mm, with legible records."""
        self._start(size)
        self._draw(records)
        self._canvas.showPage()

    def form(
        self,
        name: str,
        bounds: Bounds,
        records: Iterable[DrawingRecord],
        *,
        below: Sequence[Text],
        grey: float,
    ) -> None:
        """Something that pages show through windows, kept once (ISO 32000-1, 8.10).

        Bounds are mm, records legible. The texts below lie under everything, in solid grey, since
        some viewers and printers ignore transparency inside a form.
        """
        self._canvas.beginForm(name, *bounds)
        self._texts(below, grey)
        self._draw(records)
        self._canvas.endForm()

    def window(
        self, size: tuple[float, float], opening: Bounds, at: Point, form: str, *, framed: bool
    ) -> None:
        """A page that shows a form through a window, whose edge may be drawn; mm.

        `at` is the point of the form that lies at the window's lower left corner.
        """
        self._start(size)
        left, bottom, right, top = opening
        window = f"0 0 {_thousandths(right - left)} {_thousandths(top - bottom)} re"
        corner = f"1 0 0 1 {_thousandths(left)} {_thousandths(bottom)} cm"
        shift = f"1 0 0 1 {_thousandths(-at[0])} {_thousandths(-at[1])} cm"
        self._canvas.addLiteral(f"{corner} q {window} W n {shift}")
        self._canvas.doForm(form)
        frame = f" {_pen(Ink.FRAME)} {window} S" if framed else ""
        self._canvas.addLiteral(f"Q{frame}")
        self._canvas.showPage()

    def finished(self) -> bytes:
        """The whole file."""
        self._canvas.save()
        return self._file.getvalue()

    def _start(self, size: tuple[float, float]) -> None:
        self._canvas.setPageSize((size[0] * POINTS, size[1] * POINTS))
        self._canvas.addLiteral(f"{POINTS:.12f} 0 0 {POINTS:.12f} 0 0 cm")

    def _draw(self, records: Iterable[DrawingRecord]) -> None:
        code = ["1 j"]
        pen = ""
        texts: dict[float, list[Text]] = {}
        for record in records:
            if isinstance(record, Text):
                grey = _PENS[Ink.PAGE_JOIN][2] if record.ink is Ink.PAGE_JOIN else 0.0
                texts.setdefault(grey, []).append(record)
                continue
            if isinstance(record, Polygon) and record.ink not in _OUTLINED:
                continue
            if _pen(record.ink) != pen:
                pen = _pen(record.ink)
                code.append(pen)
            code.append(_path(record))
        self._canvas.addLiteral("\n".join(code))
        for grey, same in texts.items():
            self._texts(same, grey)

    def _texts(self, texts: Iterable[Text], grey: float) -> None:
        """Texts of one grey, as operators: the library's own calls take four times as long."""
        document = self._canvas._doc
        code = [f"BT {grey:g} g"]
        for text in texts:
            face = self._fonts[BOLD if text.bold else REGULAR]
            code.append(_text_matrix(text))
            # A face is embedded in subsets of 256 signs; a text may need several in turn.
            for subset, signs in face.splitString(text.text, document):
                name = face.getSubsetInternalName(subset, document)
                size = _thousandths(text.height / CAPITAL)
                code.append(f"{name} {size} Tf ({self._canvas._escape(signs)}) Tj")
        self._canvas.addLiteral("\n".join([*code, "ET"]))

    def _legible(self, text: Text) -> Text:
        known = self._fonts[BOLD if text.bold else REGULAR].face.charToGlyph
        plain = on_one_title(text.text)
        lacking = [sign for sign in plain if ord(sign) not in known]
        if not lacking and plain == text.text:
            return text
        self.lacking |= dict.fromkeys(lacking)
        return text._replace(text="".join(sign if ord(sign) in known else "?" for sign in plain))
