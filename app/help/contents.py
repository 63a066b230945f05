"""All pages of the help in order, the ones made from tables among them, and their places."""

from collections.abc import Iterator

from app.display import Display
from app.help.findings_page import findings_page
from app.help.glossary import glossary_page
from app.help.keys import keys_page
from app.help.page import Block, Kind, Page, bare, markup, page_of, plain, text, tr
from app.help.pages_making import MAKING_PAGES
from app.help.pages_pattern import PATTERN_PAGES
from app.help.search import Place
from app.help.topics import Topic, address
from app.words import from_core, marked
from core.bag import CUT_FIGURES, FINISHED_FIGURES


def all_pages() -> dict[Topic, Page]:
    """Every page, in the order of `Topic`, which is that of the contents."""
    made = (figures_page(), findings_page(), keys_page(), glossary_page())
    found = {page.topic: page for page in (*PATTERN_PAGES, *MAKING_PAGES, *made)}
    return {topic: found[topic] for topic in Topic}


def figures_page() -> Page:
    """Every measure, from the tables that fields, files and commands read."""
    return page_of(
        Topic.FIGURES,
        marked("help", "Every measure"),
        text(
            "Finished sizes first, then what is cut. See <a href='help:measures'>Measures</a> for "
            "how to type them."
        ),
        *(_figure(each.name, each.label, each.help) for each in FINISHED_FIGURES),
        *(_figure(each.name, each.label, each.help) for each in CUT_FIGURES),
    )


def _figure(name: str, label: str, told: str) -> Block:
    return Block(Kind.ROW, f"<b>{from_core(label)}</b>", from_core(told), name, verbatim=True)


def places(pages: dict[Topic, Page], display: Display) -> Iterator[Place]:
    """What the search looks through: pages, parted at their heads, terms and marked rows."""
    for topic, page in pages.items():
        title, heading, anchor = tr(page.title), "", ""
        body: list[str] = []
        for block in page.blocks:
            told = plain(block, display)
            if block.kind in (Kind.HEAD, Kind.TERM) or block.anchor:
                if body or not anchor:
                    yield Place(address(topic, anchor), title, heading, " ".join(body))
                words = block.words if block.verbatim else tr(block.words)
                heading = bare(words)
                anchor = block.anchor.partition(" ")[0]
                body = [bare(markup(block, display)[1])] if block.beside else []
                if block.kind in (Kind.TEXT, Kind.POINT):
                    body = [told]
            else:
                body.append(told)
        yield Place(address(topic, anchor), title, heading, " ".join(body))
