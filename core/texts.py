"""How long the texts of a bag may be: one table for the window, the records and the files.

Whatever is laid out, on paper or in the window, can count on these limits.
"""

from dataclasses import dataclass
from typing import Any

from core.errors import FieldError, Sentence


@dataclass(frozen=True, slots=True)
class TextLimit:
    """A text that a bag holds, and how long it may be.

    Attributes:
        label: what the maker reads.
        most: characters (Unicode code points, as JSON Schema counts them).
    """

    label: str
    most: int

    def check(self, text: str, *, field: str) -> None:
        """Refuse a text that is too long; `field` names its attribute.

        Raises:
            FieldError: it has more than `most` characters.
        """
        if len(text) > self.most:
            sentence = Sentence(
                "{label} has {count} characters: it may have at most {most}.",
                words={"label": self.label, "count": str(len(text)), "most": str(self.most)},
            )
            raise FieldError(sentence, field=field, value=text)

    @property
    def schema(self) -> dict[str, Any]:
        """The limit as JSON Schema tells it."""
        return {"maxLength": self.most}


BAG_NAME = TextLimit("Name of the bag", 80)
KEPT_NAME = TextLimit("Name", 80)
ROLE = TextLimit("Role", 60)
GOODS_NAME = TextLimit("Name of the material", 60)
ZIP_GAUGE = TextLimit("Gauge of the zip", 60)
ZIP_COLOUR = TextLimit("Colour of the zip", 60)
