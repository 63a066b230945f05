"""The booklet as one page of HTML that needs nothing else: it prints, and reads on a phone."""

import re
from html import escape

from core.base.sanitize import on_one_title, plain_signs
from core.drawing.lettering import CAPITAL, set_fractions
from core.drawing.records import Anchor, DrawingRecord, Polygon, Text
from core.drawing.sketch import Picture, Stroke, stroke_of
from core.output.booklet.blocks import (
    Block,
    Booklet,
    Bullets,
    Caution,
    Gallery,
    Heading,
    Paragraph,
    StepCard,
    Table,
)

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


def _element(record: DrawingRecord, high: float) -> str:
    if isinstance(record, Text):
        return _text(record, high)
    points = " ".join(f"{x:.2f},{high - y:.2f}" for x, y in record.points)
    look = stroke_of(record.ink)
    if isinstance(record, Polygon):
        fill = _colour(look.fill) if look.fill else "none"
        return f'<polygon points="{points}" fill="{fill}"{_pen(look)}/>'
    return f'<polyline points="{points}" fill="none"{_pen(look)}/>'


def _pen(look: Stroke) -> str:
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


_LETTER = "\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc\U00010800-\U00010fff\U0001e800-\U0001efff"
_RIGHT_TO_LEFT = re.compile(
    f"([{_LETTER}](?:[{_LETTER}\u0300-\u036f\u200c-\u200f0-9 .'\"’“”-]*[{_LETTER}])?)"
)
"""A run of words whose letters read from right to left (blocks whose default is so: Unicode
Standard Annex 9, "Unicode Bidirectional Algorithm", 3.2 and DerivedBidiClass.txt)."""


def booklet_html(booklet: Booklet, *, language: str = "en") -> str:
    """The booklet as HTML text; nothing out of a bag's file is taken for markup."""
    body = "\n".join(_block(block, booklet) for block in booklet.blocks)
    title = escape(on_one_title(booklet.title))
    warning = "" if booklet.warning is None else _block(booklet.warning, booklet)
    return (
        f'<!DOCTYPE html>\n<html lang="{escape(language)}"><head><meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{title}</title>\n<style>{_STYLE}</style></head>\n<body><main>\n"
        f"<header><h1><bdi>{title}</bdi></h1><p class=subtitle>{_told(booklet.subtitle)}</p>"
        f"{warning}"
        f"<figure>{svg_text(booklet.cover)}</figure>{_facts(booklet)}</header>\n"
        f"{body}\n</main></body></html>\n"
    )


def _told(text: str) -> str:
    """A text as HTML; what reads from right to left in it turns nothing that stands beside."""
    parts = _RIGHT_TO_LEFT.split(plain_signs(set_fractions(text)))
    return "".join(
        f"<bdi>{escape(part)}</bdi>" if place % 2 else escape(part)
        for place, part in enumerate(parts)
    )


def _facts(booklet: Booklet) -> str:
    rows = "".join(
        f"<tr><th scope=row>{_told(label)}</th><td>{_told(text)}</td></tr>"
        for label, text in booklet.facts
    )
    return f"<table>{rows}</table>"


def _block(block: Block, booklet: Booklet) -> str:
    if isinstance(block, Heading):
        return f"<h2>{_told(block.text)}</h2>"
    if isinstance(block, Paragraph):
        return f"<p>{_told(block.text)}</p>"
    if isinstance(block, Bullets):
        return _list(block.items)
    if isinstance(block, Caution):
        return f"<aside><h3>{_told(block.title)}</h3>{_list(block.items)}</aside>"
    if isinstance(block, Table):
        return _table(block)
    if isinstance(block, Gallery):
        return "<div class=gallery>" + "".join(map(_captioned, block.pictures)) + "</div>"
    return _card(block, booklet)


def _captioned(each: tuple[Picture, str]) -> str:
    picture, told = each
    return f"<figure>{svg_text(picture)}<figcaption>{_told(told)}</figcaption></figure>"


def _list(items: tuple[str, ...]) -> str:
    return "<ul>" + "".join(f"<li>{_told(item)}</li>" for item in items) + "</ul>"


def _table(table: Table) -> str:
    head, *rows = table.rows
    top = "".join(f"<th scope=col>{_told(cell)}</th>" for cell in head)
    body = "".join(
        "<tr>" + "".join(f"<td>{_told(cell)}</td>" for cell in row) + "</tr>" for row in rows
    )
    return (
        f"<div class=wide><table><thead><tr>{top}</tr></thead><tbody>{body}</tbody></table></div>"
    )


def _card(card: StepCard, booklet: Booklet) -> str:
    words = booklet.words
    change = ""
    if card.change:
        without = ""
        if card.without:
            without = f"<p><b>{_told(words['without'])}:</b> {_told(card.without)}</p>"
        told = " ".join(map(_told, card.change))
        change = (
            f"<div class=change><p class=now><b>{_told(words['change'])}:</b> {told}</p>"
            f"{without}</div>"
        )
    do = "".join(f"<p>{_told(line)}</p>" for line in card.do)
    facts = "".join(
        f"<p class=fact><b>{_told(label)}:</b> {_told(text)}</p>" for label, text in card.facts
    )
    if card.caution:
        facts += f"<p class=fact><b>⚠ {_told(words['caution'])}:</b> {_told(card.caution)}</p>"
    mark = f"step-{card.number}"
    return (
        f'<section class=step id="{mark}"><h3><label><input type=checkbox> '
        f"{card.number} · {_told(card.title)}</label></h3>{change}"
        f"<div class=work><div>{do}{facts}</div><figure>{svg_text(card.picture)}</figure></div>"
        "</section>"
    )


_STYLE = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0; background: #fff; color: #1a1a1a; overflow-wrap: anywhere;
  font: 16px/1.45 "DejaVu Sans", Verdana, sans-serif; }
main { max-width: 52rem; margin: 0 auto; padding: 1rem; }
h1 { font-size: 1.9rem; line-height: 1.2; margin: 1rem 0 .3rem; }
h2 { font-size: 1.35rem; margin: 2rem 0 .5rem; }
h3 { font-size: 1.05rem; margin: 0 0 .4rem; }
.subtitle { margin-top: 0; }
figure { margin: .5rem 0; }
figure svg { max-width: 100%; height: auto; }
.gallery { display: flex; flex-wrap: wrap; gap: .5rem 1.2rem; align-items: end; }
figcaption { font-size: .9rem; }
header figure svg { width: min(100%, 26rem); }
table { border-collapse: collapse; width: 100%; font-size: .92rem; }
th, td { text-align: left; vertical-align: top; padding: .3rem .6rem .3rem 0; min-width: 4.5rem;
  border-bottom: 1px solid #999; }
thead th { border-bottom: 2px solid #1a1a1a; }
.wide { overflow-x: auto; }
aside { border: 2px solid #1a1a1a; padding: .6rem .9rem; margin: 1rem 0; }
aside ul { margin: 0; padding-left: 1.2rem; }
.step { border-top: 2px solid #1a1a1a; padding: .6rem 0 1rem; }
.step p { margin: 0 0 .35rem; }
.work { display: grid; grid-template-columns: minmax(0, 1fr) auto; gap: 1rem; }
.work figure { margin: 0; }
.fact { font-size: .9rem; }
.change { border: 2px solid #1a1a1a; margin: 0 0 .6rem; font-size: .92rem; }
.change p { margin: 0; padding: .25rem .6rem; }
.change .now { background: #1a1a1a; color: #fff; print-color-adjust: exact;
  -webkit-print-color-adjust: exact; }
input { width: 1.1rem; height: 1.1rem; vertical-align: -.15rem; }
@media (max-width: 40rem) { .work { grid-template-columns: minmax(0, 1fr); } }
@media print {
  @page { margin: 16mm; }
  body { font-size: 10pt; }
  main { max-width: none; padding: 0; }
  h2, h3 { break-after: avoid; }
  .step, aside, figure, tr { break-inside: avoid; }
  header { break-after: page; }
}
"""
