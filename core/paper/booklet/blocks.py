"""What a booklet is made of: blocks of plain text and pictures, read by every writer."""

from dataclasses import dataclass, field

from core.paper.booklet.picture import Picture


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading; it stays with what follows."""

    text: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A paragraph."""

    text: str


@dataclass(frozen=True, slots=True)
class Bullets:
    """A list."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution in a box of its own."""

    title: str
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A table; the first row is its head."""

    rows: tuple[tuple[str, ...], ...]
    shares: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Gallery:
    """Pictures beside one another, as many as there is room for, each with its caption."""

    pictures: tuple[tuple[Picture, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StepCard:
    """One step; it is never torn apart.

    Attributes:
        number, title: its head.
        do: sentences, in order.
        change: what to change at the machine before it, and how to do without; empty where
            the machine stays as it is.
        facts: (label, text): machine, seam allowance, iron, why, look, after.
        caution: empty where there is none.
        picture: what it looks like.
    """

    number: int
    title: str
    do: tuple[str, ...]
    change: tuple[str, ...] = ()
    spare: str = ""
    facts: tuple[tuple[str, str], ...] = ()
    caution: str = ""
    picture: Picture


Block = Heading | Paragraph | Bullets | Caution | Table | Gallery | StepCard


@dataclass(frozen=True, slots=True, kw_only=True)
class Booklet:
    """A booklet in the reader's language and unit.

    Attributes:
        title: the bag's name.
        subtitle: what this is.
        cover: the finished bag.
        facts: a few sizes for the cover.
        blocks: everything else, in order.
        warning: on the cover: what keeps the bag from going together; None where nothing does.
        words: the few words that writers need themselves, e.g. "page {page} of {pages}".
    """

    title: str
    subtitle: str
    cover: Picture
    facts: tuple[tuple[str, str], ...]
    blocks: tuple[Block, ...]
    warning: Caution | None = None
    words: dict[str, str] = field(default_factory=dict)
