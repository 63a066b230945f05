"""Shopping list, cut list and cutting plans as a PDF, in the look of the pattern.

The writer's library is loaded when first used. Nothing here is at true scale, and the pages
say so.
"""

import io
import os
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from core.errors import Sentence
from core.goods.plan import Plan
from core.paper.ink import (
    BOLD,
    POINTS,
    REGULAR,
    STROKED,
    path_code,
    pattern_fonts,
    pen,
    put_whole,
    text_matrix,
)
from core.paper.lettering import CAPITAL, shortened
from core.paper.materials_plan_pages import plan_pages
from core.paper.materials_tables import FOOT, MaterialsOptions, Sheets, word_pages
from core.paper.records import Layer, Polygon, Record, Text
from core.signs import on_one_title

__all__ = ("MaterialsOptions", "export_materials", "materials_pages", "materials_pdf_bytes")


def export_materials(plan: Plan, path: str | os.PathLike[str], options: MaterialsOptions) -> None:
    """Write what to buy, the cut list and the cutting plans to a file, whole or not at all.

    Raises:
        ExportError: the file cannot be written there.
    """
    put_whole(Path(path), materials_pdf_bytes(plan, options))


def materials_pdf_bytes(plan: Plan, options: MaterialsOptions) -> bytes:
    """The same as a PDF file; the same bytes for the same plan and options."""
    writer = _Pages(plan.bag.name or "Bag", options)
    for records in materials_pages(plan, options):
        writer.page(records)
    return writer.finished()


def materials_pages(plan: Plan, options: MaterialsOptions) -> list[list[Record]]:
    """The records of each page, in the page's own frame: mm, y up from its lower left corner."""
    width, height = options.paper.width, options.paper.height
    if height is None:
        raise ValueError("options refuse a roll")
    name = shortened(plan.bag.name or "Bag", FOOT, 0.3 * width)
    foot = options.say(
        Sentence(
            "{name} · drawings are not full size: cut to the sizes written on them",
            words={"name": name},
        )
    )
    sheets = Sheets((width, height), foot)
    word_pages(plan, options, sheets)
    plan_pages(plan, options, sheets)
    return sheets.pages


class _Pages:
    """Pages of records, one by one, as operators of ISO 32000-1, table 51."""

    def __init__(self, title: str, options: MaterialsOptions) -> None:
        from reportlab.pdfgen.canvas import Canvas

        self._fonts = pattern_fonts()
        self._file = io.BytesIO()
        self._size = (options.paper.width, options.paper.height or options.paper.width)
        self._canvas = Canvas(self._file, invariant=1, pageCompression=1)
        self._canvas.setTitle(on_one_title(title))
        self._canvas.setSubject("Materials and cutting plan")
        self._canvas.setAuthor("")
        self._canvas.setCreator("Cornerwright")

    def page(self, records: Iterable[Record]) -> None:
        """One page: lines first, then texts."""
        canvas = self._canvas
        canvas.setPageSize((self._size[0] * POINTS, self._size[1] * POINTS))
        code = [f"{POINTS:.12f} 0 0 {POINTS:.12f} 0 0 cm", "1 j"]
        layer: Layer | None = None
        texts: list[Text] = []
        for record in records:
            if isinstance(record, Text):
                texts.append(self._legible(record))
                continue
            if isinstance(record, Polygon) and record.layer not in STROKED:
                continue
            if record.layer is not layer:
                layer = record.layer
                code.append(pen(layer))
            code.append(path_code(record))
        canvas.addLiteral("\n".join([*code, *self._text_code(texts)]))
        canvas.showPage()

    def finished(self) -> bytes:
        """The whole file."""
        self._canvas.save()
        return self._file.getvalue()

    def _text_code(self, texts: list[Text]) -> list[str]:
        document = self._canvas._doc
        code = ["BT 0 g"]
        for text in texts:
            face = self._fonts[BOLD if text.bold else REGULAR]
            code.append(text_matrix(text))
            # A face is embedded in subsets of 256 signs; a text may need several in turn.
            for subset, signs in face.splitString(text.text, document):
                name = face.getSubsetInternalName(subset, document)
                size = f"{text.height / CAPITAL:.3f}"
                code.append(f"{name} {size} Tf ({self._canvas._escape(signs)}) Tj")
        return [*code, "ET"]

    def _legible(self, text: Text) -> Text:
        """Signs that the font lacks as question marks: they would be left out silently."""
        known = self._fonts[BOLD if text.bold else REGULAR].face.charToGlyph
        plain = "".join(sign if ord(sign) in known else "?" for sign in on_one_title(text.text))
        return text if plain == text.text else replace(text, text=plain)
