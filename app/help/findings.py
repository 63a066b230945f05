"""The help on findings, by their codes."""

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
        ("gusset-edges-differ", "base-edges-differ"),
        "A strip or a ring that does not fit round",
        "What is sewn round a panel, or round a base, is as long as the edge that it meets, "
        "<b>on the stitch lines</b>: at each corner both lose their two allowances. Added up "
        "from cut sizes it comes out too long. Change the strip, the walls or the base; a little "
        "can be <a href='help:glossary#ease'>eased</a>.",
    ),
    Explained(
        ("corner-too-tight", "strip-join-on-corner", "ring-seam-on-corner"),
        "Round the corners",
        "A thick wall does not turn in a narrow <a href='help:glossary#corner-rounding'>rounding"
        "</a>, and a join that lies on a corner has twice the layers where the edge must be "
        "clipped and turned. Round the corners more, or let the joins lie on a straight stretch.",
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
        (
            "zip-too-short",
            "zip-too-long",
            "zip-does-not-close",
            "zip-length-not-sold",
            "zip-tape-not-sold",
        ),
        "The zip itself",
        "A zip is sewn in longer than what it closes and trimmed after. Choose a length and a "
        "tape that shops sell, and none of which far more is cut off than must be.",
    ),
    Explained(
        (
            "rolls-too-few",
            "too-thick-to-roll",
            "rolls-near-base",
            "handles-in-rolls",
            "pocket-in-rolls",
            "facing-near-base",
            "facing-narrow",
        ),
        "Open tops",
        "A top that is rolled down holds from three rolls on, and each roll is as deep as the wall "
        "is thick when it lies on the others. A facing covers the allowance that lies inside. "
        "Rolls and facings end above the bottom, and handles and pockets begin below the rolls.",
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
        ("handles-unlike",),
        "Handles that hang level",
        "A front that is trimmed brings the top fold forward, nearer to the stitching of the back "
        "handle, which then stands higher. End the back's stitching as much lower as the front is "
        "trimmed. A loop needs none of this: its halfway marks lie on the bottom line.",
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
