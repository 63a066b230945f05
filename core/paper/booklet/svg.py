"""Pictures as SVG text, to stand inside a page of HTML."""

from html import escape

from core.paper.booklet.picture import Look, Picture, look_of
from core.paper.lettering import CAPITAL
from core.paper.records import Anchor, Polygon, Record, Text
from core.signs import plain_signs

_ANCHORS = {Anchor.START: "start", Anchor.MIDDLE: "middle", Anchor.END: "end"}


def svg_text(picture: Picture) -> str:
    """One picture as an SVG element, sized in mm; its title says what it shows."""
    wide, high = picture.width, picture.height
    body = "".join(_element(record, high) for record in picture.records)
    told = escape(plain_signs(picture.told))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="0 0 {wide:.2f} {high:.2f}" '
        f'width="{wide:.2f}mm" height="{high:.2f}mm"><title>{told}</title>'
        f"{body}</svg>"
    )


def _element(record: Record, high: float) -> str:
    if isinstance(record, Text):
        return _text(record, high)
    points = " ".join(f"{x:.2f},{high - y:.2f}" for x, y in record.points)
    look = look_of(record.layer)
    if isinstance(record, Polygon):
        fill = _colour(look.fill) if look.fill else "none"
        return f'<polygon points="{points}" fill="{fill}"{_pen(look)}/>'
    return f'<polyline points="{points}" fill="none"{_pen(look)}/>'


def _pen(look: Look) -> str:
    dashes = " ".join(f"{dash:g}" for dash in look.dashes)
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return (
        f' stroke="{_colour(look.colour)}" stroke-width="{look.width:g}" '
        f'stroke-linejoin="round" stroke-linecap="round"{dashed}'
    )


def _text(text: Text, high: float) -> str:
    x, y = text.at[0], high - text.at[1]
    size = text.height / CAPITAL
    turn = f' transform="rotate({-text.angle:g} {x:.2f} {y:.2f})"' if text.angle else ""
    down = y + text.height / 2
    weight = ' font-weight="bold"' if text.bold else ""
    return (
        f'<text x="{x:.2f}" y="{down:.2f}" font-size="{size:.2f}" '
        f'text-anchor="{_ANCHORS[text.anchor]}" fill="#1e1e1e"{weight}{turn}>'
        f"{escape(plain_signs(text.text))}</text>"
    )


def _colour(colour: tuple[int, int, int]) -> str:
    return "#{:02x}{:02x}{:02x}".format(*colour)
