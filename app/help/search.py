"""All pages of the help in order, and the search over them: typed words in, places out, best first.

A place is what stands under one heading, or one term or row that can be linked to. It is found
where every typed word begins one of its own; titles and headings count for more than what is
written under them.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from html import escape
from unicodedata import combining, normalize

from app.help.findings import findings_page
from app.help.glossary import glossary_page
from app.help.keys import keys_page
from app.help.page import BlockKind, HelpBlock, Page, bare, markup, page_of, plain, text
from app.help.pages_making import MAKING_PAGES
from app.help.pages_pattern import PATTERN_PAGES
from app.help.topics import Topic, address
from app.session.display import Display, translated
from core.bag.tables import CUT_FIGURES, FINISHED_FIGURES

_WORD = re.compile(r"\w+")
TITLE, HEADING, BODY = 8, 5, 1
"""What a word counts for where it stands."""
WHOLE = 2
"""How many times as much for the whole word, rather than its beginning."""
MOST_IN_BODY = 3
"""A word that comes again and again is no better than one that comes a few times."""
EXACT = 8
"""For a place that is called what was typed and nothing more; twice as much for a page."""
BEFORE, SHOWN = 30, 110
"""Signs of a snippet before the first word that was found, and in all."""


@dataclass(frozen=True, slots=True)
class HelpPlace:
    """A place of the help.

    Attributes:
        address: page, or page and anchor.
        heading: what it stands under; empty at the top of a page.
        body: what is written there, without markup.
    """

    address: str
    title: str
    heading: str
    body: str


@dataclass(frozen=True, slots=True)
class Hit:
    """A place that was found.

    Attributes:
        score: the higher, the better.
        snippet: HTML, with the words that were found in bold.
    """

    place: HelpPlace
    score: int
    snippet: str


def find(typed: str, places: Iterable[HelpPlace]) -> list[Hit]:
    """Places that have every typed word, the best first; of equal ones those that come first."""
    wanted = words_of(typed)
    if not wanted:
        return []
    hits = []
    for place in places:
        score = _score(wanted, place)
        if score:
            hits.append(Hit(place, score, snippet(place.body, wanted)))
    return sorted(hits, key=lambda hit: -hit.score)


def words_of(text: str) -> list[str]:
    """The words of a text in lower case, without accents."""
    return [_folded(word) for word in _WORD.findall(text)]


def snippet(body: str, wanted: list[str]) -> str:
    """Some of a text around the first word that was found, as HTML."""
    found = [each for each in _WORD.finditer(body) if _matches(wanted, each.group())]
    first = found[0].start() if found else 0
    start = 0 if first <= BEFORE else body.rfind(" ", 0, first - BEFORE) + 1
    end = len(body)
    if start + SHOWN < end:
        end = max(body.rfind(" ", start, start + SHOWN), found[0].end() if found else 0)
    parts, here = [], start
    for each in found:
        if each.start() >= here and each.end() <= end:
            parts.append(f"{escape(body[here : each.start()])}<b>{escape(each.group())}</b>")
            here = each.end()
    parts.append(escape(body[here:end]))
    return f"{'… ' if start else ''}{''.join(parts)}{' …' if end < len(body) else ''}"


def _matches(wanted: list[str], word: str) -> bool:
    folded = _folded(word)
    return any(folded.startswith(each) for each in wanted)


def _folded(word: str) -> str:
    return "".join(sign for sign in normalize("NFKD", word.casefold()) if not combining(sign))


def _score(wanted: list[str], place: HelpPlace) -> int:
    """0 where one of the words is missing."""
    title, heading = words_of(place.title), words_of(place.heading)
    body = words_of(place.body)
    total = 0
    for word in wanted:
        score = (
            TITLE * min(_count(word, title), 1)
            + HEADING * min(_count(word, heading), 2)
            + BODY * min(_count(word, body), MOST_IN_BODY)
        )
        if not score:
            return 0
        total += score
    whole_page = wanted == title and not heading
    return total + EXACT * (wanted == heading) + 2 * EXACT * whole_page


def _count(word: str, among: list[str]) -> int:
    """How often a word stands there; a whole one counts twice, one that it begins once."""
    return sum(WHOLE if each == word else 1 for each in among if each.startswith(word))


def all_pages() -> dict[Topic, Page]:
    """Every page, in the order of `Topic`, which is that of the contents."""
    made = (figures_page(), findings_page(), keys_page(), glossary_page())
    found = {page.topic: page for page in (*PATTERN_PAGES, *MAKING_PAGES, *made)}
    return {topic: found[topic] for topic in Topic}


def figures_page() -> Page:
    """Every measure, from the tables that fields, files and commands read."""
    return page_of(
        Topic.FIGURES,
        "Every measure",
        text(
            "Finished sizes first, then what is cut. See <a href='help:measures'>Measures</a> for "
            "how to type them."
        ),
        *(_figure(each.name, each.label, each.help) for each in FINISHED_FIGURES),
        *(_figure(each.name, each.label, each.help) for each in CUT_FIGURES),
    )


def _figure(name: str, label: str, told: str) -> HelpBlock:
    return HelpBlock(
        BlockKind.ROW, f"<b>{translated(label)}</b>", translated(told), name, verbatim=True
    )


def places(pages: dict[Topic, Page], display: Display) -> Iterator[HelpPlace]:
    """What the search looks through: pages, parted at their heads, terms and marked rows."""
    for topic, page in pages.items():
        title, heading, anchor = translated(page.title), "", ""
        body: list[str] = []
        for block in page.blocks:
            told = plain(block, display)
            if block.kind in (BlockKind.HEAD, BlockKind.TERM) or block.anchor:
                if body or not anchor:
                    yield HelpPlace(address(topic, anchor), title, heading, " ".join(body))
                words = block.words if block.verbatim else translated(block.words)
                heading = bare(words)
                anchor = block.anchor.partition(" ")[0]
                body = [bare(markup(block, display)[1])] if block.beside else []
                if block.kind in (BlockKind.TEXT, BlockKind.POINT):
                    body = [told]
            else:
                body.append(told)
        yield HelpPlace(address(topic, anchor), title, heading, " ".join(body))
