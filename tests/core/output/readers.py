"""Two independent readers of a PDF: pdfminer (through pdfplumber) and PDFium. All in mm."""

import ctypes
import io
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import pdfplumber
import pypdfium2
from numpy.typing import NDArray
from pypdfium2 import raw

MM = 25.4 / 72
"""ISO 32000-1:2008, 8.3.2.3: the default unit of a page is 1/72 in; 1 in = 25.4 mm (1959)."""

Segment = tuple[float, float, float, float, float]
"""(x0, y0, x1, y1, line width), mm from the lower left corner of the page."""


def plumber_segments(data: bytes, page: int) -> list[Segment]:
    """Every straight stroke of a page as pdfminer sees it."""
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        sheet = pdf.pages[page]
        height = float(sheet.height)
        found: list[Segment] = []
        for shape in (*sheet.lines, *sheet.curves, *sheet.rects):
            points = [(float(x), height - float(y)) for x, y in shape["pts"]]
            if shape in sheet.rects:
                x0, x1 = float(shape["x0"]), float(shape["x1"])
                y0, y1 = float(shape["y0"]), float(shape["y1"])
                points = [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]
            width = float(shape["linewidth"]) * MM
            found += [
                (a[0] * MM, a[1] * MM, b[0] * MM, b[1] * MM, width) for a, b in pairwise(points)
            ]
        return found


def pdfium_segments(data: bytes, page: int) -> list[Segment]:
    """Every straight stroke of a page as PDFium sees it, forms followed."""
    document = pypdfium2.PdfDocument(data)
    try:
        return [
            (a[0] * MM, a[1] * MM, b[0] * MM, b[1] * MM, width)
            for a, b, width in _strokes(document[page])
        ]
    finally:
        document.close()


def _strokes(
    page: pypdfium2.PdfPage,
) -> Iterator[tuple[tuple[float, float], tuple[float, float], float]]:
    for thing in page.get_objects(max_depth=1):
        if thing.type == raw.FPDF_PAGEOBJ_PATH:
            yield from _path(thing.raw, [thing.get_matrix()])
        elif thing.type == raw.FPDF_PAGEOBJ_FORM:
            outer = thing.get_matrix()
            for index in range(raw.FPDFFormObj_CountObjects(thing.raw)):
                inner = raw.FPDFFormObj_GetObject(thing.raw, index)
                if raw.FPDFPageObj_GetType(inner) == raw.FPDF_PAGEOBJ_PATH:
                    matrix = pypdfium2.PdfObject(inner, page=page).get_matrix()
                    yield from _path(inner, [matrix, outer])


def _path(path, matrices):
    width = ctypes.c_float()
    raw.FPDFPageObj_GetStrokeWidth(path, width)
    pen = None
    for index in range(raw.FPDFPath_CountSegments(path)):
        segment = raw.FPDFPath_GetPathSegment(path, index)
        x, y = ctypes.c_float(), ctypes.c_float()
        raw.FPDFPathSegment_GetPoint(segment, x, y)
        point = (x.value, y.value)
        for matrix in matrices:
            point = matrix.on_point(*point)
        if raw.FPDFPathSegment_GetType(segment) == raw.FPDF_SEGMENT_MOVETO:
            start = point
        else:
            yield pen, point, width.value
        pen = point
        if raw.FPDFPathSegment_GetClose(segment):
            yield point, start, width.value


READERS = {"pdfminer": plumber_segments, "PDFium": pdfium_segments}


def page_sizes(data: bytes) -> list[tuple[float, float]]:
    """(width, height) of each page in points, as both readers agree to 1e-3."""
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        one = [(float(page.width), float(page.height)) for page in pdf.pages]
    document = pypdfium2.PdfDocument(data)
    try:
        other = [page.get_size() for page in document]
    finally:
        document.close()
    assert len(one) == len(other)
    for first, second in zip(one, other, strict=True):
        assert max(abs(first[0] - second[0]), abs(first[1] - second[1])) < 1e-3
    return one


def page_texts(data: bytes) -> list[str]:
    """The text of each page as PDFium reads it, on one line."""
    document = pypdfium2.PdfDocument(data)
    try:
        return [" ".join(page.get_textpage().get_text_bounded().split()) for page in document]
    finally:
        document.close()


# --- How full a page is, rendered by PDFium -------------------------------------------------------

DOTS = 36 / 72
"""Of the rendered page to a point."""
NEAR = 4.0
"""White so near to ink belongs to it: room between lines, mm."""
EDGE = 16.0
"""Least margin of a page above and below, mm."""
FOOT = 12.0
"""At the foot of every page, with the page's number, mm."""


def inked_rows(page: pypdfium2.PdfPage) -> NDArray[np.bool_]:
    """Whether each row of the page has ink, from the top down to above its foot."""
    grey = np.asarray(page.render(scale=DOTS, grayscale=True).to_pil().convert("L"))
    top, foot = int(EDGE / MM * DOTS), int((EDGE + FOOT) / MM * DOTS)
    return np.asarray((grey < 245).any(axis=1)[top:-foot])


def fullness(page: pypdfium2.PdfPage) -> float:
    """Share of the page's height that has ink on it or near it."""
    rows = inked_rows(page)
    near = int(NEAR / MM * DOTS)
    spread = np.convolve(rows, np.ones(2 * near + 1), mode="same") > 0
    return float(spread.mean())
