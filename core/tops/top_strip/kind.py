"""What a top strip is called, and its figures."""

from core.base.sentences import mark
from core.model.figures import LONGEST, CutFigure
from core.site.kinds import Told
from core.tops.zips.figures import A_ZIP, LEFT_OUT, ZIP_CHOICES, ZIP_FIGURES

STRIP_FIGURES: tuple[CutFigure, ...] = (
    *ZIP_FIGURES,
    CutFigure(
        name="zip_shift",
        label=mark("Zip shift"),
        part="top",
        attribute="shift",
        low=-LONGEST,
        published=False,
        help=mark(
            "How far the zip lies behind the middle of the top, or to the right of it where it "
            "runs from front to back; below 0: before it, or to the left. One half strip is as "
            "much wider, and the other as much narrower."
        ),
    ),
)

TOP_STRIP = Told(
    place=("core.tops.top_strip.strip", "TopStrip"),
    kind="top-strip",
    label=mark("Top strip"),
    word=A_ZIP,
    figures=STRIP_FIGURES,
    choices=ZIP_CHOICES,
    left_out=LEFT_OUT,
)
