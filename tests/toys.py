"""A body, a top and a part for tests: what they say here is all that a bag needs of one. mm."""

import math
from dataclasses import dataclass
from enum import IntEnum
from typing import ClassVar

from core.base.sentences import mark, say
from core.bodies.body import Body, BoxNames
from core.bodies.boxed_panel.panel import BoxedPanel
from core.flat.geometry import Frame2
from core.flat.piece import CutFrom, Mark, MarkStyle, Piece, Upright, rectangle
from core.flat.roles import (
    FACES,
    SIDES,
    EdgeId,
    EdgeRef,
    EdgeRole,
    Face,
    MarkRole,
    PieceId,
    PieceRole,
    SeamId,
    SeamRole,
    Side,
)
from core.flat.seam import Seam
from core.model.figures import CutFigure, FinishedFigure, Ruled, settle_record
from core.model.findings import Allowance, Finding, Fix, Severity
from core.model.record import NewSize, Solving, Unknown
from core.parts.part import Part
from core.site.owner import Moved
from core.site.site import Below, Mouth, PlacedMark, Run, Seat
from core.space.patches import Border, Copy, NotFillableError, Patch, Quarter
from core.space.zones import (
    AreaKind,
    FaceArea,
    FaceLine,
    Folding,
    Frame,
    Laid,
    Lie,
    LineKind,
    Measured,
    Plate,
    Zone,
    ease,
)
from core.tops.top import Top, base_findings
from core.work.bench import ClosingWork, OpeningWork
from core.work.operation import Action, MeasurePlace, Operation, Phase, Stitching, measured, sized
from core.work.scene import FOLDED_FLAT, SEWN, PieceScene
from core.work.states import BASE, CUT, TURNED, WALL, WRONG_SIDE_DONE, State


def _length(name: str, label: str, part: str, attribute: str, **more: object) -> CutFigure:
    return CutFigure(
        name=name, label=label, part=part, attribute=attribute, low=0.0, high=5000.0,
        help=label + ".", **more,
    )  # fmt: skip


_WALLS = {face: PieceId("body", PieceRole.WALL, face) for face in FACES}
_FACES = {Face.FRONT: "front", Face.BACK: "back"}
_CLOSED = {key: State("envelope closed", key) for key in ("bottom", *SIDES)}
_SHARED = {each.name: each for each in BoxedPanel.FINISHED}
_Zone = IntEnum("_Zone", ("FRONT", "BACK", "TAPE", "TAPE_OVER"))


def _edge(face: Face, role: EdgeRole, side: Side | None = None) -> EdgeRef:
    return EdgeRef(_WALLS[face], EdgeId(role, face, side))


@dataclass(frozen=True, slots=True, kw_only=True)
class Envelope(Body):
    """Two rectangles, sewn together at the bottom and at both sides; it has no depth."""

    width: float
    height: float
    seam: float
    rim: float

    KIND: ClassVar[str] = "envelope"
    WORD: ClassVar[str] = "envelope"
    LABEL: ClassVar[str] = "Envelope"
    BOX: ClassVar[BoxNames] = BoxNames(width="opening_width", depth="", height="envelope_depth")
    FIGURES = (
        _length("envelope_width", "Envelope width", "body", "width", above_low=True,
                ruled=Ruled.TOGETHER, pinnable=True, by_hand=True, tells=("opening_width",)),
        _length("envelope_height", "Envelope height", "body", "height", above_low=True,
                ruled=Ruled.TOGETHER, pinnable=True, by_hand=True, tells=("envelope_depth",)),
        _length("envelope_seam", "Envelope seam", "body", "seam"),
        _length("envelope_rim", "Envelope rim", "body", "rim"),
    )  # fmt: skip
    FINISHED = (
        *(_SHARED[name] for name in ("base_width", "face_height", "opening_width")),
        FinishedFigure(name="envelope_depth", label="Envelope depth", part="body", help="Inside."),
        *(_SHARED[name] for name in ("filled_volume", "inside_filled_volume")),
    )
    SOLVING = Solving(
        unknowns=(Unknown(name="envelope_width"), Unknown(name="envelope_height")),
        aims=("opening_width", "envelope_depth"),
        asked={
            "opening_width": NewSize(mark("Side to side along the top, sewn."), 203.2, 200.0),
            "envelope_depth": NewSize(mark("From the bottom seam to the top, sewn."), 152.4, 150.0),
        },
    )

    def __post_init__(self):
        settle_record(self, self.FIGURES)

    @classmethod
    def fresh(cls, around, word=""):
        seam = around.site.new_allowance
        wide, high = (around.finished[name] or 100.0 for name in ("opening_width", "face_height"))
        high -= around.site.shows / 2
        return cls(width=wide + 2 * seam, height=high + 2 * seam, seam=seam, rim=seam)

    def _frame(self, face):
        """The back is drawn from its right side too: the bag's right is at its left."""
        return Frame2((self.width / 2, 0.0), (1.0 if face is Face.FRONT else -1.0, 0.0))

    @property
    def _top(self):
        return self.height - self.seam - self.rim

    def seats(self):
        return {
            face: Seat(
                face=face, piece=_WALLS[face], frame=self._frame(face), width=self.width,
                top=self.height - self.seam, side_allowance=self.seam, top_allowance=self.rim,
                low=0.0, cut_low=0.0, low_width=self.width, below=Below.SEAM, under=None,
            )
            for face in FACES
        }  # fmt: skip

    def mouth(self):
        return Mouth(
            runs=tuple(Run(face, _edge(face, EdgeRole.TOP), self.rim, self.width)
                       for face in FACES),
            sides={side: tuple(_edge(face, EdgeRole.SIDE, side) for face in FACES)
                   for side in SIDES},
            trim=0.0, length=self.height, trim_figure="",
            length_figure=self.FIGURES[1], length_rate=1.0, allowance_figure="envelope_rim",
        )  # fmt: skip

    def pieces(self, marks):
        return tuple(self._piece(face, marks[face]) for face in FACES)

    def _piece(self, face, marks):
        first, last = SIDES[::-1] if face is Face.FRONT else SIDES
        edges = ((EdgeRole.BOTTOM, None), (EdgeRole.SIDE, first),
                 (EdgeRole.TOP, None), (EdgeRole.SIDE, last))  # fmt: skip
        return Piece(
            id=_WALLS[face], label=_FACES[face], marks=marks, cut_from=CutFrom.EVERY_LAYER,
            upright=Upright.WHOLE, sized_by=("envelope_width", "envelope_height"),
            edges=rectangle(
                tuple((_edge(face, *each).edge, f"{each[0].value} {_FACES[face]}")
                      for each in edges),
                (self.width, self.height), corner=(0.0, -self.seam),
                allowances=(self.seam, self.seam, self.rim, self.seam),
            ),
        )  # fmt: skip

    def seams(self):
        one, other = (_edge(face, EdgeRole.BOTTOM) for face in FACES)
        bottom = SeamId("body", SeamRole.BOTTOM)
        return (Seam(id=bottom, label="bottom seam", one=(one,), other=(other,), neatened=True),)

    def allowances(self, top):
        return (Allowance(figure="envelope_seam", label=mark("side seam"), size=self.seam), top)

    def with_allowances(self, wanted, shows):
        seam, rim = (wanted.get(name, was) - was for name, was in
                     (("envelope_seam", self.seam), ("envelope_rim", self.rim)))  # fmt: skip
        changes = {"envelope_seam": self.seam + seam, "envelope_width": self.width + 2 * seam,
                   "envelope_rim": self.rim + rim,
                   "envelope_height": self.height + seam + rim - shows / 2}  # fmt: skip
        return changes, Moved(width=2 * seam, top=rim - shows / 2)

    def measured(self, draft):
        side, (bottom,) = draft.walked_seams(SeamRole.SIDE)[0], draft.walked_seams(SeamRole.BOTTOM)
        outline, front = draft.outlines[_WALLS[Face.FRONT]], _edge(Face.FRONT, EdgeRole.TOP).edge
        return {
            "base_width": bottom.length,
            "face_height": (side.length + side.mate_length) / 2,
            "opening_width": outline.length(front),
            "envelope_depth": outline.length(EdgeId(EdgeRole.SIDE, Face.FRONT, Side.LEFT)),
        }

    def folding(self, draft, closing):
        half, top, (low, high) = self.width / 2, self._top, (self.seam, self.width - self.seam)
        shows, tape = (closing.width, -closing.frame.origin[1]) if closing else (0.0, 0.0)
        ends = {_Zone.FRONT: (0.0, top), _Zone.BACK: (0.0, top),
                _Zone.TAPE: (tape, tape + shows / 2),
                _Zone.TAPE_OVER: (tape + shows / 2, tape + shows)}  # fmt: skip
        zones, plates = [], []
        for key, (under, over) in list(ends.items())[: 4 if closing else 2]:
            behind = key in (_Zone.BACK, _Zone.TAPE_OVER)
            face, on_wall = Face.BACK if behind else Face.FRONT, key <= _Zone.BACK
            frame = self._frame(face).inverse if on_wall else (
                Frame2((-half, top + shows + tape if behind else top - tape),
                       up=(0.0, -1.0 if behind else 1.0)))  # fmt: skip
            span = ((0.0, -1.0, -under), (0.0, 1.0, over))
            zones.append(Zone(
                key=key, piece=_WALLS[face] if on_wall else closing.piece,
                kind=AreaKind.WALL if on_wall else AreaKind.TAPE, region=face if on_wall else None,
                outline=((low, under), (high, under), (high, over), (low, over)),
                limits=(*span, (-1.0, 0.0, -low), (1.0, 0.0, high)),
            ))  # fmt: skip
            limits = () if on_wall else (span[0 if behind else 1],)
            plates.append(Plate(zones=(len(plates),), limits=limits, side=face, frame=frame))
        foot, head = (0, (high, 0.0)), (0, (high, top))
        return Folding(
            zones=tuple(zones), plates=tuple(plates), gaps=lambda frames: (),
            frames=lambda at: self._frames(at, top + shows / 2, tape + shows / 2),
            sizes=(Measured(figure="envelope_depth", start=foot, end=head, aside=(1.0, 0.0, 0.0),
                            anchors=(foot, head)),),
            lies={face: (Lie(_WALLS[face], face, self._frame(face)),) for face in FACES},
            brims=dict.fromkeys(FACES, top), carriers={Face.FRONT: 0, Face.BACK: 1},
            brim=((0, (low, top)), (0, (high, top))), closed=closing is not None,
        )  # fmt: skip

    def _frames(self, at, fold, tape):
        """The back swings up behind the front about the bottom, the tape over the top fold."""
        turn, half, right = math.pi * ease(2 * at), self.width / 2, (1.0, 0.0, 0.0)
        up, over = (0.0, math.sin(turn), -math.cos(turn)), (0.0, math.sin(turn), math.cos(turn))
        return {
            _Zone.FRONT: Frame((-half, 0.0, 0.0), right, (0.0, 0.0, 1.0)),
            _Zone.BACK: Frame((half, 0.0, 0.0), (-1.0, 0.0, 0.0), up),
            _Zone.TAPE: Frame((-half, 0.0, fold - tape), right, (0.0, 0.0, 1.0)),
            _Zone.TAPE_OVER: Frame(
                (-half, -tape * over[1], fold - tape * over[2]), right, over),
        }  # fmt: skip

    def quarter(self, draft, closing, *, board):
        if closing is None:
            raise NotFillableError(mark("An open envelope encloses no volume."))
        wide, top, tape = self.width / 2 - self.seam, self._top, -closing.frame.origin[1]
        high = top + closing.width / 2

        def start(patch, x, u):
            import numpy as np

            out = 0.3 * min(wide, high / 2) * np.sin(np.pi * u / high)
            return np.stack((0.9 * x, out * np.cos(np.pi / 2 * x / wide), 0.9 * u))

        copies = []
        for side in (1.0, -1.0):
            for sign, face in ((-1.0, Face.FRONT), (1.0, Face.BACK)):
                way = side * self._frame(face).right[0]
                copies.append(Copy(
                    piece=_WALLS[face], limits=((-way, 0.0, -way * self.width / 2),),
                    frame=Frame2((-way * self.width / 2, 0.0), (way, 0.0)), signs=(side, sign),
                ))  # fmt: skip
                lies, middle = -sign, tape + closing.width / 2
                copies.append(Copy(
                    piece=closing.piece,
                    limits=((-side, 0.0, -side * self.width / 2), (0.0, lies, lies * middle)),
                    frame=Frame2((-side * self.width / 2, high - lies * middle), (side, 0.0),
                                 (0.0, lies)),
                    signs=(side, sign),
                ))  # fmt: skip
        return Quarter(
            patches=(Patch(
                low=(0.0, 0.0), high=(wide, high), across=_Zone.FRONT, up=_Zone.BACK,
                mirror_x=frozenset((Border.LEFT,)),
                mirror_y=frozenset((Border.BOTTOM, Border.RIGHT, Border.TOP)),
            ),),
            copies=tuple(copies), counts={_Zone.FRONT: 16, _Zone.BACK: 28}, start=start,
        )  # fmt: skip

    def closing_work(self):
        return ClosingWork(
            joined=(), flat_ends=tuple(_CLOSED.values()), sides=tuple(_CLOSED[s] for s in SIDES),
            every=tuple(_CLOSED.values()),
            scene=FOLDED_FLAT,
            narrowest=min(self.seam, self.rim), pierced=(mark("side"), mark("bottom")),
        )  # fmt: skip

    def operations(self, bench):
        def cut(wall):
            left, low, right, _ = bench.draft.piece(wall).bounds
            return Operation(
                key=f"cut {wall.face.value}", action=Action.CUT, phase=Phase.CUT, pieces=(wall,),
                title=say("Cut a wall of the envelope"), makes=(CUT.for_(wall),),
                instructions=(say("Cut it {wide} wide.", wide=self.width),), scene=PieceScene(),
                measures=(measured("wide", self.width, wall, (left, low), (right, low)),),
            )  # fmt: skip

        def close(key, walked, needs):
            return Operation(
                key=f"close {getattr(key, 'value', key)}", action=Action.JOIN, phase=Phase.CLOSE,
                title=say("Close the envelope"), setting=bench.seam, allowance=self.seam,
                instructions=(say("Sew {seam} from the edge.", seam=self.seam),),
                measures=sized(MeasurePlace.FROM_EDGE, seam=self.seam), needs=(WALL, *needs),
                after=bench.opening.before_folding, until=(TURNED,), makes=(_CLOSED[key],),
                pieces=(*bench.walls, *bench.opening.pieces), seams=(walked.seam.id,),
                stitching=(Stitching(mark("envelope seams"), walked.length, 2 * bench.wall),),
                scene=FOLDED_FLAT,
            )  # fmt: skip

        turn = Operation(
            key="turn envelope", action=Action.TURN, phase=Phase.TURN, title=say("Turn it"),
            instructions=bench.opening.turn, makes=(TURNED,), pieces=bench.walls, scene=SEWN,
            needs=(*bench.closing.every, *bench.opening.way_out), after=(WRONG_SIDE_DONE,),
        )  # fmt: skip
        sides = [close(side, bench.walked(SeamRole.SIDE, side=side), ()) for side in SIDES]
        last = close("bottom", bench.walked(SeamRole.BOTTOM), bench.opening.way_out)
        return (*map(cut, bench.walls), *sides, last, turn)


_EDGED = State("the raw edge is stitched")


@dataclass(frozen=True, slots=True, kw_only=True)
class RawEdge(Top):
    """The top edges stay raw, and are stitched once so that they do not stretch."""

    KIND: ClassVar[str] = "raw-edge"
    LABEL: ClassVar[str] = "Raw edge"
    WORD: ClassVar[str] = "raw edge"

    @classmethod
    def fresh(cls, around, word=""):
        return cls()

    def allowance(self, mouth):
        raw = mark("The edge is stitched at its rim.")
        figure, size = mouth.allowance_figure, mouth.allowance
        return Allowance(figure=figure, label=mark("raw edge"), size=size, raw=raw)

    def findings(self, site, finished):
        return tuple(base_findings(site, "raw-edge-near-base", mark("stitched edge")))

    def seams(self, mouth):
        edges = tuple(
            Seam(id=SeamId("top", SeamRole.HEM, run.face), one=(run.edge,),
                 label=f"raw edge {_FACES[run.face]}")
            for run in mouth.runs
        )  # fmt: skip
        return edges + mouth.side_seams()

    def opening_work(self, mouth, drawn, finished):
        return OpeningWork(
            before_folding=(_EDGED,), fold=say("Lay it flat."), turn=(say("Turn it."),),
            put_in=mark("Slip the board, {board_width} x {board_depth}, in."),
            pierces_all=mark("The {seams} seams pierce it."),
        )  # fmt: skip

    def operations(self, bench):
        return (Operation(
            key="stitch raw edge", action=Action.TOPSTITCH, phase=Phase.TOP, needs=(WALL,),
            title=say("Stitch the raw edge"), instructions=(say("Sew along each top edge."),),
            until=bench.flat_ends, makes=(_EDGED,), pieces=bench.walls, setting=bench.topstitch,
            seams=bench.seam_ids(SeamRole.HEM),
            stitching=(Stitching(mark("raw edge"), bench.raw_length(SeamRole.HEM), bench.wall),),
        ),)  # fmt: skip


_TAG = PieceId("tag", PieceRole.PATCH, Face.FRONT)
_TAG_SIDES = tuple(EdgeId(EdgeRole.RIM, number=number) for number in range(4))


@dataclass(frozen=True, slots=True, kw_only=True)
class Tag(Part):
    """A square in the middle of the front, stitched on all round, raw-edged."""

    width: float

    SLOT: ClassVar[str] = "tag"
    KIND: ClassVar[str] = "tag"
    WORD: ClassVar[str] = "tag"
    LABEL: ClassVar[str] = "Tag"
    FIGURES = (_length("tag_width", "Tag width", "tag", "width", above_low=True, by_hand=True,
                       ruled=Ruled.NEAREST),)  # fmt: skip

    @classmethod
    def fresh(cls, around, word=""):
        return cls(width=around.site.front.width / 8)

    def _corners(self, site):
        half, middle = self.width / 2, site.front.top / 2
        return tuple((x * half, middle + y * half) for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1)))

    def pieces(self, site):
        edges = rectangle(tuple((each, "tag edge") for each in _TAG_SIDES),
                          (self.width, self.width), allowances=(0.0,) * 4)  # fmt: skip
        return (Piece(id=_TAG, label="tag", edges=edges, sized_by=("tag_width", "tag_width")),)

    def marks(self, site):
        points = tuple(map(site.front.frame.at, self._corners(site)))
        outline = Mark(role=MarkRole.OUTLINE, owner="tag", points=points, label="tag",
                       style=MarkStyle.PLACEMENT, face=Face.FRONT, closed=True)  # fmt: skip
        return (PlacedMark(Face.FRONT, outline),)

    def laid(self, site):
        ring = self._corners(site)
        return Laid(
            areas=(FaceArea(Face.FRONT, AreaKind.LAID_ON, _TAG, ring),),
            lines=tuple(FaceLine(Face.FRONT, LineKind.TOPSTITCH, ring[i - 1], ring[i])
                        for i in range(4)),
        )  # fmt: skip

    def findings(self, site, finished):
        room = site.front.width - 2 * site.front.side_allowance
        if self.width <= room:
            return ()
        fix = Fix(say("Make the tag {limit} wide", limit=room), (("tag_width", room),))
        return (Finding(
            code="tag-off-face", severity=Severity.WARN, figure="tag_width", value=self.width,
            limit=room, message=say("The front has {limit} for the tag.", limit=room), fixes=(fix,),
        ),)  # fmt: skip

    def operations(self, bench):
        cut = Operation(
            key="cut tag", action=Action.CUT, title=say("Cut the tag"), pieces=(_TAG,),
            instructions=(say("Cut a square of {tag_width}.", tag_width=self.width),),
            measures=(measured("tag_width", self.width, _TAG, (0.0, 0.0), (self.width, 0.0)),),
            makes=(CUT.for_(_TAG),), scene=PieceScene(),
        )  # fmt: skip
        sewn = Operation(
            key="sew tag", action=Action.TOPSTITCH, title=say("Sew the tag on"),
            instructions=(say("Stitch it on all round."),), needs=(CUT.for_(_TAG), BASE),
            until=bench.flat_ends, makes=(State("the tag is on"),), setting=bench.topstitch,
            pieces=(*bench.walls, _TAG), marks=bench.marks("tag", MarkRole.OUTLINE),
            stitching=(Stitching(mark("tag"), 4 * self.width, 2 * bench.wall),),
        )  # fmt: skip
        return cut, sewn
