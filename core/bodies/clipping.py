"""The one rule of clips: staystitched first, then clipped to one stitch before the line. mm."""

from core.base.sentences import Sentence, say
from core.flat.match_marks import MatchMark
from core.work.bench import Bench
from core.work.machine import SEAM_STITCH
from core.work.operation import StitchPath


def stay_line(bench: Bench, seam: float) -> float:
    """From the edge to the staystitching: in the allowance, just off its stitch line, mm."""
    return seam - min(bench.hair, seam / 2)


def clip_path(bench: Bench, clip: MatchMark) -> StitchPath:
    """From the raw edge to one stitch before the stitch line."""
    seam = bench.draft.piece(clip.piece).edge(clip.edge).allowance
    deep = max(seam - SEAM_STITCH, seam / 2)
    (x, y), (nx, ny) = clip.at, clip.inward
    return StitchPath(clip.piece, ((x, y), (x + deep * nx, y + deep * ny)))


def stay_check() -> Sentence:
    """What to look at when it is sewn."""
    return say("The stitching lies within the allowance, just outside the stitch line.")


def clip_check() -> Sentence:
    """What to look at when it is clipped."""
    return say("No clip reaches the staystitching.")


def clip_caution() -> Sentence:
    """What may be hurt."""
    return say("Clip with the tips of sharp scissors: a clip into the seam is a hole.")
