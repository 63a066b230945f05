"""What a zip that comes forward is called, and its figures."""

from core.base.sentences import mark
from core.model.figures import Direction, FinishedFigure
from core.site.kinds import Told
from core.tops.zips.figures import A_ZIP, LEFT_OUT, ZIP_CHOICES, ZIP_FIGURES

ZIP_SIZES = (
    FinishedFigure(
        name="zip_offset",
        label=mark("Zip offset"),
        part="top",
        help=mark("From the top fold down the front to the middle of the zip."),
        tape=mark("from the top fold down to the middle of the zip"),
        taken_up=Direction.UP,
    ),
    FinishedFigure(
        name="zip_clearance",
        label=mark("Zip clearance"),
        part="top",
        help=mark("From the top fold down the front to the zip's nearer stitch line."),
        wanted=False,
        may_be_negative=True,
        taken_up=Direction.UP,
        loses_with="zip_offset",
    ),
)

ZIP_FORWARD = Told(
    place=("core.tops.zip_forward.zip", "ZipForward"),
    kind="zip-forward",
    label=mark("Zip"),
    word=A_ZIP,
    figures=ZIP_FIGURES,
    finished=ZIP_SIZES,
    choices=ZIP_CHOICES,
    left_out=LEFT_OUT,
)
