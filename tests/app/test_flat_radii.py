"""What the flat pane tells of arcs.

Sources: ISO 129-1 for the letter R before a radius (from memory); plane geometry.
"""

import pytest
from PySide6.QtGui import QGuiApplication

from app.session.display import Display
from app.views.flat.labels import Lettering
from app.views.flat.paint import Pictures
from app.views.flat.piece_picture import PiecePicture
from app.views.flat.sheet import Drawn
from core.base.units import Unit
from core.drawing.pattern import DrawOptions, draw_piece
from core.flat.match_marks import SeamMarks
from core.flat.piece import Piece, overall
from core.flat.stitch import stitch_outline
from tests.core.flat.rounded import piece_of, rounded_edges

WIDTH, HEIGHT = 300.0, 200.0


def rounded(*radii: float) -> Piece:
    return piece_of(rounded_edges((WIDTH, HEIGHT), radii, (10.0,) * 4))


def laid_out(piece: Piece, scale: float) -> PiecePicture:
    records = tuple(draw_piece(piece, stitch_outline(piece), DrawOptions()))
    drawn = Drawn(piece, "p", piece.bounds, 0.0, records, overall(piece), SeamMarks((), ()))
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
