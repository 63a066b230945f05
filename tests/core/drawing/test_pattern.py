"""Pieces as drawing records: all lines there, no text on another, the half a true half."""

import itertools
from dataclasses import replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from shapely import LineString, box
from shapely import Polygon as Area

from core.bag.compute import compute
from core.base.units import Unit, format_length
from core.drawing import lettering
from core.drawing.half import CENTRE_FOLD, half_piece
from core.drawing.lettering import Words as Line_of_words
from core.drawing.lettering import text_width, with_fractions, wrapped
from core.drawing.pattern import DrawOptions, cutting_text, draw_piece
from core.drawing.records import Line, Polygon, Text, text_box
from core.flat.ink import Ink
from core.flat.match_marks import match_marks
from core.flat.roles import EdgeRole, MarkRole, PieceRole
from core.flat.stitch import stitch_outline
from core.storage.bag_files import SAMPLES, demo_bag, sample


def show(length: float) -> str:
    return format_length(length, unit=Unit.INCH)


def drawn(name: str, *, half: bool = False, **options: object):
    """(piece, records) of every piece of a sample bag."""
    result = compute(sample(name))
    plain = DrawOptions(
        layers=tuple(layer.role for layer in result.bag.sandwich.layers),
        baste_line=result.bag.sandwich.baste_line,
        **options,
    )
    for piece in result.draft.pieces:
        if half and piece.id.owner == "body":
            piece = half_piece(piece)  # noqa: PLW2901 - the half stands in for the whole
        yield piece, draw_piece(piece, stitch_outline(piece), plain)


NARROW = 40.0
"""mm: a tab so narrow holds no line of what is told of it."""


@pytest.mark.parametrize("half", [False, True], ids=["whole", "half"])
@pytest.mark.parametrize("height", [3.2, 6.0, 14.0])
@pytest.mark.parametrize("name", SAMPLES)
def test_no_text_lies_on_another_and_all_lie_on_their_piece(name, height, half):
    """Letters too large for a piece stand wholly under it."""
    for piece, records in drawn(name, half=half, text_height=height):
        boxes = [box(*text_box(each)) for each in records if isinstance(each, Text)]
        assert boxes
        for one, other in itertools.combinations(boxes, 2):
            assert one.intersection(other).area == 0.0
        area, bottom = Area(piece.outline), piece.bounds[1]
        below = [each for each in boxes if each.bounds[3] <= bottom]
        assert all(each in below or area.covers(each) for each in boxes)
        assert not below or height > 3.2 or piece.width < NARROW


@pytest.mark.parametrize("name", SAMPLES)
def test_printed_labels_lie_on_no_line(name):
    for _, records in drawn(name):
        lines = [each for each in records if isinstance(each, Line) and each.ink is Ink.CUT]
        assert len(lines) >= 4
        assert any(isinstance(each, Text) for each in records)
        for text in (each for each in records if isinstance(each, Text)):
            around = box(*text_box(text))
            for line in lines:
                assert not around.intersects(LineString(line.points))


@pytest.mark.parametrize("name", SAMPLES)
def test_name_and_count_are_on_every_piece(name):
    result = compute(sample(name))
    roles = tuple(layer.role for layer in result.bag.sandwich.layers)
    for piece, records in drawn(name):
        said = " ".join(each.text for each in records if isinstance(each, Text))
        assert piece.label in said
        assert with_fractions(cutting_text(piece, roles).text()) in said


def test_every_edge_has_its_cut_line_and_its_stitch_line():
    for piece, records in drawn("demo"):
        cuts = {
            each.edge.edge: each.points
            for each in records
            if isinstance(each, Line) and each.ink is Ink.CUT and each.edge
        }
        assert cuts == {edge.id: (edge.start, edge.end) for edge in piece.edges}
        sewn = {
            each.edge.edge
            for each in records
            if isinstance(each, Line) and each.ink is Ink.STITCH and each.edge
        }
        assert sewn == {edge.id for edge in piece.edges if edge.allowance > 0.0}
        (area,) = [each for each in records if isinstance(each, Polygon)]
        assert area.points == piece.outline


def test_only_pieces_of_several_layers_are_basted():
    basted = {
        piece.label
        for piece, records in drawn("demo")
        if any(each.ink is Ink.BASTE for each in records)
    }
    assert basted == {"panel"}


def test_half_panel_has_half_the_area_and_the_same_stitch_lines():
    (whole,) = [p for p in compute(demo_bag()).draft.pieces if p.id.role is PieceRole.WALL]
    half = half_piece(whole)
    middle = whole.width / 2
    assert Area(half.outline).area == pytest.approx(Area(whole.outline).area / 2)
    assert half.bounds[2] == pytest.approx(middle)
    outlines = stitch_outline(whole), stitch_outline(half)
    assert outlines[1].sound
    for edge in half.edges:
        if edge.id == CENTRE_FOLD:
            assert edge.length == pytest.approx(whole.height)
        elif edge.id.role is EdgeRole.TOP:
            assert outlines[1].length(edge.id) == pytest.approx(outlines[0].length(edge.id) / 2)
        else:
            for ours, theirs in zip(
                outlines[1].line(edge.id), outlines[0].line(edge.id), strict=True
            ):
                assert ours == pytest.approx(theirs)
    (fold,) = half.folds
    assert outlines[1].fold_length(fold) == pytest.approx(
        outlines[0].fold_length(whole.folds[0]) / 2
    )


def test_marks_of_the_half_are_those_of_the_whole_left_of_the_fold():
    (whole,) = [p for p in compute(demo_bag()).draft.pieces if p.id.role is PieceRole.WALL]
    half = half_piece(whole)
    middle = whole.width / 2
    assert {mark.label for mark in half.marks} == {mark.label for mark in whole.marks}
    assert all(x <= middle + 1e-9 for mark in half.marks for x, _ in mark.points)
    legs = [len([m for m in p.marks if m.role is MarkRole.LEG]) for p in (whole, half)]
    assert legs[1] * 2 == legs[0]


@pytest.mark.parametrize("half", [False, True], ids=["whole", "half"])
def test_notches_lie_where_cloth_is_cut_and_none_where_it_is_trimmed_later(half):
    """The panel is 46 x 72 cm: tops at their middles, sides at the middles of their seams."""
    notches = match_marks(compute(sample("boxed")).draft)
    piece, records = next(drawn("boxed", half=half, notches=notches))
    assert piece.rough is not None
    trimmed = [each for each in notches if each.edge.role is EdgeRole.CORNER_END]
    assert len(trimmed) == 2
    starts = {
        each.points[0] for each in records if isinstance(each, Line) and each.ink is Ink.NOTCH
    }
    sides = {(x, y) for x in ((0.0,) if half else (0.0, 460.0)) for y in (210.0, -210.0)}
    assert starts == sides | {(230.0, 360.0), (230.0, -360.0)}
    (fold,) = [each for each in records if isinstance(each, Line) and each.ink is Ink.FOLD][:1]
    assert fold.points == ((0.0, 0.0), (230.0 if half else 460.0, 0.0))


def test_lopsided_piece_has_no_half():
    (whole,) = [p for p in compute(demo_bag()).draft.pieces if p.id.role is PieceRole.WALL]
    bitten = half_piece(whole).edges
    piece = replace(whole, edges=bitten)
    with pytest.raises(ValueError, match="not symmetric"):
        half_piece(piece)


@pytest.mark.parametrize(
    ("plain", "set_"),
    [
        ("18 1/2 in", "18 ½ in"),
        ("3/16 in", "³⁄₁₆ in"),
        ("~7 63/64", "~7 ⁶³⁄₆₄"),
        ("37 in", "37 in"),
        ("1/2/3", "1/2/3"),
        ("470 mm", "470 mm"),
    ],
)
def test_fractions_are_set_as_one_figure(plain, set_):
    """Unicode 15, 6.2: U+2044 is the slash of fractions; vulgar ones have a sign of their own."""
    assert with_fractions(plain) == set_


@pytest.mark.parametrize("bold", [False, True])
def test_widths_are_those_of_the_embedded_face(bold):
    """DejaVu Sans 2.37, hmtx table, as reportlab reads it out of the file."""
    from importlib import resources
    from io import BytesIO

    from reportlab.pdfbase.ttfonts import TTFont

    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    data = resources.files("resources").joinpath("fonts", name).read_bytes()
    face = TTFont("measured", BytesIO(data))
    for text in (*map(chr, range(32, 127)), "front pocket 18 × 4", "½", "Тсумка"):
        width = face.stringWidth(text, 0.729 * 10)
        ours = text_width(text, 0.729 * 0.729 * 10, bold=bold)
        assert ours >= width * 0.995
        if text.isascii():
            assert ours == pytest.approx(width, rel=2e-3)


@given(st.text(alphabet="abc de", max_size=80), st.floats(10, 200))
@example("W" * 60, 10.0)
@example(f"in {'W' * 21} in", 40.0)
@example("W" * 20, 10.0)
def test_wrapped_lines_keep_every_word_and_their_measure(text, width):
    lines = wrapped(Line_of_words(text, 3.0), width)
    shown = [line.text for line in lines]
    assert "".join(shown).replace(" ", "") == text.replace(" ", "")
    words = [word for word in text.split() if len(word) <= 20]
    if len(words) == len(text.split()):
        assert " ".join(shown).split() == words, "what is no longer than a word stays whole"
    for line in lines:
        assert line.width <= width + 1e-9 or (" " not in line.text and len(line.text) <= 20)


def test_a_name_held_together_by_its_own_blanks_is_broken_too():
    name = "\u00a0".join(["W" * 9] * 6)
    lines = wrapped(Line_of_words(name, 3.0), 40.0)
    assert all(line.width <= 40.0 for line in lines)
    assert "".join(line.text for line in lines).replace(" ", "") == name.replace("\u00a0", "")


def counted(monkeypatch, letters):
    """How many letters are measured in laying out so many."""
    measured = 0
    width_of = lettering.text_width

    def width(text, height, *, bold=False):
        nonlocal measured
        measured += len(text)
        return width_of(text, height, bold=bold)

    with monkeypatch.context() as counting:
        counting.setattr(lettering, "text_width", width)
        for text in ("W" * letters, "Wave " * (letters // 5)):
            wrapped(Line_of_words(text, 3.0), 60.0)
        lettering.shortened("W" * letters, 2.0, 30.0)
    return measured


def test_laying_out_a_text_takes_steps_in_step_with_its_length(monkeypatch):
    """Each letter is measured a few times, however many there are: n log n, not n squared."""
    short, long = counted(monkeypatch, 1000), counted(monkeypatch, 16_000)
    assert long <= 16 * 1.5 * short


@given(st.text(alphabet="abW 1/2", max_size=60), st.floats(5, 60))
def test_a_label_is_shortened_no_more_than_it_must_be(text, room):
    shown = lettering.shortened(text, 2.0, room)
    if text_width(with_fractions(text + "…"), 2.0) > room:
        assert shown.endswith("…") and text.startswith(shown[:-1]) and len(shown) <= len(text)
        assert text_width(with_fractions(shown), 2.0) <= room or shown == "…"
    else:
        assert shown == text


def test_a_label_keeps_all_that_fits():
    shown = lettering.shortened("W" * 60, 2.0, 30.0)
    assert text_width(shown, 2.0) <= 30.0 < text_width(f"W{shown}", 2.0)


@pytest.mark.parametrize("glue", [" ", "\u00a0"])
def test_no_line_ends_within_a_length(glue):
    """At every width the parts of a length stand on one line, which has plain spaces."""
    sentence = "Panel 18 1/2 in by 37 in, then 470 mm of 3 ³⁄₁₆ in and 2 ½ in more".replace(
        " ", glue
    )
    sentence = sentence.replace(f"by{glue}", "by ").replace(f",{glue}", ", ")
    for width in range(5, 200, 3):
        lines = [each.text for each in wrapped(Line_of_words(sentence, 3.0), float(width))]
        assert "\u00a0" not in "".join(lines)
        joined = "\n".join(lines)
        for length in ("18 1/2 in", "37 in", "470 mm", "3 ³⁄₁₆ in", "2 ½ in"):
            assert length in joined
        assert joined.split() == sentence.replace("\u00a0", " ").split()


def test_a_line_is_filled_up_to_its_width():
    """A length counts as wide as its letters: a line just as wide as its text is not broken."""
    text = "42 in × 4 ¾ in of 18 1/2 in"
    whole = text_width(text, 3.0)
    assert len(wrapped(Line_of_words(text, 3.0), whole + 1e-6)) == 1
    assert len(wrapped(Line_of_words(text, 3.0), whole - 0.1)) == 2
