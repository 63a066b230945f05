"""What every zip is called, its figures, and its choices. Lengths are mm."""

from dataclasses import replace

from core.base.sentences import mark
from core.model.figures import LONGEST, CutFigure
from core.site.owner import Choice

A_ZIP, LEFT_OUT = mark("zip"), "zip"
"""What sentences and commands call it."""
ZIP_FIGURES: tuple[CutFigure, ...] = (
    CutFigure(
        name="zip_tape_width",
        label=mark("Zip tape width"),
        part="top",
        attribute="tape_width",
        high=200.0,
        above_low=True,
        help=mark("Width of the closed zip across both tapes."),
    ),
    CutFigure(
        name="zip_length",
        label=mark("Zip length"),
        part="top",
        attribute="length",
        high=2 * LONGEST,
        above_low=True,
        published=False,
        help=mark(
            "Length of the zip as bought: what it closes, as cut, and an inch to spare at each end."
        ),
    ),
)
ZIP_CHOICES: tuple[Choice, ...] = (
    Choice(
        name="zip_gauge",
        part="top",
        label=mark("Gauge"),
        step=mark("Change the zip's gauge"),
        help=mark("The zip's size number: about the width of its closed teeth in mm."),
        options=(
            ("3", mark("No. 3, fine")),
            ("5", mark("No. 5, usual")),
            ("8", mark("No. 8, coarse")),
            ("10", mark("No. 10, heavy")),
        ),
        read=lambda top: top.gauge,
        write=lambda top, word, around, kept: replace(top, gauge=word),
    ),
    Choice(
        name="zip_sold",
        part="top",
        label=mark("Zip is bought"),
        step=mark("Change how the zip is bought"),
        help=mark("Ready-made in the lengths that shops sell, or cut off a roll to any length."),
        options=(("made", mark("Ready-made")), ("length", mark("Off the roll"))),
        read=lambda top: "length" if top.by_length else "made",
        write=lambda top, word, around, kept: replace(top, by_length=word == "length"),
    ),
)
