"""The words of the trade, as this program and its papers use them, with drawings."""

from collections.abc import Iterator
from dataclasses import dataclass

from app.help.page import Block, Kind, Page, page_of, text
from app.help.topics import Topic


@dataclass(frozen=True, slots=True)
class Term:
    """One word.

    Attributes:
        word: as it is written everywhere.
        means: one or two short sentences.
        drawing: name of its drawing; empty for none.
    """

    word: str
    means: str
    drawing: str = ""

    @property
    def anchor(self) -> str:
        """By which links find it."""
        return self.word.lower().replace(" ", "-")


GLOSSARY: tuple[Term, ...] = (
    Term(
        "Allowance",
        "Short for <a href='help:glossary#seam-allowance'>seam allowance</a>.",
    ),
    Term(
        "Backstitch",
        "A few stitches back and forth at the end of a seam, so that it does not come undone.",
    ),
    Term(
        "Base board",
        "The stiffener in the bottom. It is laid in on the lining, or fused between the layers.",
        "base-board",
    ),
    Term(
        "Base width",
        "The finished size of the bottom from side to side, stitch line to stitch line.",
        "base-width",
    ),
    Term(
        "Basting",
        "Long temporary stitches that hold layers together, just inside the seam allowance, so "
        "that the final seam hides them. The scant seam of pattern books.",
        "basting",
    ),
    Term(
        "Bottom fold",
        "The line across the panel where it is folded between front and back.",
        "bottom-fold",
    ),
    Term(
        "Bottom seam",
        "Where front and back are two panels, the seam that joins them at the bottom.",
        "bottom-seam",
    ),
    Term(
        "Boxed corner",
        "What closing the corner cut makes: the seam across each end of the base, which gives the "
        "bag its depth. Seen here from below, wrong side out.",
        "boxed-corner",
    ),
    Term(
        "Corner cut",
        "The rectangle that is cut away at each bottom corner. Its width runs along the bottom, "
        "its depth up from the bottom fold, on one layer.",
        "corner-cut",
    ),
    Term(
        "Corner mismatch",
        "By how much the two edges of a corner seam differ. What is too short shows as a gap, what "
        "is too long as a pucker.",
        "corner-mismatch",
    ),
    Term("Cut line", "The outline along which you cut.", "cut-line"),
    Term(
        "Ease",
        "A difference in length small enough to be taken up while sewing, by spreading it along "
        "the seam.",
    ),
    Term(
        "Face height",
        "The finished height from the edge of the base to the top fold.",
        "face-height",
    ),
    Term(
        "Finished size",
        "What the sewn bag measures, taken on the stitch lines. The cut size is what you cut.",
    ),
    Term(
        "Front trim",
        "How much shorter the front is cut than the back. It brings the zip over onto the front.",
        "front-trim",
    ),
    Term(
        "Grain",
        "The direction of the lengthwise threads, along the selvedge. Cloth stretches least that "
        "way, so the arrow on a piece is laid along it.",
        "grain",
    ),
    Term(
        "Gusset depth",
        "The finished size of the bottom from front to back.",
        "gusset-depth",
    ),
    Term(
        "Handle drop",
        "How high the top of the handle stands above the top fold when it is pulled taut: the room "
        "for an arm.",
        "handle-drop",
    ),
    Term("Handle gap", "The space between the two legs of a handle.", "handle-stop"),
    Term(
        "Handle loop",
        "The joined strip that runs under the bag and up both faces, before it is sewn on.",
        "handle-drop",
    ),
    Term(
        "Handle stop",
        "Where the stitching of a handle leg ends, below the cut top edge.",
        "handle-stop",
    ),
    Term("Hem", "A top edge turned in and stitched down, on a bag without a zip."),
    Term(
        "Interfacing",
        "A layer between outer fabric and lining that gives body: foam, fleece, or a fusible that "
        "an iron glues on.",
        "layers",
    ),
    Term(
        "Layers",
        "What lies over one another in the wall of the bag, outermost first. They are basted and "
        "then sewn as one, a sandwich.",
        "layers",
    ),
    Term(
        "Nap",
        "Pile that lies one way, as of velvet or fleece. Pieces of such cloth all lie the same way "
        "up, or they look like two colours.",
    ),
    Term("Notch", "A small mark at a cut edge; notch meets notch when two edges are sewn."),
    Term("Opening width", "The finished width of the top, laid flat."),
    Term(
        "Panel",
        "The one flat piece that is folded at the bottom and makes back, bottom and front. With a "
        "bottom seam there are two.",
        "panel",
    ),
    Term(
        "Pin",
        "Holds a measure as it is while another is typed. See "
        "<a href='help:redesign#pins'>Redesign and pins</a>.",
    ),
    Term(
        "Placement line",
        "Where another part is laid on: pocket, handles, board.",
        "placement-line",
    ),
    Term(
        "Pocket drop",
        "How far the upper edge of the pocket lies below the cut edge of the face.",
        "pocket-drop",
    ),
    Term(
        "Press open",
        "Iron the two allowances of a seam apart, so that it lies flat.",
    ),
    Term(
        "Right side",
        "The side of the cloth that is to be seen. Right sides together: the two good sides face "
        "each other while you sew.",
    ),
    Term(
        "Seam allowance",
        "The strip between cut line and stitch line. It may differ from seam to seam.",
        "seam-allowance",
    ),
    Term("Selvedge", "The woven edge of the cloth, which is not used."),
    Term(
        "Side seam",
        "Closes the bag at each side, from the corner up; it catches the ends of zip and pocket.",
        "side-seam",
    ),
    Term(
        "Stitch line",
        "Where the needle goes, one seam allowance inside the cut line.",
        "stitch-line",
    ),
    Term(
        "Take-up",
        "What a sewn bag measures less than its drawing, because cloth is thick and turns. Drawn "
        "here larger than it is. See <a href='help:take-up'>Take-up</a>.",
        "take-up",
    ),
    Term("Top fold", "The highest line of the closed bag laid flat.", "top-fold"),
    Term("Topstitch", "Stitch from the right side, close to an edge or a seam, where it is seen."),
    Term(
        "Turn through",
        "Pull a bag or a tube right side out, through an opening left for it.",
    ),
    Term(
        "Walking the seams",
        "Comparing the two stitch lines that a seam joins, edge by edge: here the two short ones "
        "together against the long one.",
        "walking-the-seams",
    ),
    Term(
        "Wrong side",
        "The side of the cloth that is not to be seen; hatched in the drawings.",
        "boxed-corner",
    ),
    Term("Zip clearance", "From the top fold down to the nearer stitch line of the zip."),
    Term("Zip offset", "From the top fold down the front to the middle of the zip.", "zip-offset"),
)
"""The terms in the order of the alphabet."""


def glossary_page() -> Page:
    """All terms, each with its drawing."""
    return page_of(
        Topic.GLOSSARY,
        "Glossary",
        text(
            "The words of the trade, as they stand in the window, on the pattern and in the "
            "booklet. What a drawing shows of a word is drawn thick."
        ),
        *_rows(),
    )


def _rows() -> Iterator[Block]:
    for term in GLOSSARY:
        yield Block(Kind.TERM, term.word, term.means, term.anchor, picture=term.drawing)
