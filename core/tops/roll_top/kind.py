"""What a roll top is called, and its figures."""

from core.base.sentences import mark
from core.model.figures import CutFigure, Direction, FinishedFigure, Quantity
from core.site.kinds import Told

MOST_ROLLS = 12
"""More than anybody rolls (own choice)."""
ROLLS = CutFigure(
    name="rolls",
    label=mark("Rolls"),
    part="top",
    attribute="rolls",
    quantity=Quantity.COUNT,
    low=1,
    high=MOST_ROLLS,
    help=mark("How many times the top is rolled down; three or four hold."),
)
ROLL_DEPTH = CutFigure(
    name="roll_depth",
    label=mark("Roll depth"),
    part="top",
    attribute="depth",
    above_low=True,
    help=mark("How far the top is turned down with each roll."),
)
ROLLED_HEIGHT = FinishedFigure(
    name="rolled_height",
    label=mark("Height when rolled"),
    part="top",
    help=mark("From the base edge up to the lowest roll; front and back come together below it."),
    wanted=False,
    may_be_negative=True,
    published=False,
    taken_up=Direction.UP,
)

ROLL_TOP = Told(
    place=("core.tops.roll_top.roll", "RollTop"),
    kind="roll-top",
    label=mark("Rolled down"),
    word=mark("roll top"),
    figures=(ROLLS, ROLL_DEPTH),
    finished=(ROLLED_HEIGHT,),
)
