"""Sewing the sandwich: fusing what is fusible, and basting the layers into one wall. mm."""

from core.errors import Sentence
from core.sewing.bench import (
    BASTE_STITCH,
    FUSED,
    MARKED,
    MELTING_IN,
    NOT_FLAT,
    SEAM_STITCH,
    WALL,
    Bench,
    as_set,
    cut_state,
)
from core.sewing.operation import Heat, Kind, Operation, Pressing, View, say


def sew_layers(bench: Bench) -> tuple[Operation, ...]:
    """Nothing when the wall is one layer."""
    if not bench.layered:
        return ()
    return (*_fuse(bench), _baste(bench))


def fusible_layers(bench: Bench) -> tuple[str, ...]:
    """Roles of layers that are fused to the outer one; not those that melt."""
    return tuple(
        layer.role for layer in bench.bag.sandwich.layers[1:] if layer.fusible and not layer.melts
    )


def _fuse(bench: Bench) -> tuple[Operation, ...]:
    roles = fusible_layers(bench)
    if not roles or bench.bag.sandwich.layers[0].melts:
        return ()
    words = {"layer": ", ".join(roles), "outer": bench.outer}
    return (
        Operation(
            key="fuse interfacing",
            kind=Kind.FUSE,
            part="sandwich",
            title=say("Fuse the {layer} to the {outer}", words=words),
            do=(
                say(
                    "Lay the {outer} wrong side up, the {layer} on it with its glue side down, "
                    "edges level.",
                    words=words,
                ),
                say(
                    "Press from the middle outwards: set the iron down for as long as it says on "
                    "the interfacing, lift it, move on."
                ),
                say("If yours has no glue side, leave the iron: basting will hold it."),
            ),
            why=say("Only these two lie under the iron: no layer that melts is in yet.")
            if bench.melting
            else say("Fused, the two cannot creep apart."),
            look=say("No bubble, and the corners do not lift when it is cold."),
            caution=say("Heat and time are those printed for your interfacing: try a scrap."),
            needs=tuple(cut_state(name) for name in bench.faces),
            until=(MELTING_IN,) if bench.melting else (WALL,),
            makes=(FUSED,),
            pieces=bench.faces,
            pressing=Pressing(Heat.MEDIUM, cloth=True),
            view=View.LAYERS,
        ),
    )


def _baste(bench: Bench) -> Operation:
    sandwich = bench.bag.sandwich
    goods = [layer.role for layer in sandwich.layers]
    stacked = say(
        "Lay them over one another with all edges level: {inner} at the bottom, right side down; "
        "then {middle}; on top the {outer}, right side up.",
        words={
            "inner": goods[-1],
            "middle": ", ".join(reversed(goods[1:-1])),
            "outer": goods[0],
        },
    )
    if len(goods) == 2:
        stacked = say(
            "Lay them over one another with all edges level: {inner} at the bottom, right side "
            "down; on top the {outer}, right side up.",
            words={"inner": goods[-1], "outer": goods[0]},
        )
    round_it = say(
        "Smooth from the middle, clip all round, and baste {baste_line} from the edge.",
        baste_line=sandwich.baste_line,
    )
    do = [stacked, round_it]
    if bench.panel.has_corners:
        do.append(
            say(
                "Baste along the drawn corner cuts too, {baste_line} from the line on the side "
                "that stays.",
                baste_line=sandwich.baste_line,
            )
        )
    return Operation(
        key="baste layers",
        kind=Kind.BASTE,
        part="sandwich",
        title=say("Baste the layers into one"),
        do=tuple(do),
        why=say("From here on the layers are sewn as one."),
        look=say("No fold is caught on the lining side, and the panel still lies flat."),
        caution=say(
            "The stitch is long now, {baste_stitch}: set it back to {seam_stitch} for the seams.",
            words={"baste_stitch": as_set(BASTE_STITCH), "seam_stitch": as_set(SEAM_STITCH)},
        ),
        needs=(MARKED,),
        after=(FUSED,),
        until=NOT_FLAT,
        makes=(WALL, MELTING_IN) if bench.melting else (WALL,),
        pieces=bench.faces,
        setting=bench.baste,
        allowance=sandwich.baste_line,
        spare=_spare(bench),
        view=View.LAYERS,
    )


def _spare(bench: Bench) -> Sentence:
    if bench.baste_hides:
        return say(
            "Baste at {seam_stitch} like the seams: at {baste_line} from the edge the line lies "
            "inside every allowance and may stay in.",
            words={"seam_stitch": as_set(SEAM_STITCH)},
            baste_line=bench.bag.sandwich.baste_line,
        )
    return say("Hold the edges with clips and do not baste at all.")
