"""What comes back at the next start: what the maker prefers, layout, last folder, recent files.

A value that cannot be read, because somebody edited the file or an older program wrote it,
counts as not set.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, QLocale, QRect, QSettings, QStandardPaths

from core.base.errors import FieldError
from core.base.quantities import CURRENCIES, checked_currency
from core.base.sanitize import decoded, encoded, is_text
from core.base.units import Unit, default_step, ruler_steps
from core.goods.supplies import checked_zip_lengths
from core.output.papers import DESK_PAPERS, Paper, usual_paper

if TYPE_CHECKING:
    from app.session.session import Session

MOST_RECENT = 8
LONGEST = 10_000.0
"""Of lengths of paper, mm: a longer one comes from a file that somebody edited."""
MOST_PIXELS = 100_000
"""No screen is as wide: larger sizes come from a file that somebody edited."""
_BYTES = "file://"
"""What a path begins with whose bytes are kept percent-encoded: it is a URI then (RFC 8089)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintChoices:
    """How a pattern was printed last.

    Attributes:
        paper: name of a cut sheet; empty for a roll.
        roll_width: mm.
        overlap: of neighbouring pages, mm.
        half: whether half of the panel, to be cut on the fold.
    """

    paper: str
    roll_width: float
    overlap: float
    half: bool


class Settings:
    """The user's settings, in the store that is passed in."""

    def __init__(self, store: QSettings) -> None:
        self._store = store

    @property
    def unit(self) -> Unit | None:
        """The unit shown last; None before the first start."""
        found = self._store.value("display/unit")
        return next((unit for unit in Unit if unit.value == found), None)

    @property
    def steps(self) -> dict[Unit, float]:
        """Unit -> the ruler step used last with it, mm; only what was kept."""
        found = {unit: self._step_of(unit) for unit in Unit}
        return {unit: step for unit, step in found.items() if step is not None}

    def _step_of(self, unit: Unit) -> float | None:
        try:
            stored = float(str(self._store.value(f"steps/{unit.value}")))
        except ValueError:
            return None
        near = (step for step in ruler_steps(unit) if math.isclose(step, stored, rel_tol=1e-9))
        return next(near, None)

    def keep_display(self, unit: Unit, steps: Mapping[Unit, float]) -> None:
        """Remember the unit shown, and the ruler step (mm) that goes with each."""
        self._store.setValue("display/unit", unit.value)
        for each, step in steps.items():
            self._store.setValue(f"steps/{each.value}", repr(step))

    @property
    def own_unit(self) -> Unit | None:
        """The unit that every bag is shown in; None: each in its own."""
        found = self._store.value("preferences/unit")
        return next((unit for unit in Unit if unit.value == found), None)

    def keep_own_unit(self, unit: Unit | None) -> None:
        """Remember the unit that every bag is shown in."""
        self._keep_or_forget("preferences/unit", None if unit is None else unit.value)

    @property
    def paper(self) -> Paper | None:
        """The cut sheet to print on; None: the usual one of the unit."""
        found = self._store.value("preferences/paper")
        return next((paper for paper in DESK_PAPERS if paper.name == found), None)

    def keep_paper(self, paper: Paper | None) -> None:
        """Remember the cut sheet to print on; what was chosen at the last printing is forgotten."""
        self._keep_or_forget("preferences/paper", None if paper is None else paper.name)
        for unit in Unit:
            choices = self.print_choices(unit)
            if choices is not None:
                name = (paper or usual_paper(unit)).name
                self.keep_print_choices(unit, replace(choices, paper=name))

    @property
    def currency(self) -> str | None:
        """The code of the currency that prices are in, empty for none; None: nobody said."""
        stored = self._store.value("preferences/currency")
        try:
            return checked_currency(stored) if isinstance(stored, str) else None
        except FieldError:
            return None

    def keep_currency(self, code: str) -> None:
        self._store.setValue("preferences/currency", code)

    @property
    def opens_last(self) -> bool:
        """Whether a start shows the bag that was open last; until the maker says not to."""
        return self._store.value("preferences/last") not in ("false", False)

    def keep_opens_last(self, opens_last: bool) -> None:
        """Remember whether a start shows the bag that was open last."""
        self._store.setValue("preferences/last", "true" if opens_last else "false")

    @property
    def shop_zips(self) -> tuple[float, ...] | None:
        """Lengths in which the maker's shop sells zips, mm, ascending; None: the usual ones."""
        stored = self._store.value("preferences/zips")
        if not isinstance(stored, str):
            return None
        try:
            return checked_zip_lengths(tuple(map(float, stored.split())))
        except (ValueError, FieldError):
            return None

    def keep_shop_zips(self, lengths: tuple[float, ...] | None) -> None:
        """Remember the lengths, mm, in which the maker's shop sells zips."""
        text = None if lengths is None else " ".join(map(repr, lengths))
        self._keep_or_forget("preferences/zips", text)

    def _keep_or_forget(self, name: str, text: str | None) -> None:
        if text is None:
            self._store.remove(name)
        else:
            self._store.setValue(name, text)

    def sync(self) -> None:
        """Write what was remembered now, rather than some time later."""
        self._store.sync()

    @property
    def rounding(self) -> bool:
        """Whether redesigns are put on the ruler; not before the maker says so."""
        return self._store.value("redesign/rounding") in ("true", True)

    def keep_rounding(self, rounding: bool) -> None:
        self._store.setValue("redesign/rounding", "true" if rounding else "false")

    @property
    def help_page(self) -> str:
        """The page of the help that was read last; empty before the first."""
        return str(self._store.value("help/page", ""))

    def keep_help_page(self, page: str) -> None:
        self._store.setValue("help/page", page)

    @property
    def tour_offered(self) -> bool:
        """Whether the first-steps tour was offered, and taken or declined."""
        return bool(self._store.value("help/tour") == "offered")

    def keep_tour_offered(self) -> None:
        """Do not offer the tour again."""
        self._store.setValue("help/tour", "offered")

    def print_choices(self, unit: Unit) -> PrintChoices | None:
        """How a pattern was printed last in a unit: paper and ruler go together."""
        stored = self._store.value(f"print/{unit.value}")
        parts = stored.split("|") if isinstance(stored, str) else []
        try:
            paper, *lengths, half = parts
            roll_width, overlap = map(float, lengths)
        except ValueError:
            return None
        if not all(0.0 < length < LONGEST for length in (roll_width, overlap)):
            return None
        return PrintChoices(
            paper=paper, roll_width=roll_width, overlap=overlap, half=half == "half"
        )

    def keep_print_choices(self, unit: Unit, choices: PrintChoices) -> None:
        """Remember how a pattern was printed in a unit."""
        panel = "half" if choices.half else "whole"
        parts = (choices.paper, repr(choices.roll_width), repr(choices.overlap), panel)
        self._store.setValue(f"print/{unit.value}", "|".join(parts))

    @property
    def folder(self) -> Path:
        """The folder used last, or the user's documents."""
        stored = self._store.value("files/folder")
        if isinstance(stored, str) and stored and (folder := _from_store(stored)).is_dir():
            return folder
        documents = QStandardPaths.StandardLocation.DocumentsLocation
        return Path(QStandardPaths.writableLocation(documents))

    def keep_folder(self, folder: Path) -> None:
        self._store.setValue("files/folder", _for_store(folder))

    @property
    def recent(self) -> list[Path]:
        """The files used last, the latest first."""
        stored = self._store.value("files/recent")
        names = [stored] if isinstance(stored, str) else stored
        if not isinstance(names, list):
            return []
        kept = [name for name in names if isinstance(name, str) and name][:MOST_RECENT]
        return [_from_store(name) for name in kept]

    def keep_recent(self, path: Path) -> None:
        """Put a file at the top of the recent ones."""
        kept = [path, *(other for other in self.recent if other != path)]
        self._store.setValue("files/recent", [_for_store(each) for each in kept[:MOST_RECENT]])

    def forget_recent(self, path: Path | None = None) -> None:
        """Take one file, or all, off the recent ones."""
        kept = [] if path is None else [other for other in self.recent if other != path]
        self._store.setValue("files/recent", [_for_store(each) for each in kept])

    @property
    def last_file(self) -> Path | None:
        """The file that was open last; None where a bag without a file was, or none is wanted."""
        if not self.opens_last:
            return None
        stored = self._store.value("files/last")
        return _from_store(stored) if isinstance(stored, str) and stored else None

    def keep_last_file(self, path: Path | None) -> None:
        self._keep_or_forget("files/last", None if path is None else _for_store(path))

    def layout(self, name: str) -> QByteArray | None:
        """The kept state of a window or splitter."""
        stored = self._store.value(f"layout/{name}")
        return stored if isinstance(stored, QByteArray) and not stored.isEmpty() else None

    def keep_layout(self, name: str, state: QByteArray) -> None:
        self._store.setValue(f"layout/{name}", state)

    def forget_layout(self) -> None:
        """Forget how window, splitters and panes stood."""
        for group in ("layout", "places", "sizes"):
            self._store.remove(group)

    def place(self, name: str) -> QRect | None:
        """Where a pane stood in its window, px."""
        stored = self._store.value(f"places/{name}")
        return stored if isinstance(stored, QRect) else None

    def keep_place(self, name: str, place: QRect) -> None:
        """Remember where a pane stood in its window, px."""
        self._store.setValue(f"places/{name}", place)

    def sizes(self, name: str) -> list[int] | None:
        """What a splitter's widgets were given by hand, px; None where no hand set it."""
        stored = self._store.value(f"sizes/{name}")
        parts = stored.split() if isinstance(stored, str) else []
        if not parts or not all(part.isascii() and part.isdigit() for part in parts):
            return None
        return [min(int(part[:6]), MOST_PIXELS) for part in parts]

    def keep_sizes(self, name: str, sizes: Sequence[int]) -> None:
        """Remember what a splitter's widgets were given by hand, px."""
        self._store.setValue(f"sizes/{name}", " ".join(str(size) for size in sizes))


def _for_store(path: Path) -> str:
    text = str(path)
    return text if is_text(text) else f"{_BYTES}{encoded(text)}"


def _from_store(text: str) -> Path:
    return Path(decoded(text.removeprefix(_BYTES)) if text.startswith(_BYTES) else text)


# The preferences.


@dataclass(frozen=True, slots=True, kw_only=True)
class Preferences:
    """What the maker prefers.

    Attributes:
        unit: in which every bag is shown; None: each in its own.
        steps: unit -> ruler step that goes with it, mm.
        paper: the cut sheet to print on; None: the usual one of the unit.
        currency: code of the currency that prices are in; empty for none.
        shop_zips: lengths in which the maker's shop sells zips, mm; None: the usual ones.
        rounding: whether a redesign is put on the ruler.
        opens_last: whether a start shows the bag that was open last.
    """

    unit: Unit | None
    steps: dict[Unit, float]
    paper: Paper | None
    currency: str
    shop_zips: tuple[float, ...] | None
    rounding: bool
    opens_last: bool


def usual() -> Preferences:
    """What holds before the maker says anything; the currency is that of the maker's country."""
    return Preferences(
        unit=None,
        steps={unit: default_step(unit) for unit in Unit},
        paper=None,
        currency=local_currency(),
        shop_zips=None,
        rounding=False,
        opens_last=True,
    )


def local_currency() -> str:
    """The currency of the system's country; empty where it has none, or one of the past."""
    code = QLocale.system().currencySymbol(QLocale.CurrencySymbolFormat.CurrencyIsoCode)
    return code if code in CURRENCIES else ""


def put_remembered_to_use(session: "Session") -> None:
    """What was remembered of the maker's preferences holds from here on."""
    session.display.set_paper(session.settings.paper)
    session.display.set_currency(_currency(session.settings))
    session.document.set_shop_zips(session.settings.shop_zips)


def present_preferences(session: "Session") -> Preferences:
    """What holds now."""
    settings = session.settings
    return Preferences(
        unit=settings.own_unit,
        steps=dict(session.display.steps),
        paper=settings.paper,
        currency=_currency(settings),
        shop_zips=settings.shop_zips,
        rounding=session.redesigner.rounding,
        opens_last=settings.opens_last,
    )


def put_to_use(session: "Session", wanted: Preferences) -> None:
    """From here on these preferences hold, in every view and at the next start."""
    before, settings, display = present_preferences(session), session.settings, session.display
    settings.keep_own_unit(wanted.unit)
    if wanted.paper != before.paper:
        settings.keep_paper(wanted.paper)
    if wanted.currency != before.currency:
        settings.keep_currency(wanted.currency)
    settings.keep_shop_zips(wanted.shop_zips)
    for unit, step in wanted.steps.items():
        display.set_step_of(unit, step)
    if wanted.unit is not before.unit:
        display.set_unit(wanted.unit or session.document.bag.unit)
    display.set_paper(wanted.paper)
    display.set_currency(wanted.currency)
    session.document.set_shop_zips(wanted.shop_zips)
    session.redesigner.set_rounding(wanted.rounding)
    settings.keep_opens_last(wanted.opens_last)
    settings.sync()


def _currency(settings: Settings) -> str:
    said = settings.currency
    return local_currency() if said is None else said
