"""A page of the help as data: blocks of text with lengths in the reader's unit and links.

In a text, `<b>` and links (`<a href="help:redesign">`) are markup; `[[take_up]]` is an action,
written with its menu and its key as they stand in the table of actions; `{more}` is a length.
`head`, `text`, `step`, `point` and `row` mark their texts for translators, as `mark` does.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import Enum
from html import escape, unescape

from PySide6.QtGui import QKeySequence

from app.help.topics import Topic
from app.session.display import Display, translated
from app.widgets.menus import without_mnemonic
from app.window.action_table import ACTIONS, MENUS, SUBMENUS, keys_of
from core.base.units import Unit

_ACTION = re.compile(r"\[\[(\w+)\]\]")
_TAG = re.compile(r"<[^>]*>")
_SPECS = {spec.name: spec for spec in ACTIONS}


@dataclass(frozen=True, slots=True)
class Amount:
    """A length of an example, round in either system.

    Attributes:
        inches: for who reads inches, in inches.
        metric: for who reads mm or cm, in mm.
    """

    inches: float
    metric: float

    def mm(self, display: Display) -> float:
        """In the reader's system, mm."""
        return self.inches * Unit.INCH.mm if display.unit is Unit.INCH else self.metric

    def shown(self, display: Display) -> str:
        return display.length(self.mm(display))


class BlockKind(Enum):
    """What a block is."""

    HEAD = "h3"
    TEXT = "p"
    STEP = "ol"
    POINT = "ul"
    ROW = "table"
    TERM = "terms"


@dataclass(frozen=True, slots=True)
class HelpBlock:
    """One piece of a page.

    Attributes:
        words: English, with the markup of this module.
        beside: the second cell of a row; what a term means.
        anchor: names by which links and F1 find it, apart by spaces; of a head, a term, a row.
        amounts: gap -> length.
        picture: name of a drawing that stands with it; empty for none.
        verbatim: whether the words are in the reader's language already.
    """

    kind: BlockKind
    words: str
    beside: str = ""
    anchor: str = ""
    amounts: Mapping[str, Amount] = field(default_factory=dict)
    picture: str = ""
    verbatim: bool = False


@dataclass(frozen=True, slots=True)
class Page:
    """One page; its title is marked for translators by `page_of`."""

    topic: Topic
    title: str
    blocks: tuple[HelpBlock, ...]


def page_of(topic: Topic, title: str, *blocks: HelpBlock) -> Page:
    """A page."""
    return Page(topic, title, blocks)


def head(words: str, anchor: str = "") -> HelpBlock:
    """A heading within a page."""
    return HelpBlock(BlockKind.HEAD, words, anchor=anchor)


def text(words: str, **amounts: Amount) -> HelpBlock:
    """A paragraph."""
    return HelpBlock(BlockKind.TEXT, words, amounts=amounts)


def step(words: str, **amounts: Amount) -> HelpBlock:
    """One of several things to be done in order."""
    return HelpBlock(BlockKind.STEP, words, amounts=amounts)


def point(words: str, anchor: str = "", **amounts: Amount) -> HelpBlock:
    """One of several things without an order."""
    return HelpBlock(BlockKind.POINT, words, anchor=anchor, amounts=amounts)


def term(words: str, beside: str, anchor: str = "", picture: str = "") -> HelpBlock:
    """A word and what it means, with a drawing beside it."""
    return HelpBlock(BlockKind.TERM, words, beside, anchor, picture=picture)


def action_name(name: str) -> str:
    """An action by its menu and its text: Redesign → Take-up."""
    spec = _SPECS[name]
    menus = [MENUS[SUBMENUS[spec.menu]]] if spec.menu in SUBMENUS else []
    path = (*menus, MENUS[spec.menu], spec.text)
    return " → ".join(without_mnemonic(translated(each)).rstrip("…") for each in path)


def action_key(name: str) -> str:
    """An action's first key as the platform writes it."""
    return native(keys_of(_SPECS[name])[0])


def native(keys: QKeySequence) -> str:
    """Keys as the platform writes them."""
    return keys.toString(QKeySequence.SequenceFormat.NativeText)


def markup(block: HelpBlock, display: Display) -> tuple[str, str]:
    """The two cells of a block as HTML; the second is empty but for a row."""
    return _filled(block.words, block, display), _filled(block.beside, block, display)


def plain(block: HelpBlock, display: Display) -> str:
    """A block as it is searched: without markup."""
    return " ".join(bare(each) for each in markup(block, display) if each)


def bare(html: str) -> str:
    """HTML without its markup."""
    return unescape(_TAG.sub("", html))


def page_html(page: Page, display: Display) -> str:
    """A page as the help window shows it; its drawings have addresses `help-picture:NAME`."""
    body = "".join(_parts(page, display))
    return f"<h2>{escape(translated(page.title))}</h2>{body}"


def _parts(page: Page, display: Display) -> Iterator[str]:
    before: BlockKind | None = None
    for block in page.blocks:
        if block.kind is not before:
            if before in _OPEN:
                yield _CLOSE[before]
            if block.kind in _OPEN:
                yield _OPEN[block.kind]
        before = block.kind
        yield _part(block, display)
    if before in _OPEN:
        yield _CLOSE[before]


_OPEN = {
    BlockKind.STEP: "<ol>",
    BlockKind.POINT: "<ul>",
    BlockKind.ROW: "<table cellpadding='4' width='100%'>",
    BlockKind.TERM: "<table cellpadding='8' width='100%'>",
}
_CLOSE = {
    BlockKind.STEP: "</ol>",
    BlockKind.POINT: "</ul>",
    BlockKind.ROW: "</table>",
    BlockKind.TERM: "</table>",
}


def _part(block: HelpBlock, display: Display) -> str:
    drawn = f"<img src='help-picture:{block.picture}'>" if block.picture else ""
    words, beside = markup(block, display)
    mark = "".join(f"<a name='{each}'></a>" for each in block.anchor.split())
    match block.kind:
        case BlockKind.HEAD:
            return f"<h3>{mark}{words}</h3>"
        case BlockKind.STEP | BlockKind.POINT:
            return f"<li>{mark}{words}</li>"
        case BlockKind.ROW:
            return f"<tr><td width='34%'>{mark}{words}</td><td>{beside}</td></tr>"
        case BlockKind.TERM:
            said = f"<td>{mark}<b>{words}</b><br>{beside}</td>"
            return f"<tr>{said}<td width='210' align='center'>{drawn}</td></tr>"
        case _:
            return f"<p>{mark}{words}</p>{f'<p>{drawn}</p>' if drawn else ''}"


def _filled(words: str, block: HelpBlock, display: Display) -> str:
    if not words:
        return ""
    told = words if block.verbatim else translated(words)
    if block.amounts:
        told = told.format(**{gap: each.shown(display) for gap, each in block.amounts.items()})
    return _ACTION.sub(_told_action, told)


def filled(words: str, **gaps: str) -> str:
    """A text in the reader's language with its gaps and actions filled, as HTML."""
    return _ACTION.sub(_told_action, words.format(**gaps))


def _told_action(found: re.Match[str]) -> str:
    name = found.group(1)
    return f"<b>{escape(action_name(name))}</b> ({escape(action_key(name))})"
