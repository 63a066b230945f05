"""Papers: sizes against their standards, names, rolls, refusals."""

import pytest

from core.base.errors import ExportError
from core.output.papers import A0, A3, A4, LEGAL, LETTER, PAPERS, TABLOID, paper_named, roll

POINTS = 72 / 25.4


@pytest.mark.parametrize(
    ("paper", "width", "height"), [(A4, 210, 297), (A3, 297, 420), (A0, 841, 1189)]
)
def test_a_sizes(paper, width, height):
    """ISO 216:2007, Writing paper and certain classes of printed matter: trimmed sizes."""
    assert (paper.width, paper.height) == (width, height)


def test_a3_is_two_a4_side_by_side():
    """ISO 216: each size is the next larger one, halved parallel to its shorter side."""
    assert A3.width == A4.height
    assert A3.height // 2 == A4.width


@pytest.mark.parametrize(
    ("paper", "width", "height"),
    [(LETTER, 612, 792), (TABLOID, 792, 1224), (LEGAL, 612, 1008)],
)
def test_inch_sizes_in_points(paper, width, height):
    """ANSI/ASME Y14.1: A = 8.5 x 11 in, B = 11 x 17 in. Legal, 8.5 x 14 in: from memory."""
    assert paper.width * POINTS == pytest.approx(width, abs=1e-9)
    assert paper.height * POINTS == pytest.approx(height, abs=1e-9)


@pytest.mark.parametrize("paper", PAPERS)
def test_every_paper_is_found_by_its_name_in_any_case(paper):
    assert paper_named(paper.name.upper()) is paper
    assert paper_named(f"  {paper.name.lower()} ") is paper


@pytest.mark.parametrize(
    ("text", "width"),
    [("roll 24in", 609.6), ("Roll 36 in", 914.4), ("roll 914mm", 914.0), ("roll 61cm", 610.0)],
)
def test_rolls(text, width):
    """24 and 36 in rolls: common practice, no source; 1 in = 25.4 mm exactly (1959)."""
    paper = paper_named(text)
    assert paper.is_roll
    assert paper.width == pytest.approx(width, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("A9", "There is no paper called “A9”: choose A4"),
        ("", "There is no paper called"),
        ("roll", "There is no paper called"),
        ("roll wide", "Roll width: type a length"),
        ("roll nan", "Roll width: "),
        ("roll 5mm", "The roll is 5 mm wide: it must be between 200 mm and 5080 mm."),
        ("roll -24in", "it must be between"),
        ("roll 6m", "it must be between"),
    ],
)
def test_what_is_no_paper_is_refused_in_words(text, says):
    with pytest.raises(ExportError) as caught:
        paper_named(text)
    assert says in str(caught.value)


def test_the_longest_roll_is_the_longest_page():
    """ISO 32000-1:2008, annex C: a page is at most 14,400 units of 1/72 in, 200 in, each way."""
    assert roll(200 * 25.4).width == pytest.approx(5080.0)
