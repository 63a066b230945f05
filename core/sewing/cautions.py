"""What a maker and a user of the bag should mind, whatever the bag. Plain sentences."""

from core.errors import Sentence, listed
from core.sewing.bench import Bench

COLD_LIMIT, HOT_LIMIT = 4.4, 60.0
"""Degrees Celsius; 40 and 140 F: between them bacteria grow fast (USDA Food Safety and
Inspection Service, "Keeping 'Bag' Lunches Safe")."""
HOURS_OUT, HOURS_OUT_IN_HEAT = 2, 1
"""Perishable food may be out so long; the second above 32.2 C, 90 F (the same leaflet)."""
VERY_WARM = 32.2


def sewing_cautions(bench: Bench) -> tuple[Sentence, ...]:
    """At the machine and at the iron."""
    told = [
        Sentence("Switch the machine off before you change the needle or the presser foot."),
        Sentence(
            "Thick places break needles: sew them slowly, turning the hand wheel, with a "
            "new needle. If a needle breaks, find every piece of it."
        ),
        Sentence(
            "Take pins and clips out before the needle reaches them, and count them when "
            "you have finished."
        ),
    ]
    if bench.melting:
        told.append(
            Sentence(
                "{goods}: use a cool iron and a press cloth only. Film and foam melt onto "
                "the iron and give off fumes: air the room.",
                words={"goods": listed(bench.melting)},
            )
        )
    return tuple(told)


def use_cautions(bench: Bench, *, insulated: bool) -> tuple[Sentence, ...]:
    """Using the bag: loads, and food where the bag is made to keep it cold or warm."""
    told: list[Sentence] = []
    if bench.bag.handles is not None:
        told.append(
            Sentence("Carry heavy things by both handles, and check the stitching now and then.")
        )
    if insulated:
        told += food_cautions()
    return tuple(told)


def food_cautions() -> tuple[Sentence, ...]:
    """Food that spoils."""
    words = {
        "cold": f"{COLD_LIMIT:g}",
        "hot": f"{HOT_LIMIT:g}",
        "hours": str(HOURS_OUT),
        "hour": str(HOURS_OUT_IN_HEAT),
        "heat": f"{VERY_WARM:g}",
    }
    return (
        Sentence(
            "An insulated bag slows warming, it does not cool. Keep cold food below {cold} °C "
            "(40 °F) with at least two cold packs, and hot food above {hot} °C (140 °F).",
            words=words,
        ),
        Sentence(
            "Food that spoils may stay between the two for {hours} hours at most, and for {hour} "
            "hour where it is warmer than {heat} °C (90 °F); then throw it away (USDA Food Safety "
            "and Inspection Service). Where local rules are stricter, they decide.",
            words=words,
        ),
        Sentence(
            "Wipe the lining after use and let the bag dry open. Its materials are not "
            "stated to be safe for contact with food: keep food wrapped."
        ),
    )


def keeps_warm(bench: Bench) -> bool:
    """Whether a layer is there to insulate."""
    return any(layer.insulating for layer in bench.bag.sandwich.layers)
