"""Sewing with a base board: cutting it, and laying it in last. mm."""

from core.parts.board import BaseBoard
from core.sewing.bench import BOARD_IN, PRESSED, TURNED, Bench, cut_state
from core.sewing.operation import Kind, Operation, View, say


def sew_board(bench: Bench, board: BaseBoard) -> tuple[Operation, ...]:
    """Cut it, and lay it in."""
    return (_cut(bench, board), _lay_in(bench, board))


def _cut(bench: Bench, board: BaseBoard) -> Operation:
    return Operation(
        key="cut base board",
        kind=Kind.CUT,
        part="board",
        title=say("Cut the base board"),
        do=(
            say(
                "Cut the board {board_width} x {board_depth}.",
                board_width=board.width,
                board_depth=board.depth,
            ),
            say("Round its corners to about {rounding}.", rounding=bench.rounding),
        ),
        why=say("Sharp corners wear through the seams."),
        makes=(cut_state("base board"),),
        enters=("base board",),
        pieces=("base board",),
        view=View.PIECE,
    )


def _lay_in(bench: Bench, board: BaseBoard) -> Operation:
    finished = bench.finished
    margin = ((finished["base_width"] or 0.0) - board.width) / 2
    return Operation(
        key="lay in base board",
        kind=Kind.LAY_IN,
        part="board",
        title=say("Lay in the base board"),
        do=(
            say(
                "Slip the board, {board_width} x {board_depth}, in through the {through} and "
                "press it flat on the bottom.",
                words={"through": "zip" if bench.zipped else "top"},
                board_width=board.width,
                board_depth=board.depth,
            ),
        ),
        why=say("Last, because it covers the stitching of the bottom and stiffens the bag."),
        look=say("It lies flat, about {margin} clear of the seams at either end.", margin=margin)
        if margin > 0.0
        else say("It lies flat and does not press on the seams."),
        needs=(TURNED, cut_state("base board")),
        after=(PRESSED,),
        makes=(BOARD_IN,),
        pieces=("base board", *bench.faces),
        marks=bench.marks("base board"),
        view=View.INSIDE,
    )
