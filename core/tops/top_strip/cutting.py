"""Cutting half strips and tabs. mm."""

from core.base.sentences import Last, Listing, mark, say
from core.flat.roles import PieceId
from core.tops.top_strip.strip import TAB, TopStrip
from core.work.bench import Bench
from core.work.operation import Action, Operation, Phase, measured
from core.work.scene import PieceScene
from core.work.states import CUT


def cut_pieces(bench: Bench, strip: TopStrip, halves: tuple[PieceId, ...]) -> tuple[Operation, ...]:
    """The half strips, both at once or one after the other where they differ; and the tabs."""
    together = (halves,) if not strip.shift else tuple((half,) for half in halves)
    return (*(_cut(bench, each) for each in together), _cut_tabs(bench))


def _cut(bench: Bench, halves: tuple[PieceId, ...]) -> Operation:
    piece = bench.draft.piece(halves[0])
    left, low, right, top = piece.bounds
    both = len(halves) > 1
    template = mark("From the {goods} cut the {piece}, {half_width} wide and {half_length} long.")
    if both:
        template = mark(
            "From the {goods} cut two half strips, {half_width} wide and {half_length} long."
        )
    if bench.layered:
        template = mark(
            "From each layer ({goods}) cut the {piece}, {half_width} wide and {half_length} long."
        )
        if both:
            template = mark(
                "From each layer ({goods}) cut two half strips, {half_width} wide and "
                "{half_length} long."
            )
    write = say(
        "Write “{piece}” along one long edge: the zip is sewn to the other one.",
        terms={"piece": piece.label},
    )
    words = {"goods": Listing([layer.role for layer in bench.layers], Last.COMMA)}
    terms = {"piece": piece.label}
    do = say(template, words=words, terms=terms, half_width=piece.height, half_length=piece.width)
    return Operation(
        key="cut top strip" if both else f"cut {piece.label}",
        action=Action.CUT,
        phase=Phase.CUT,
        title=say("Cut the top strip") if both else say("Cut the {piece}", terms=terms),
        instructions=(do, *bench.cut_larger, *(() if both else (write,))),
        check=say("The long edges are straight and of one length."),
        measures=(
            measured("half_width", piece.height, piece.id, (left, low), (left, top)),
            measured("half_length", piece.width, piece.id, (left, low), (right, low)),
        ),
        makes=tuple(CUT.for_(half) for half in halves),
        pieces=halves,
        scene=PieceScene(),
    )


def _cut_tabs(bench: Bench) -> Operation:
    tab = bench.draft.piece(TAB)
    left, low, right, top = tab.bounds
    return Operation(
        key="cut zip tabs",
        action=Action.CUT,
        phase=Phase.CUT,
        title=say("Cut the zip's tabs"),
        instructions=(
            say(
                "From the {goods} cut two tabs, {tab_width} wide and {tab_length} long.",
                words={"goods": bench.cloth(TAB).role},
                tab_width=tab.width,
                tab_length=tab.height,
            ),
        ),
        measures=(
            measured("tab_width", tab.width, TAB, (left, low), (right, low)),
            measured("tab_length", tab.height, TAB, (left, low), (left, top)),
        ),
        makes=(CUT.for_(TAB),),
        pieces=(TAB,),
        scene=PieceScene(),
    )
