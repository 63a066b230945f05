"""What the flat pane tells of arcs, and how they are moved by hand.

Sources: ISO 129-1 for the letter R before a radius (from memory); plane geometry.
"""

import math
from dataclasses import replace

import pytest
from PySide6.QtCore import QPointF, QSettings
from PySide6.QtGui import QGuiApplication
from pytestqt.qtbot import QtBot

from app.session.display import Display
from app.session.document import Document
from app.views.flat.dragging import Dragging
from app.views.flat.grips import Axis
from app.views.flat.labels import Lettering
from app.views.flat.paint import Pictures
from app.views.flat.pane import FlatPane
from app.views.flat.piece_picture import PiecePicture
from app.views.flat.sheet import Drawn
from core.bag.parts import Parts
from core.base.sentences import mark
from core.base.units import Unit
from core.drawing.pattern import DrawOptions, draw_piece
from core.flat.match_marks import SeamMarks
from core.flat.piece import Dimension, Out, Piece, overall
from core.flat.roles import Face
from core.flat.stitch import stitch_outline
from core.storage.bag_files import demo_bag
from core.tops.hem.hem import Hem
from tests.app.sessions import session_on
from tests.core.bodies.strip_bags import open_bag
from tests.core.flat.rounded import piece_of, rounded_edges

WIDTH, HEIGHT = 300.0, 200.0


def rounded(*radii: float) -> Piece:
    return piece_of(rounded_edges((WIDTH, HEIGHT), radii, (10.0,) * 4))


def laid_out(piece: Piece, scale: float, *beside: Dimension) -> PiecePicture:
    records = tuple(draw_piece(piece, stitch_outline(piece), DrawOptions()))
    drawn = Drawn(
        piece, "p", piece.bounds, 0.0, records, (*overall(piece), *beside), SeamMarks((), ())
    )
    pictures = Pictures(Lettering(QGuiApplication.font()), Display(Unit.MM))
    return pictures.picture(drawn, scale=scale, laid_at=scale, ratio=1.0, layers=1, roomy=True)


@pytest.mark.parametrize(
    ("radii", "told"),
    [
        ((50.0, 50.0, 0.0, 0.0), ["R 50"]),
        ((50.0, 25.0, 0.0, 0.0), ["R 25", "R 50"]),
        ((0.0, 0.0, 0.0, 0.0), []),
    ],
)
def test_each_radius_is_told_once_inside_the_piece(
    qapp: object, radii: tuple[float, ...], told: list[str]
) -> None:
    picture = laid_out(rounded(*radii), 2.0)
    labels = [label for label in picture.labels if label.text.startswith("R ")]
    assert sorted(label.text for label in labels) == told
    inside = picture.area.boundingRect()
    for label in labels:
        left, top, right, bottom = label.box
        assert inside.left() < left < right < inside.right()
        assert inside.top() < top < bottom < inside.bottom()


def test_a_rounding_that_is_told_at_its_arc_is_not_told_beside_the_piece(
    qapp: object,
) -> None:
    """ISO 129-1: a size is told once."""
    piece = rounded(50.0, 50.0, 0.0, 0.0)
    beside = Dimension(mark("Rounding"), (WIDTH - 50.0, 0.0), (WIDTH, 0.0), Out.BELOW)
    for scale, told in ((2.0, ["R 50"]), (0.1, [])):
        labels = [each.text for each in laid_out(piece, scale, beside).labels]
        assert [text for text in labels if "50" in text] == told, scale


def test_its_line_leads_from_the_arc_to_the_inner_side(qapp: object) -> None:
    """An arc of 50 mm about (50, 50): its middle is 50 - 50 / sqrt(2) = 14.64 mm inside."""
    picture = laid_out(rounded(50.0, 0.0, 0.0, 0.0), 2.0)
    lead = min(picture.leads, key=lambda line: abs(line.x1() - 29.3) + abs(line.y1() + 29.3))
    assert (lead.x1(), lead.y1()) == pytest.approx((29.3, -29.3), abs=1.0)
    assert lead.dx() == pytest.approx(-lead.dy(), abs=1e-9)
    assert lead.dx() > 0.0


def test_a_piece_too_small_for_it_tells_no_radius(qapp: object) -> None:
    assert not [
        each for each in laid_out(rounded(50.0, 50.0, 0.0, 0.0), 0.1).labels if "R" in each.text
    ]


def test_a_rounded_corner_follows_the_hand(qapp: object) -> None:
    """Its middle lies R (1 - 1 / sqrt(2)) beside the corner."""
    bag = replace(demo_bag(), body=open_bag(), top=Hem(), parts=Parts(), unit=Unit.MM)
    document = Document(bag)
    hand = Dragging(document, Display(Unit.MM))
    arcs = [grip for grip in hand.grips().values() if grip.bend]
    assert {grip.figure for grip in arcs} == {"corner_rounding"}
    assert len(arcs) == 4
    left = max((grip for grip in arcs if grip.ref.piece.face is Face.FRONT), key=lambda g: g.out)
    hand.take(left.ref, left.out)
    assert [twin.figure for twin in hand.twins(left)] == ["corner_rounding"]
    hand.pull(left.out - 20.0 * (1.0 - math.sqrt(0.5)), free=True)
    assert document.bag.body.corner_rounding == pytest.approx(60.0 + 20.0, abs=0.1)
    moved = hand.grips()[left.ref]
    assert moved.out == pytest.approx(left.out - 20.0 * (1.0 - math.sqrt(0.5)), abs=0.05)
    hand.give_back()
    assert document.bag == bag
    straight = [grip.figure for grip in hand.grips().values() if not grip.bend]
    assert sorted(set(straight)) == [
        "face_cut_height", "face_cut_width", "strip_length", "strip_width",
    ]  # fmt: skip


def test_the_hand_finds_an_arc_and_paints_it(qtbot: QtBot, store: QSettings) -> None:
    bag = replace(demo_bag(), body=open_bag(), top=Hem(), parts=Parts(), unit=Unit.MM)
    pane = FlatPane(session_on(bag, store=store))
    qtbot.addWidget(pane)
    pane.resize(700, 560)
    pane.show()
    pane.grab()
    arc = next(grip for grip in pane.hand.grips().values() if grip.bend)
    x, y = pane.sheet.places[arc.ref.piece]
    middle = arc.line[4]
    at = pane.view.to_screen(middle[0] + x, middle[1] + y)
    assert pane.grip_at(at) == arc.ref
    assert pane.grip_at(at + QPointF(30.0, -30.0)) != arc.ref
    pane.hand.choose(arc.ref)
    pane.grab()
    assert pane.hand.nudge(Axis.ACROSS, 1)
    assert pane.hand.readout().title.startswith("Corner rounding ")
    pane.grab()
