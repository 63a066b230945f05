"""What the core says, in the reader's language and unit.

The core writes English templates and labels; they are looked up here, so that every view
translates them alike. The core's texts are listed for translators under the name "core".
"""

from collections import Counter
from collections.abc import Callable, Iterable
from html import escape

from PySide6.QtCore import QCoreApplication

from app.display import Display
from core.errors import CornerwrightError, Sentence
from core.figures import CutFigure, FinishedFigure, Kind
from core.findings import Finding, Severity
from core.reckoning import Reckoning
from core.units import MINUS, NEAR, LengthTextError, unbroken

CONTEXT = "core"


def marked(context: str, text: str) -> str:
    """The text itself, marked for translators (lupdate: `QT_TRANSLATE_NOOP+=marked`).

    Typed, which Qt's own QT_TRANSLATE_NOOP is not.
    """
    return text


def from_core(text: str) -> str:
    """A label, template or word of the core in the reader's language."""
    return QCoreApplication.translate(CONTEXT, text)


def plain_name(text: str) -> str:
    """A name as typed, on one line; half a character, which no file can hold, is left out."""
    return " ".join(text.encode(errors="ignore").decode().split())


def plain_tip(text: str) -> str:
    """A tip that shows the text as it is: Qt would take one with a tag in it for markup."""
    return f"<span>{escape(text)}</span>" if set(text) & set("<&") else text


def told(sentence: Sentence, display: Display) -> str:
    """A sentence of the core in the reader's language and unit."""
    return unbroken(sentence.text(show=display.length, translate=from_core))


def told_error(error: CornerwrightError, display: Display) -> str:
    """What one of the core's errors says."""
    return told(error.sentence, display)


def told_detail(error: CornerwrightError, display: Display) -> str:
    """What an error says to whoever knows the format of a file; empty for nothing."""
    return "" if error.detail is None else told(error.detail, display)


def told_rule(error: LengthTextError) -> str:
    """What would be right instead of a text that is no length."""
    return from_core(error.template).format(**error.words)


_COUNTS = {
    Severity.STOP: (marked("findings", "1 stop"), marked("findings", "{count} stops")),
    Severity.WARN: (marked("findings", "1 warning"), marked("findings", "{count} warnings")),
    Severity.NOTE: (marked("findings", "1 note"), marked("findings", "{count} notes")),
}


def counted(findings: Iterable[Finding]) -> str:
    """How many findings of each severity, worst first: 1 stop, 2 notes; empty for none."""
    counts = Counter(finding.severity for finding in findings)
    return ", ".join(
        QCoreApplication.translate("findings", words[counts[each] > 1]).format(count=counts[each])
        for each, words in _COUNTS.items()
        if counts[each]
    )


def told_reckoning(found: Reckoning, shown: Callable[[float], str]) -> str:
    """What a typed change or sum came to: 18 1/2 in + 2 cm ≈ 19 1/4 in; empty for a plain value.

    Args:
        found: what was reckoned.
        shown: a value as it is read, with its unit.
    """
    if found.is_plain:
        return ""
    words = " ".join(" ".join(filter(None, step)) for step in found.steps)
    result = shown(found.value)
    # One sign is enough: what lies off the ruler says itself that it is only near.
    result = result if result.startswith(NEAR) else f"= {result}"
    if found.stood is None:
        return f"{words} {result}"
    sign, share = found.steps[0]
    if sign == "%":
        template = QCoreApplication.translate("reckoning", "{share} of {value} {result}")
        return template.format(share=share, value=shown(found.stood), result=result)
    return f"{shown(found.stood)} {words} {result}"


def shown_cut(figure: CutFigure, value: float, display: Display) -> str:
    """A cut figure's value as it is read, with its unit."""
    return f"{value:g}" if figure.kind is Kind.COUNT else display.length(value)


def shown_finished(figure: FinishedFigure, value: float, display: Display) -> str:
    """A finished figure's value as it is read, with its unit; a volume in litres."""
    return shown_litres(value) if figure.kind is Kind.VOLUME else display.length(value)


def shown_difference(
    kind: Kind, difference: float, display: Display, *, suffix: bool = True
) -> str:
    """How much more or less, signed, as it is read; empty for what is too little to be read."""
    if kind is Kind.LENGTH:
        return display.signed(difference, suffix=suffix)
    size = abs(difference)
    text = f"{size:g}" if kind is Kind.COUNT else shown_litres(size)
    return signed_text(difference, text)


def signed_text(difference: float, size: str) -> str:
    """The text of a size with the sign of what it tells; empty where it reads as nothing."""
    if not any(digit in size for digit in "123456789"):
        return ""
    return f"{'+' if difference > 0 else MINUS}{size}"


def shown_litres(litres: float) -> str:
    """A volume as it stands in its box."""
    return f"{litres:.2f} L".replace("-", MINUS)
