"""What a maker and a user of the bag should mind, whatever the bag. Plain sentences."""

from dataclasses import dataclass

from core.bag.compute import Result
from core.bag.figures import volume_name
from core.bag.making import KG_PER_POUND, Load
from core.base.quantities import MM3_PER_LITRE, quarts
from core.base.sentences import Listing, Number, Sentence, say
from core.base.units import Unit
from core.model.figures import Form
from core.model.findings import Finding, Severity
from core.sewing.steps import bench_of
from core.work.bench import Bench
from core.work.machine import TOP_STITCH

COLD_LIMIT, HOT_LIMIT = 4.4, 60.0
"""Degrees Celsius; 40 and 140 F: between them bacteria grow fast (USDA Food Safety and
Inspection Service, "Keeping 'Bag' Lunches Safe")."""
HOURS_OUT, HOURS_OUT_IN_HEAT = 2, 1
"""Perishable food may be out so long; the second above 32.2 C, 90 F (the same leaflet)."""
VERY_WARM = 32.2


def sewing_cautions(bench: Bench) -> tuple[Sentence, ...]:
    """At the machine and at the iron."""
    told = [
        say("Switch the machine off before you change the needle or the presser foot."),
        say(
            "Thick places break needles: sew them slowly, turning the hand wheel, with a "
            "new needle. If a needle breaks, find every piece of it."
        ),
        say(
            "Take pins and clips out before the needle reaches them, and count them when "
            "you have finished."
        ),
    ]
    if bench.tender:
        told.append(
            say(
                "{goods}: use a cool iron and a press cloth only. Wax, film and foam melt onto "
                "the iron and give off fumes: air the room.",
                words={"goods": Listing(bench.tender)},
            )
        )
    return tuple(told)


def use_cautions(bench: Bench, *, insulated: bool) -> tuple[Sentence, ...]:
    """Using the bag: loads, and food where the bag is made to keep it cold or warm."""
    told: list[Sentence] = []
    if bench.has_straps:
        told.append(
            say("Carry heavy things by both handles, and check the stitching now and then.")
        )
    if insulated:
        told += food_cautions()
    return tuple(told)


def food_cautions() -> tuple[Sentence, ...]:
    """Food that spoils."""
    numbers: dict[str, Number | int] = {
        "cold": Number(COLD_LIMIT),
        "hot": Number(HOT_LIMIT),
        "hours": HOURS_OUT,
        "hour": HOURS_OUT_IN_HEAT,
        "heat": Number(VERY_WARM),
    }
    return (
        say(
            "An insulated bag slows warming, it does not cool. Keep cold food below {cold} °C "
            "(40 °F) with at least two cold packs, and hot food above {hot} °C (140 °F).",
            numbers=numbers,
        ),
        say(
            "Food that spoils may stay between the two for {hours} hours at most, and for {hour} "
            "hour where it is warmer than {heat} °C (90 °F); then throw it away (USDA Food Safety "
            "and Inspection Service). Where local rules are stricter, they decide.",
            numbers=numbers,
        ),
        say(
            "Wipe the lining after use and let the bag dry open. Its materials are not "
            "stated to be safe for contact with food: keep food wrapped."
        ),
    )


def keeps_warm(result: Result) -> bool:
    """Whether a layer is there to insulate."""
    return any(layer.insulating for layer in result.bag.sandwich.layers)


LOCKSTITCH_FACTOR = 1.5
"""The formula is one for seams of woven goods, superimposed, in a thread maker's bulletin ("Seam
strength", type 301: stitches per inch x thread strength x 1.5 for each inch of seam; the weaker of
needle and bobbin thread counts; the factor of type 401 is 1.7). A handle is not such a seam: the
figure is taken with a large factor of safety, and it is nobody's rating."""
_HANDLES = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadEstimate:
    """One bag's load against its handles.

    Attributes:
        volume: litres that count, inside the wall: filled for a zipped bag, the box for an
            open one.
        figure: name of the finished figure that `volume` is.
        contents, goods: kg; what is carried, and the bag itself.
        stitched: mm of stitching that one handle hangs on.
        strength: kg, of that stitching by the formula.
        safety: what it is divided by.
        through, spared: roles of the layers that the handles are sewn through, and of those
            that are laid in after that and hold nothing.
    """

    volume: float
    figure: str
    contents: float
    goods: float
    stitched: float
    strength: float
    safety: float
    through: tuple[str, ...]
    spared: tuple[str, ...]

    @property
    def weight(self) -> float:
        """Kg, filled."""
        return self.contents + self.goods

    @property
    def allowed(self) -> float:
        """Kg that one handle may carry: the share of its strength that is counted on."""
        return self.strength / self.safety

    @property
    def allowed_by_both(self) -> float:
        """Kg that the two handles may carry together, where each takes half of it."""
        return _HANDLES * self.allowed

    @property
    def heavy(self) -> bool:
        """Whether the filled bag is too heavy for one handle: a bag is often lifted by one."""
        return self.weight > self.allowed


def seam_strength_per_inch(
    stitches_per_inch: float, needle_thread: float, bobbin_thread: float | None = None
) -> float:
    """Pounds that one inch of a lockstitch seam (type 301) is estimated to hold.

    Threads are told by their breaking strength, lb; the weaker one counts.
    """
    weaker = needle_thread if bobbin_thread is None else min(needle_thread, bobbin_thread)
    return stitches_per_inch * weaker * LOCKSTITCH_FACTOR


def load_of(
    result: Result, inside_filled: float | None, load: Load | None = None
) -> LoadEstimate | None:
    """Weight of the filled bag, and how much the stitching of one handle may carry: an estimate.

    None for a bag without handles, and for one whose capacity is not known: the litres that it
    holds, filled, inside its wall; an open bag needs none. A load of None is the usual.
    """
    load = load or Load()
    bench = bench_of(result.bag, result.draft)
    hung = (part.stitching_hung_on(bench.near_edge) for part in result.bag.parts.values())
    stitched = next((each for each in hung if each is not None), None)
    closes = result.bag.top.CLOSES
    figure = volume_name(Form.FILLED if closes else Form.BOX, inside=True)
    volume = inside_filled if closes else result.finished[figure]
    if stitched is None or volume is None:
        return None
    per_inch = seam_strength_per_inch(25.4 / TOP_STITCH, load.needle_thread, load.bobbin_thread)
    return LoadEstimate(
        volume=volume,
        figure=figure,
        contents=volume * load.density / 1000,
        goods=result.mass,
        stitched=stitched,
        strength=stitched / 25.4 * per_inch * KG_PER_POUND,
        safety=load.safety,
        through=tuple(layer.role for layer in bench.first_laid),
        spared=tuple(layer.role for layer in bench.last_laid),
    )


def load_finding(estimate: LoadEstimate | None, unit: Unit = Unit.MM) -> Finding | None:
    """That the filled bag is too heavy for its handles; None when it is not.

    It is told in pounds first to who reads inches.

    Not among the findings of `compute`: the filled volume takes time.
    """
    if estimate is None or not estimate.heavy:
        return None
    words = {
        "weight": _mass(estimate.weight, unit),
        "allowed": _mass(estimate.allowed, unit),
        "both": _mass(estimate.allowed_by_both, unit),
    }
    room = (estimate.allowed - estimate.goods) / estimate.contents * estimate.volume
    return Finding(
        code="heavy-load",
        severity=Severity.WARN,
        figure=estimate.figure,
        value=estimate.volume,
        limit=max(room, 0.0),
        message=say(
            "Filled, the bag weighs about {weight}. One handle may carry about {allowed} (the "
            "estimated strength of its stitching, divided by {safety}), both together {both}, and "
            "a bag is often lifted by one: carry less, or make the handles wider.",
            words=words,
            numbers={"safety": Number(estimate.safety)},
        ),
    )


def load_text(estimate: LoadEstimate, unit: Unit = Unit.MM) -> tuple[Sentence, ...]:
    """The estimate in words, with what it rests on and what it is not.

    It is told in quarts and pounds first to who reads inches.
    """
    words = {
        "volume": _volume(estimate.volume, unit),
        "weight": _mass(estimate.weight, unit),
        "strength": _mass(estimate.strength, unit),
        "allowed": _mass(estimate.allowed, unit),
        "both": _mass(estimate.allowed_by_both, unit),
    }
    return (
        say(
            "Filled with {volume}, the bag weighs about {weight}. By a thread maker's formula the "
            "stitching of one handle holds about {strength}. Divided by {safety} for safety, one "
            "handle may carry about {allowed}, and both together, sharing it evenly, {both}.",
            words=words,
            numbers={"safety": Number(estimate.safety)},
        ),
        *_held_by(estimate),
        say(
            "This is an estimate for sound material and sound thread, not a rating: test your own "
            "bag with a load before you trust it; where a standard or local rules apply, they "
            "decide."
        ),
    )


def _held_by(estimate: LoadEstimate) -> tuple[Sentence, ...]:
    """What the load hangs on where a lining is laid in last."""
    if not estimate.spared:
        return ()
    words = {"goods": Listing(estimate.through), "lining": Listing(estimate.spared)}
    if len(estimate.through) > 1:
        return (
            say(
                "The load hangs on {goods} alone: the {lining}, laid in last, carries none of it.",
                words=words,
            ),
        )
    return (
        say(
            "The load hangs on {goods} alone: the {lining}, laid in last, carries none of it. A "
            "patch of strong fabric behind each stop keeps it from tearing there.",
            words=words,
        ),
    )


def _mass(kg: float, unit: Unit) -> str:
    return _both(f"{kg:.1f} kg", f"{kg / KG_PER_POUND:.0f} lb", unit)


def _volume(litres: float, unit: Unit) -> str:
    return _both(f"{litres:.1f} L", f"{quarts(MM3_PER_LITRE * litres):.1f} qt", unit)


def _both(metric: str, customary: str, unit: Unit) -> str:
    """The reader's own first, the other behind it."""
    return f"{customary} ({metric})" if unit is Unit.INCH else f"{metric} ({customary})"
