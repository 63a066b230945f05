"""What is bought for a bag besides goods and thread. Lengths are mm."""

from dataclasses import dataclass

from core.base.sentences import NO_TEXT, Sentence, Template


@dataclass(frozen=True, slots=True, kw_only=True)
class Notion:
    """Something that one bag takes.

    Attributes:
        what: it is called; what is called alike is bought together.
        length: of what is bought by length; None: one piece.
        kind: which one, of a piece.
        under: what it lies under, of what is bought by length.
        price: money for one piece; 0: it has none.
    """

    what: Template
    length: float | None = None
    kind: Sentence | None = None
    under: Template = NO_TEXT
    price: float = 0.0
