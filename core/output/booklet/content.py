"""What stands in the booklet of a bag: sizes, goods, steps, cautions, in the reader's words."""

from dataclasses import dataclass, field

from core.bag.compute import Result
from core.bag.figures import label_of, volume_name
from core.bag.making import Load, Making
from core.bag.tables import FINISHED_FIGURES
from core.base.quantities import format_volume
from core.base.sentences import (
    ENGLISH,
    Language,
    Number,
    Sentence,
    ShowLength,
    mark,
    plural,
    say,
    sentence_start,
    show_millimetres,
)
from core.base.tolerance import same_length
from core.base.units import Unit, format_length, unbroken
from core.drawing.sketch import Picture, Sketch
from core.drawing.step_pictures import StepPictures
from core.flat.ink import Ink
from core.model.figures import NO_TAKE_UP, FinishedFigure, Form, Quantity
from core.model.findings import Severity
from core.output.booklet.blocks import (
    Block,
    Booklet,
    Bullets,
    Caution,
    Gallery,
    Heading,
    Paragraph,
    StepCard,
    Table,
    goods_blocks,
)
from core.sewing.steps import Step, bench_of, steps
from core.sewing.strength import (
    keeps_warm,
    load_finding,
    load_of,
    load_text,
    sewing_cautions,
    use_cautions,
)
from core.solid.capacity import capacity
from core.work.machine import Setting, stitch_length
from core.work.operation import Operation

_COVER, _SMALLER_COVER = (120.0, 120.0), (90.0, 90.0)
"""Room for the picture of the bag, and beneath a warning: all stays on one page; mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BookletOptions:
    """How a booklet is written.

    Attributes:
        unit: in which lengths are read.
        translate: turns English templates into the reader's language.
        step: ruler step of lengths that are no fraction of a ruler, mm; None for the usual.
        load: what the user says about load and thread.
        builds: layouts tried for each goods' cutting plan; None lets its pieces decide.
        making: how the material is cut, and for how many bags.
        currency: code of that of the prices; empty: none is told.
    """

    unit: Unit
    translate: Language = ENGLISH
    step: float | None = None
    load: Load | None = None
    builds: int | None = 60
    making: Making = field(default_factory=Making)
    currency: str = ""

    def show(self, length: float) -> str:
        """A length as it is read."""
        return unbroken(format_length(length, unit=self.unit, step=self.step))

    def say(self, sentence: Sentence | str) -> str:
        """A sentence in the reader's language and unit."""
        told = sentence if isinstance(sentence, Sentence) else say(sentence)
        return told.text(self.show, self.translate)


def booklet(result: Result, options: BookletOptions) -> Booklet:
    """Everything that the booklet of a bag says; as slow as its cutting plan and its filling."""
    return _Writer(result, options).booklet()


class _Writer:
    def __init__(self, result: Result, options: BookletOptions) -> None:
        self.result, self.options = result, options
        self.say = options.say
        self.show: ShowLength = options.show
        self.steps = steps(result)
        self.bench = bench_of(result.bag, result.draft)
        self.capacity = capacity(result.bag)
        self.load = load_of(result, self.capacity.inside_filled, options.load)
        self.diagrams = StepPictures(
            result, self.steps, show=self.show, translate=options.translate
        )

    def booklet(self) -> Booklet:
        warning = self._warning()
        blocks: list[Block] = [
            *self._before(),
            *self._sizes(),
            *goods_blocks(self.result, self.options),
            Heading(self.say("The steps")),
            *(
                step_card(step, self.options, self.diagrams.picture(step.number))
                for step in self.steps
            ),
            *self._load(),
            *self._cautions(),
        ]
        return Booklet(
            title=self.result.bag.name.strip() or self.say("Bag"),
            subtitle=self.say(say(_INSTRUCTIONS, numbers={"count": len(self.steps)})),
            cover=self.diagrams.cover(_COVER if warning is None else _SMALLER_COVER),
            facts=self._cover_facts(),
            blocks=tuple(blocks),
            warning=warning,
            words={
                "subject": self.say("Sewing booklet"),
                "page": self.options.translate(mark("page {page} of {pages}")),
                "change": self.say("Change the machine settings"),
                "without": self.say("Or without changing them"),
                "caution": self.say("Caution"),
            },
        )

    def _sentence(self, sentence: Sentence) -> str:
        return sentence_start(self.say(sentence))

    def _warning(self) -> Caution | None:
        """What will not go together, before goods are spent on it."""
        stops = [each for each in self.result.findings if each.severity is Severity.STOP]
        if not stops:
            return None
        told = (
            *(self._sentence(stop.message) for stop in stops),
            self.say(
                "Correct the measures first, then make this booklet again: its sizes and "
                "steps are those of the bag as it is now."
            ),
        )
        return Caution(self.say("Stop: this bag cannot be sewn as it is"), told)

    # --- sizes ------------------------------------------------------------------------------

    def _cover_facts(self) -> tuple[tuple[str, str], ...]:
        finished = self.result.finished
        facts = [
            (self.say(label_of(name)), self._both(finished[name]))
            for name in self.result.bag.body.telling()
        ]
        box = finished[volume_name(Form.BOX)]
        if box:
            facts.append((self.say("Box volume"), format_volume(box, unit=Unit.INCH)))
        return tuple(facts)

    def _both(self, length: float | None) -> str:
        """A length in the reader's unit, and in the other."""
        if length is None:
            return "–"
        other = Unit.MM if self.options.unit is Unit.INCH else Unit.INCH
        return f"{self.show(length)}  ({unbroken(format_length(length, unit=other))})"

    def _sizes(self) -> list[Block]:
        rows = [(self.say("Finished size"), self.say("Figure"), self.say("Meaning"))]
        known = {**self.result.finished, **self.capacity.volumes}
        for figure in FINISHED_FIGURES:
            value = known[figure.name]
            if value is None or self._goes_without_saying(figure):
                continue
            shown = self._both(value)
            if figure.quantity is Quantity.VOLUME:
                shown = format_volume(value, unit=Unit.INCH)
            elif not same_length(drawn := self.result.drawn[figure.name] or 0.0, value):
                words = {"sewn": shown, "drawn": self.show(drawn)}
                shown = say("{sewn}, drawn {drawn}", words=words).text(
                    translate=self.options.translate
                )
            rows.append((self.say(figure.label), shown, self.say(figure.help)))
        remark = self.say(
            "All sizes are measured on the stitch lines. Seam allowances are included in every "
            "piece: cut on the cut line, sew on the stitch line."
        )
        if self.result.bag.take_up != NO_TAKE_UP:
            remark = self.say(
                "Sizes are the outside sizes of the sewn bag: the layers take up a little "
                "of the size drawn on the stitch lines. Seam allowances are included in "
                "every piece: cut on the cut line, sew on the stitch line."
            )
        return [
            Heading(self.say("Finished sizes")),
            Paragraph(remark),
            Table(tuple(rows), (0.25, 0.3, 0.45)),
        ]

    def _goes_without_saying(self, figure: FinishedFigure) -> bool:
        """A corner that matches needs no second depth, and no mismatch of nothing."""
        mismatch = figure.name if figure.matched else figure.only_with
        return bool(mismatch) and same_length(self.result.finished[mismatch] or 0.0, 0.0)

    # --- before you begin -------------------------------------------------------------------

    def _before(self) -> list[Block]:
        """How to read this, and every setting of the machine with where it is used."""
        reading = (
            self.say(
                "Read each step through before you begin it, and tick its box when it is done."
            ),
            self.say("In the drawings, thick lines and tinted areas show what is new in the step."),
            self.say("Left and right are as seen in the drawing of the step."),
            self.say("“≈” before a length means that it is between two marks of the ruler."),
        )
        settings: dict[Setting, list[int]] = {}
        for step in self.steps:
            if step.operation.setting is not None:
                settings.setdefault(step.operation.setting, []).append(step.number)
        rows = [
            tuple(map(self.say, _SETTINGS)),
            *(
                (
                    self.say(setting.stitch_text),
                    self.say(stitch_length(setting.length)),
                    self.say(setting.foot.value),
                    _ranges(numbers),
                )
                for setting, numbers in settings.items()
            ),
        ]
        return [
            Heading(self.say("Before you begin")),
            Bullets(reading),
            Gallery(tuple(_swatch(ink, self.say(told)) for ink, told in _KEY)),
            Paragraph(
                self.say(
                    "First sew two scraps of all layers together at each of these "
                    "settings. The order of the steps needs few changes of settings; each "
                    "one is marked where it is made."
                )
            ),
            Table(tuple(rows), (0.3, 0.34, 0.16, 0.2)),
            Caution(
                self.say("At the machine and the iron"),
                tuple(map(self._sentence, sewing_cautions(self.bench))),
            ),
        ]

    # --- the end ----------------------------------------------------------------------------

    def _load(self) -> list[Block]:
        estimate = self.load
        if estimate is None:
            return []
        told = list(map(self.say, load_text(estimate, self.options.unit)))
        finding = load_finding(estimate, self.options.unit)
        if finding is not None:
            told.insert(1, self.say(finding.message))
        return [Heading(self.say("How much the handles may carry")), *map(Paragraph, told)]

    def _cautions(self) -> list[Block]:
        insulated = keeps_warm(self.result)
        told = tuple(map(self._sentence, use_cautions(self.bench, insulated=insulated)))
        if not told:
            return []
        return [Heading(self.say("Using the bag")), Caution(self.say("Caution"), told)]


_INSTRUCTIONS = plural(
    "Cutting and sewing instructions in 1 step", "Cutting and sewing instructions in {count} steps"
)
_SETTINGS = (mark("Stitch (ISO 4915 type)"), mark("Length"), mark("Foot"), mark("In steps"))
_KEY = (
    (Ink.GOODS, mark("right side")),
    (Ink.INSIDE, mark("wrong side")),
    (Ink.PART, mark("laid on")),
    (Ink.NEW_AREA, mark("new in this step")),
)
"""The areas of the drawings that must be told apart, and what they are."""
_SWATCH = (16.0, 8.0)


def _swatch(ink: Ink, told: str) -> tuple[Picture, str]:
    """One kind of area as the drawings show it, mm, and its name."""
    wide, high = _SWATCH
    sketch = Sketch((0.0, 0.0, wide, high), _SWATCH, show=show_millimetres)
    sketch.area(ink, ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)))
    return sketch.picture(told), told


def step_card(step: Step, options: BookletOptions, picture: Picture) -> StepCard:
    """One step as it is read, on paper and on the screen."""
    operation, told = step.operation, options.say
    return StepCard(
        number=step.number,
        title=told(operation.title),
        do=tuple(sentence_start(told(line)) for line in operation.instructions),
        change=() if step.change is None else tuple(map(told, step.change.sentences)),
        without="" if step.without_change is None else told(step.without_change),
        facts=tuple(_facts(operation, options)),
        caution=sentence_start(told(operation.caution)) if operation.caution else "",
        picture=picture,
    )


def _facts(operation: Operation, options: BookletOptions) -> list[tuple[str, str]]:
    facts: list[tuple[str, str]] = []
    setting = operation.setting
    if setting is not None:
        told = say(
            "{stitch}, {length} mm, {foot}",
            numbers={"length": Number(setting.length)},
            terms={"stitch": setting.stitch_text, "foot": setting.foot.value},
        )
        facts.append((options.say("Machine"), options.say(told)))
    if operation.allowance is not None:
        facts.append((options.say("From the edge"), options.show(operation.allowance)))
    if operation.pressing is not None:
        facts.append((options.say("Iron"), options.say(operation.pressing.text)))
    if operation.why is not None:
        facts.append((options.say("Why"), options.say(operation.why)))
    if operation.check is not None:
        facts.append((options.say("Check"), options.say(operation.check)))
    return facts


def _ranges(numbers: list[int]) -> str:
    """Numbers as they are read: 3, 5–7."""
    parts: list[list[int]] = []
    for number in numbers:
        if parts and number == parts[-1][-1] + 1:
            parts[-1].append(number)
        else:
            parts.append([number])
    return ", ".join(str(part[0]) if len(part) == 1 else f"{part[0]}–{part[-1]}" for part in parts)
