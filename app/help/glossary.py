"""The words of the trade, with their drawings."""

from collections.abc import Iterator
from dataclasses import dataclass

from app.help.page import HelpBlock, Page, page_of, term, text
from app.help.topics import Topic


@dataclass(frozen=True, slots=True)
class Gloss:
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
        return self.word.lower().replace(" ", "-")


GLOSSARY: tuple[Gloss, ...] = (
    Gloss("Allowance", "Short for <a href='help:glossary#seam-allowance'>seam allowance</a>."),
    Gloss(
        "Backstitch",
        "A few stitches back and forth at the end of a seam, so that it does not come undone.",
    ),
    Gloss(
        "Base board",
        "The stiffener in the bottom. It is laid in on the lining, or fused between the layers.",
        "base-board",
    ),
    Gloss(
        "Base width",
        "The finished size of the bottom from side to side, stitch line to stitch line.",
        "base-width",
    ),
    Gloss(
        "Basting",
        "Long temporary stitches that hold layers together, just inside the seam allowance, so "
        "that the final seam hides them. The scant seam of pattern books.",
        "basting",
    ),
    Gloss(
        "Bottom fold",
        "The line across the panel where it is folded between front and back.",
        "bottom-fold",
    ),
    Gloss(
        "Bottom seam",
        "Where front and back are two panels, the seam that joins them at the bottom.",
        "bottom-seam",
    ),
    Gloss(
        "Boxed corner",
        "What closing the corner cut makes: the seam across each end of the base, which gives the "
        "bag its depth. Seen here from below, wrong side out.",
        "boxed-corner",
    ),
    Gloss(
        "Clip",
        "A snip into an allowance that ends a stitch before the seam, so that a straight edge can "
        "be turned round a corner, and a rounded one lies flat.",
    ),
    Gloss(
        "Corner cut",
        "The rectangle that is cut away at each bottom corner. Its width runs along the bottom, "
        "its depth up from the bottom fold, on one layer.",
        "corner-cut",
    ),
    Gloss(
        "Corner mark",
        "Where a corner is sewn across instead of cut out: how far from the end of the side seam's "
        "stitching the line lies, not from the raw tip. The bottom comes out twice as deep.",
    ),
    Gloss(
        "Corner mismatch",
        "By how much the two edges of a corner seam differ. What is too short shows as a gap, what "
        "is too long as a pucker.",
        "corner-mismatch",
    ),
    Gloss(
        "Corner radius",
        "How far a corner is rounded where it is sewn: less by the allowance than it is cut.",
    ),
    Gloss(
        "Corner rounding",
        "Radius of the cut edge at a rounded corner. An allowance as wide as that uses it up.",
    ),
    Gloss("Cut line", "The outline along which you cut.", "cut-line"),
    Gloss(
        "Ease",
        "A difference in length small enough to be taken up while sewing, by spreading it along "
        "the seam.",
    ),
    Gloss(
        "Face height",
        "The finished height of a face, from the edge of the base to the top.",
        "face-height",
    ),
    Gloss(
        "Facing",
        "A strip sewn right sides together to the top edge of an open bag, turned to the inside "
        "and stitched down: it finishes the edge without folding the wall.",
    ),
    Gloss(
        "Fill line",
        "Where the lowest roll of a roll top begins. Front and back come together there: what the "
        "bag holds is below it.",
    ),
    Gloss(
        "Finished size",
        "What the sewn bag measures, taken on the stitch lines. The cut size is what you cut.",
    ),
    Gloss(
        "Front trim",
        "How much shorter the front is cut than the back. It brings the zip over onto the front.",
        "front-trim",
    ),
    Gloss(
        "Grain",
        "The direction of the lengthwise threads, along the selvedge. Cloth stretches least that "
        "way, so the arrow on a piece is laid along it.",
        "grain",
    ),
    Gloss("Gusset depth", "The finished size of the bottom from front to back.", "gusset-depth"),
    Gloss(
        "Gusset strip",
        "The long piece between two panels. Sewn round front and back it makes both sides and the "
        "bottom; where corners are, it is clipped and turned.",
    ),
    Gloss(
        "Handle drop",
        "How high the top of the handle stands above the top fold when it is pulled taut: the room "
        "for an arm.",
        "handle-drop",
    ),
    Gloss("Handle gap", "The space between the two legs of a handle.", "handle-stop"),
    Gloss(
        "Handle loop",
        "The joined strip that runs under the bag and up both faces, before it is sewn on.",
        "handle-drop",
    ),
    Gloss(
        "Handle stop",
        "Where the stitching of a handle leg ends, below the cut top edge.",
        "handle-stop",
    ),
    Gloss("Hem", "A top edge turned in and stitched down, on a bag without a zip."),
    Gloss(
        "Interfacing",
        "A layer between outer fabric and lining that gives body: foam, fleece, or a fusible that "
        "an iron glues on.",
        "layers",
    ),
    Gloss(
        "Layers",
        "What lies over one another in the wall of the bag, outermost first. They are basted and "
        "then sewn as one, a sandwich.",
        "layers",
    ),
    Gloss(
        "Mouth",
        "The top edges of the walls, to which the top is sewn. It can be laid flat, front on back, "
        "or stands open as a box.",
    ),
    Gloss(
        "Nap",
        "Pile that lies one way, as of velvet or fleece. Pieces of such cloth all lie the same way "
        "up, or they look like two colours.",
    ),
    Gloss("Notch", "A small mark at a cut edge; notch meets notch when two edges are sewn."),
    Gloss("Opening width", "The finished width of the opening from end to end, laid flat."),
    Gloss(
        "Panel",
        "The one flat piece that is folded at the bottom and makes back, bottom and front. With a "
        "bottom seam there are two. Also either of the two that a strip is sewn round.",
        "panel",
    ),
    Gloss(
        "Pin",
        "Holds a measure as it is while another is typed. See "
        "<a href='help:redesign#pins'>Redesign and pins</a>.",
    ),
    Gloss(
        "Placement line", "Where another part is laid on: pocket, handles, board.", "placement-line"
    ),
    Gloss(
        "Pocket drop",
        "How far the upper edge of the pocket lies below the cut edge of the face.",
        "pocket-drop",
    ),
    Gloss("Press open", "Iron the two allowances of a seam apart, so that it lies flat."),
    Gloss(
        "Right side",
        "The side of the cloth that is to be seen. Right sides together: the two good sides face "
        "each other while you sew.",
    ),
    Gloss(
        "Roll top",
        "A hemmed top edge that is laid flat, rolled down several times and held by a buckle at "
        "its ends. What is rolled down is no room in the bag.",
    ),
    Gloss(
        "Seam allowance",
        "The strip between cut line and stitch line. It may differ from seam to seam.",
        "seam-allowance",
    ),
    Gloss("Selvedge", "The woven edge of the cloth, which is not used."),
    Gloss(
        "Separate base",
        "A bottom that is a piece of its own, with the walls sewn round it.",
    ),
    Gloss(
        "Side seam",
        "Closes the bag at each side, from the corner up; it catches the ends of zip and pocket.",
        "side-seam",
    ),
    Gloss(
        "Staystitch",
        "Stitch a single layer just inside the allowance, so that its edge holds when it is "
        "clipped and turned.",
    ),
    Gloss(
        "Stitch line",
        "Where the needle goes, one seam allowance inside the cut line.",
        "stitch-line",
    ),
    Gloss(
        "Take-up",
        "What a sewn bag measures less than its drawing, because cloth is thick and turns. Drawn "
        "here larger than it is. See <a href='help:take-up'>Take-up</a>.",
        "take-up",
    ),
    Gloss("Top fold", "The highest line of the closed bag laid flat.", "top-fold"),
    Gloss(
        "Top strip",
        "Two narrow pieces with a zip between them. They close the ring of a gusset strip, or lie "
        "on the four top edges of a box.",
    ),
    Gloss("Topstitch", "Stitch from the right side, close to an edge or a seam, where it is seen."),
    Gloss("Turn through", "Pull a bag or a tube right side out, through an opening left for it."),
    Gloss(
        "Walking the seams",
        "Comparing the two stitch lines that a seam joins, edge by edge: here the two short ones "
        "together against the long one.",
        "walking-the-seams",
    ),
    Gloss(
        "Wrap",
        "A strip that makes front, bottom and back, with a panel sewn in at each end.",
    ),
    Gloss(
        "Wrong side",
        "The side of the cloth that is not to be seen; hatched in the drawings.",
        "boxed-corner",
    ),
    Gloss("Zip clearance", "From the top fold down to the nearer stitch line of the zip."),
    Gloss("Zip offset", "From the top fold down the front to the middle of the zip.", "zip-offset"),
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
        *_glossary_rows(),
    )


def _glossary_rows() -> Iterator[HelpBlock]:
    for each in GLOSSARY:
        yield term(each.word, each.means, each.anchor, each.drawing)
