"""What is beside what on the drawn surface of a bag whose pieces lie apart on the plane."""

import numpy as np
import pytest

from app.views.fold.surface_index import SurfaceCatalogue, catalogue_of, corner_normals
from core.space.box_quarters import BoxSizes
from core.space.boxes import PANEL_GAP
from tests.core.solid.ring_bag import RingBag

SIZES = BoxSizes(width=300.0, depth=120.0, height=250.0, radius=50.0, upper_radius=30.0)
LOW = SIZES.depth / 2 + PANEL_GAP


@pytest.fixture(scope="module")
def catalogue() -> SurfaceCatalogue:
    return catalogue_of(RingBag(SIZES).surface)


def middles(catalogue: SurfaceCatalogue) -> np.ndarray:
    """(m, 2) of the cells, on the plane."""
    return catalogue.surface.grid.nodes[catalogue.cells].mean(axis=1)


def test_every_open_side_has_its_mate_across_the_seam(catalogue: SurfaceCatalogue) -> None:
    """A panel's cells are beside the strip's, and the strip's ends beside one another."""
    seams, at = catalogue.seams, middles(catalogue)
    one, other = at[seams[:, 0]], at[seams[:, 1]]
    on_panel = np.abs(one[:, 1]) > LOW
    assert (np.abs(other[on_panel][:, 1]) < SIZES.depth / 2).all()
    strip, mates = one[~on_panel], other[~on_panel]
    beside_panel = np.abs(mates[:, 1]) > LOW
    assert (np.sign(strip[beside_panel][:, 1]) == np.sign(mates[beside_panel][:, 1])).all()
    ends = strip[~beside_panel]
    assert len(ends) > 8
    assert (np.sign(ends[:, 0]) == -np.sign(mates[~beside_panel][:, 0])).all()
    assert ends[:, 1] == pytest.approx(mates[~beside_panel][:, 1])


def test_mates_lie_side_by_side_on_the_filled_bag(catalogue: SurfaceCatalogue) -> None:
    nodes = catalogue.surface.at(1.0).reshape(-1, 3)
    cells = nodes[catalogue.cells].mean(axis=1)
    away = np.linalg.norm(cells[catalogue.seams[:, 0]] - cells[catalogue.seams[:, 1]], axis=1)
    assert away.max() < 30.0


def test_rows_of_the_strip_meet_their_own_ends_and_are_lit_alike(
    catalogue: SurfaceCatalogue,
) -> None:
    grid = catalogue.surface.grid
    rows = np.abs(grid.up[1:] + grid.up[:-1]) / 2 < SIZES.depth / 2
    assert (catalogue.closed == rows).all()
    nodes = catalogue.surface.at(1.0)
    normals = corner_normals(nodes, catalogue.inside, catalogue.mates, catalogue.closed)
    left, right = normals[rows, 0], normals[rows, -1]
    # Counter-clockwise from the lower left: the two ends share their lower and their upper corner.
    assert np.abs(left[:, 0] - right[:, 1]).max() < 0.02
    assert np.abs(left[:, 3] - right[:, 2]).max() < 0.02
