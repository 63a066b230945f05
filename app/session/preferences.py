"""What the maker prefers for every bag: read at the start, changed in one dialog, put to use."""

from dataclasses import dataclass

from PySide6.QtCore import QLocale, QObject
from PySide6.QtWidgets import QWidget

from app.session.display import Display
from app.session.document import Document
from app.session.redesigner import Redesigner
from app.session.settings import Settings
from core.base.quantities import CURRENCIES
from core.base.units import Unit, default_step
from core.output.papers import Paper


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


class PreferencesDesk(QObject):
    """Puts the maker's preferences to use in a window, and remembers them."""

    def __init__(
        self,
        document: Document,
        display: Display,
        redesigner: Redesigner,
        settings: Settings,
        window: QWidget,
    ) -> None:
        """Those that were remembered hold from here on."""
        super().__init__(window)
        self._document, self._display = document, display
        self._redesigner, self._settings = redesigner, settings
        self._window = window
        display.set_paper(settings.paper)
        display.set_currency(self._currency)
        document.set_shop_zips(settings.shop_zips)

    @property
    def _currency(self) -> str:
        said = self._settings.currency
        return local_currency() if said is None else said

    @property
    def present(self) -> Preferences:
        """What holds now."""
        return Preferences(
            unit=self._settings.own_unit,
            steps=dict(self._display.steps),
            paper=self._settings.paper,
            currency=self._currency,
            shop_zips=self._settings.shop_zips,
            rounding=self._redesigner.rounding,
            opens_last=self._settings.opens_last,
        )

    def edit(self) -> None:
        """Show the preferences and let them be changed."""
        from app.dialogs.preferences import PreferencesDialog

        dialog = PreferencesDialog(self.present, self._display, self._window)
        dialog.applied.connect(self.put_to_use)
        dialog.exec()
        dialog.deleteLater()

    def put_to_use(self, wanted: Preferences) -> None:
        """From here on these hold, in every view and at the next start."""
        before, settings = self.present, self._settings
        settings.keep_own_unit(wanted.unit)
        if wanted.paper != before.paper:
            settings.keep_paper(wanted.paper)
        if wanted.currency != before.currency:
            settings.keep_currency(wanted.currency)
        settings.keep_shop_zips(wanted.shop_zips)
        for unit, step in wanted.steps.items():
            self._display.set_step_of(unit, step)
        if wanted.unit is not before.unit:
            self._display.set_unit(wanted.unit or self._document.bag.unit)
        self._display.set_paper(wanted.paper)
        self._display.set_currency(wanted.currency)
        self._document.set_shop_zips(wanted.shop_zips)
        self._redesigner.set_rounding(wanted.rounding)
        settings.keep_opens_last(wanted.opens_last)
        settings.sync()
