"""What comes back at the next start: what the maker prefers, layout, last folder, recent files.

A value that cannot be read, because somebody edited the file or an older program wrote it,
counts as not set.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from operator import attrgetter
from pathlib import Path
from typing import TYPE_CHECKING, Any, Generic, NamedTuple, TypeVar

from PySide6.QtCore import QByteArray, QLocale, QRect, QSettings, QStandardPaths

from core.base.errors import FieldError
from core.base.quantities import CURRENCIES, checked_currency
from core.base.sanitize import decoded, encoded, is_text
from core.base.units import Unit, default_step, ruler_steps
from core.goods.supplies import checked_zip_lengths

if TYPE_CHECKING:
    from app.session.session import Session
    from core.output.papers import Paper

T = TypeVar("T")

MOST_RECENT = 8
LONGEST = 10_000.0
"""Of lengths of paper, mm: a longer one comes from a file that somebody edited."""
MOST_PIXELS = 100_000
"""No screen is as wide: larger sizes come from a file that somebody edited."""
_BYTES = "file://"
"""What a path begins with whose bytes are kept percent-encoded: it is a URI then (RFC 8089)."""


class PrintChoices(NamedTuple):
    """How a pattern was printed last.

    Attributes:
        paper: name of a cut sheet; empty for a roll.
        roll_width: mm.
        overlap: of neighbouring pages, mm.
        half: whether half of each symmetric piece of the walls, to be cut on the fold.
    """

    paper: str
    roll_width: float
    overlap: float
    half: bool


def _for_store(path: Path) -> str:
    text = str(path)
    return text if is_text(text) else f"{_BYTES}{encoded(text)}"


def _from_store(text: str) -> Path:
    return Path(decoded(text.removeprefix(_BYTES)) if text.startswith(_BYTES) else text)


def _flag(on: bool) -> str:
    return "true" if on else "false"


def _desk_paper(name: str) -> "Paper | None":
    from core.output.papers import DESK_PAPERS  # most makers have chosen none

    return {paper.name: paper for paper in DESK_PAPERS}.get(name)


class Kept(Generic[T]):
    """One value of `Settings`.

    Attributes:
        key: where the store has it.
        unset: what holds while there is none that can be read; None is forgotten, not kept.
        read, write: the value of a text, and its text.
    """

    def __init__(
        self, key: str, unset: T, read: Callable[[str], T], write: Callable[[Any], str] = str
    ) -> None:
        self.key, self.unset, self.read, self.write = key, unset, read, write

    def __get__(self, settings: "Settings", _owner: object = None) -> T:
        found = settings.store.value(self.key)
        try:
            return self.unset if found is None else self.read(str(found))
        except (ValueError, FieldError):
            return self.unset

    def __set__(self, settings: "Settings", value: T) -> None:
        if value is None:
            settings.store.remove(self.key)
        else:
            settings.store.setValue(self.key, self.write(value))


class Settings:
    """The user's settings, in the store that is passed in."""

    unit = Kept[Unit | None]("display/unit", None, Unit, attrgetter("value"))
    """The unit shown last; None before the first start."""
    own_unit = Kept[Unit | None]("preferences/unit", None, Unit, attrgetter("value"))
    """The unit that every bag is shown in; None: each in its own."""
    currency = Kept[str | None]("preferences/currency", None, checked_currency)
    """The code of the currency that prices are in, empty for none; None: nobody said."""
    opens_last = Kept("preferences/last", True, lambda text: text.lower() != "false", _flag)
    """Whether a start shows the bag that was open last; until the maker says not to."""
    rounding = Kept("redesign/rounding", False, lambda text: text.lower() == "true", _flag)
    """Whether redesigns are put on the ruler; not before the maker says so."""
    help_page = Kept("help/page", "", str)
    """The page of the help that was read last; empty before the first."""
    tour_offered = Kept("help/tour", False, lambda text: text == "offered", lambda _: "offered")
    """Whether the first-steps tour was offered, and taken or declined."""
    shop_zips = Kept[tuple[float, ...] | None](
        "preferences/zips",
        None,
        lambda text: checked_zip_lengths(tuple(map(float, text.split()))),
        lambda lengths: " ".join(map(repr, lengths)),
    )
    """Lengths in which the maker's shop sells zips, mm, ascending; None: the usual ones."""
    paper = Kept["Paper | None"](
        "preferences/paper",
        None,
        _desk_paper,
        attrgetter("name"),
    )
    """The cut sheet to print on; None: the usual one of the unit."""
    _last_file = Kept[Path | None](
        "files/last", None, lambda text: _from_store(text) if text else None, _for_store
    )

    def __init__(self, store: QSettings) -> None:
        self.store = store

    @property
    def steps(self) -> dict[Unit, float]:
        """Unit -> the ruler step used last with it, mm; only what was kept."""
        found = {unit: self._step_of(unit) for unit in Unit}
        return {unit: step for unit, step in found.items() if step is not None}

    def _step_of(self, unit: Unit) -> float | None:
        try:
            stored = float(str(self.store.value(f"steps/{unit.value}")))
        except ValueError:
            return None
        near = (step for step in ruler_steps(unit) if math.isclose(step, stored, rel_tol=1e-9))
        return next(near, None)

    def keep_display(self, unit: Unit, steps: Mapping[Unit, float]) -> None:
        """Remember the unit shown, and the ruler step (mm) that goes with each."""
        self.unit = unit
        for each, step in steps.items():
            self.store.setValue(f"steps/{each.value}", repr(step))

    def keep_paper(self, paper: "Paper | None") -> None:
        """Remember the cut sheet to print on; what was chosen at the last printing is forgotten."""
        from core.output.papers import usual_paper

        self.paper = paper
        for unit in Unit:
            choices = self.print_choices(unit)
            if choices is not None:
                name = (paper or usual_paper(unit)).name
                self.keep_print_choices(unit, choices._replace(paper=name))

    def sync(self) -> None:
        """Write what was remembered now, rather than some time later."""
        self.store.sync()

    def print_choices(self, unit: Unit) -> PrintChoices | None:
        """How a pattern was printed last in a unit: paper and ruler go together."""
        stored = self.store.value(f"print/{unit.value}")
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
        self.store.setValue(f"print/{unit.value}", "|".join(parts))

    @property
    def folder(self) -> Path:
        """The folder used last, or the user's documents."""
        stored = self.store.value("files/folder")
        if isinstance(stored, str) and stored and (folder := _from_store(stored)).is_dir():
            return folder
        documents = QStandardPaths.StandardLocation.DocumentsLocation
        return Path(QStandardPaths.writableLocation(documents))

    def keep_folder(self, folder: Path) -> None:
        self.store.setValue("files/folder", _for_store(folder))

    @property
    def recent(self) -> list[Path]:
        """The files used last, the latest first."""
        stored = self.store.value("files/recent")
        names = [stored] if isinstance(stored, str) else stored
        if not isinstance(names, list):
            return []
        kept = [name for name in names if isinstance(name, str) and name][:MOST_RECENT]
        return [_from_store(name) for name in kept]

    def keep_recent(self, path: Path) -> None:
        """Put a file at the top of the recent ones."""
        kept = [path, *(other for other in self.recent if other != path)]
        self.store.setValue("files/recent", [_for_store(each) for each in kept[:MOST_RECENT]])

    def forget_recent(self, path: Path | None = None) -> None:
        """Take one file, or all, off the recent ones."""
        kept = [] if path is None else [other for other in self.recent if other != path]
        self.store.setValue("files/recent", [_for_store(each) for each in kept])

    @property
    def last_file(self) -> Path | None:
        """The file that was open last; None where a bag without a file was, or none is wanted."""
        return self._last_file if self.opens_last else None

    def keep_last_file(self, path: Path | None) -> None:
        self._last_file = path

    def layout(self, name: str) -> QByteArray | None:
        """The kept state of a window or splitter."""
        stored = self.store.value(f"layout/{name}")
        return stored if isinstance(stored, QByteArray) and not stored.isEmpty() else None

    def keep_layout(self, name: str, state: QByteArray) -> None:
        self.store.setValue(f"layout/{name}", state)

    def forget_layout(self) -> None:
        """Forget how window, splitters and panes stood."""
        for group in ("layout", "places", "sizes"):
            self.store.remove(group)

    def place(self, name: str) -> QRect | None:
        """Where a pane stood in its window, px."""
        stored = self.store.value(f"places/{name}")
        return stored if isinstance(stored, QRect) else None

    def keep_place(self, name: str, place: QRect) -> None:
        """Remember where a pane stood in its window, px."""
        self.store.setValue(f"places/{name}", place)

    def sizes(self, name: str) -> list[int] | None:
        """What a splitter's widgets were given by hand, px; None where no hand set it."""
        stored = self.store.value(f"sizes/{name}")
        parts = stored.split() if isinstance(stored, str) else []
        if not parts or not all(part.isascii() and part.isdigit() for part in parts):
            return None
        return [min(int(part[:6]), MOST_PIXELS) for part in parts]

    def keep_sizes(self, name: str, sizes: Sequence[int]) -> None:
        """Remember what a splitter's widgets were given by hand, px."""
        self.store.setValue(f"sizes/{name}", " ".join(str(size) for size in sizes))


# The preferences.


class Preferences(NamedTuple):
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
    paper: "Paper | None"
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
    settings.own_unit = wanted.unit
    if wanted.paper != before.paper:
        settings.keep_paper(wanted.paper)
    if wanted.currency != before.currency:
        settings.currency = wanted.currency
    settings.shop_zips = wanted.shop_zips
    for unit, step in wanted.steps.items():
        display.set_step_of(unit, step)
    if wanted.unit is not before.unit:
        display.set_unit(wanted.unit or session.document.bag.unit)
    display.set_paper(wanted.paper)
    display.set_currency(wanted.currency)
    session.document.set_shop_zips(wanted.shop_zips)
    session.redesigner.set_rounding(wanted.rounding)
    settings.opens_last = wanted.opens_last
    settings.sync()


def _currency(settings: Settings) -> str:
    said = settings.currency
    return local_currency() if said is None else said
