"""The help on findings, by their codes, and the words of the trade with their drawings."""

from collections.abc import Iterator
from dataclasses import dataclass

from app.help.page import HelpBlock, Page, page_of, point, term, text
from app.help.topics import Topic


@dataclass(frozen=True, slots=True)
class Explained:
    """What is said of some findings together.

    Attributes:
        codes: of findings, each an anchor.
        words: why it matters, and what helps.
    """

    codes: tuple[str, ...]
    title: str
    words: str


EXPLAINED: tuple[Explained, ...] = (
    Explained(
        ("corner-edges-differ",),
        "Corner edges that differ",
        "The corner seam joins two edges that are not equally long. A little can be "
        "<a href='help:glossary#ease'>eased</a>; more gives a gap or a pucker. Change the width or "
        "the depth of the corner cut.",
    ),
    Explained(
        ("base-vanishes", "stitch-lines-cross"),
        "Nothing left of the base or a face",
        "Corner cuts and allowances take more than there is: stitch lines cross, or a finished "
        "size comes out as nothing. Make the cuts smaller or the panel larger.",
    ),
    Explained(
        ("corner-left-in", "trim-near-seam"),
        "Tips of corners sewn across",
        "Beyond the corner seam a tip of two walls is left. Left in, it lies under the bottom as "
        "bulk; trimmed nearer than a quarter inch, a fabric that frays gives way at the seam. "
        "Trim the tips, and allow more at the corner seam.",
    ),
    Explained(
        ("base-narrow", "opening-narrow", "face-too-short", "face-beyond-reach"),
        "Hard to sew or to use",
        "The presser foot, a hand or an arm needs some room. A face lower than the base is deep "
        "makes a bag that is wider than high, which may be what you want.",
    ),
    Explained(
        ("no-allowance", "thin-allowance", "wide-allowance"),
        "Allowances",
        "A narrow allowance frays out of its seam, a wide one is bulk in the corner. "
        "Changing it by the finding's button leaves every finished size as it was.",
    ),
    Explained(
        ("zip-on-top-fold", "zip-near-top-fold", "zip-near-base"),
        "Where the zip lies",
        "A zip on the top fold strains and shows its back. More "
        "<a href='help:glossary#front-trim'>front trim</a> brings it down the front, less brings "
        "it up.",
    ),
    Explained(
        ("zip-too-short", "zip-does-not-close", "zip-length-not-sold", "zip-tape-not-sold"),
        "The zip itself",
        "A zip is sewn in longer than what it closes and trimmed after. Choose a length and a "
        "tape that shops sell.",
    ),
    Explained(
        ("opening-too-short", "top-strip-narrow"),
        "The top strip",
        "A zip in a top strip opens as far as the strip is long. What is as wide as the bag goes "
        "in flat where the opening is as long as the straight top of the panels; and each half "
        "strip is wide enough to be held while it is sewn.",
    ),
    Explained(
        ("teeth-under-needle", "zip-near-handle-stop"),
        "The needle beside the zip",
        "The needle must not hit teeth, nor the foot ride on them. Move the seam or the stop of "
        "the handle.",
    ),
    Explained(
        ("hems-differ", "hem-near-base"),
        "Hems of an open top",
        "Front and back hem fold at one height, and need a face to be turned onto.",
    ),
    Explained(
        ("pocket-meets-zip", "pocket-near-zip", "pocket-meets-corner", "pocket-meets-base"),
        "Where the pocket lies",
        "A pocket too near the seam or hem above it is sewn shut or in the way of the foot; one "
        "too low runs into the corner, or off its face. Change its drop or its cut height.",
    ),
    Explained(
        (
            *("pocket-low", "pocket-compartment-narrow", "pocket-not-divided"),
            *("pocket-open-above-stop", "pocket-open-below-legs"),
        ),
        "The pocket's use",
        "The stitching of the handles divides the pocket: where its legs begin and end decides "
        "which compartments there are, and a hand wants room in each.",
    ),
    Explained(
        ("handle-over-corner", "handle-off-panel", "handle-over-side-seam", "handle-stop-in-hem"),
        "Where the handles lie",
        "Each leg is sewn down within the base and the face. Make the gap or the handles narrower, "
        "or end the stitching lower.",
    ),
    Explained(
        ("handle-loop-short", "handle-leg-short", "handle-to-ground"),
        "How long the handles are",
        "The free part gives the <a href='help:glossary#handle-drop'>drop</a>, the sewn part holds "
        "the load. Join more strips, or type the drop that you want.",
    ),
    Explained(
        ("handle-piece-short", "handle-join-at-stop", "handle-narrower-than-folds"),
        "Making the strips",
        "Joins want to lie where the load is low and the layers are few, and four layers must "
        "fold flat to the finished width.",
    ),
    Explained(
        ("board-too-big", "board-too-small", "board-under-needle"),
        "The base board",
        "It has to go in between the layers with a little to spare, and a small one slides about.",
    ),
    Explained(
        ("wider-than-goods", "print-upside-down", "layers-shrink-apart"),
        "Cloth",
        "A piece wider than its cloth must be turned or joined. A one-way print runs upside down "
        "on one face of a folded panel: a bottom seam turns it. Layers that shrink apart want a "
        "wash before you cut.",
    ),
    Explained(
        ("too-thick-to-sew", "foot-clearance-high"),
        "Thick crossings",
        "Where seams cross, all layers lie under the foot at once. Try the crossing in scraps, "
        "press seams open, or leave a layer out of the allowances.",
    ),
    Explained(
        ("melts", "fusible-would-melt"),
        "Heat",
        "Some layers melt under a hot iron: see <a href='help:cautions#irons'>Irons</a>. A fusible "
        "beside one of them is basted in, not ironed on.",
    ),
    Explained(
        ("baste-shows", "baste-at-edge"),
        "Basting that shows",
        "<a href='help:glossary#basting'>Basting</a> lies inside the allowance, so that the final "
        "seam hides it, and not so near the edge that the needle slips off.",
    ),
    Explained(
        ("little-room-inside", "no-room-inside"),
        "Room inside",
        "A thick wall takes its thickness twice off each size of the inside.",
    ),
    Explained(
        ("heavy-load",),
        "Load",
        "The filled bag may weigh more than one of its handles may carry. See "
        "<a href='help:load'>Load and thread</a>.",
    ),
)


def findings_page() -> Page:
    """What findings are, and what each of them means."""
    return page_of(
        Topic.FINDINGS,
        "Findings",
        text(
            "What would go wrong with this bag, the worst first. Click a finding, or press Enter "
            "on it, to go to its measure. [[fix_worst]] makes the first change that "
            "is offered; one undo takes it back."
        ),
        point("<b>Stop:</b> it cannot be sewn like this."),
        point("<b>Warning:</b> it can be sewn, but will disappoint."),
        point("<b>Note:</b> good to know."),
        *_rows(),
    )


def _rows() -> Iterator[HelpBlock]:
    for each in EXPLAINED:
        yield term(each.title, each.words, " ".join(each.codes))


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
    Gloss("Cut line", "The outline along which you cut.", "cut-line"),
    Gloss(
        "Ease",
        "A difference in length small enough to be taken up while sewing, by spreading it along "
        "the seam.",
    ),
    Gloss(
        "Face height",
        "The finished height from the edge of the base to the top fold.",
        "face-height",
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
        "Nap",
        "Pile that lies one way, as of velvet or fleece. Pieces of such cloth all lie the same way "
        "up, or they look like two colours.",
    ),
    Gloss("Notch", "A small mark at a cut edge; notch meets notch when two edges are sewn."),
    Gloss("Opening width", "The finished width of the top, laid flat."),
    Gloss(
        "Panel",
        "The one flat piece that is folded at the bottom and makes back, bottom and front. With a "
        "bottom seam there are two.",
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
        "Seam allowance",
        "The strip between cut line and stitch line. It may differ from seam to seam.",
        "seam-allowance",
    ),
    Gloss("Selvedge", "The woven edge of the cloth, which is not used."),
    Gloss(
        "Side seam",
        "Closes the bag at each side, from the corner up; it catches the ends of zip and pocket.",
        "side-seam",
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
    Gloss("Topstitch", "Stitch from the right side, close to an edge or a seam, where it is seen."),
    Gloss("Turn through", "Pull a bag or a tube right side out, through an opening left for it."),
    Gloss(
        "Walking the seams",
        "Comparing the two stitch lines that a seam joins, edge by edge: here the two short ones "
        "together against the long one.",
        "walking-the-seams",
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
