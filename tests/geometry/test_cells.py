"""Cells of a grid merged: areas by counting, rings simple and turning left, every corner a chosen
node."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from bodycad.errors import InputError
from bodycad.geometry.plane.cells import merged
from bodycad.geometry.plane.region import polygon

MASKS = st.integers(2, 9).flatmap(
    lambda n: st.integers(2, 9).flatmap(
        lambda m: st.lists(st.booleans(), min_size=n * m, max_size=n * m).map(
            lambda flat: np.array(flat).reshape(n, m)
        )
    )
)


def mask(*rows):
    """A mask from rows of text, u to the right and v up (the last row is v 0)."""
    return np.array([[c == "#" for c in row] for row in reversed(rows)]).T


def counted(chosen):
    """Area in cells: whole ones, and half of those with three chosen corners."""
    corners = chosen[:-1, :-1].astype(int) + chosen[1:, :-1] + chosen[:-1, 1:] + chosen[1:, 1:]
    return float((corners == 4).sum() + 0.5 * (corners == 3).sum())


def test_a_block_is_one_rectangle():
    """4 x 3 nodes 0.5 mm apart span 1.5 x 1.0 mm."""
    (found,) = merged(mask("####", "####", "####"), (10.0, -2.0), 0.5)
    assert (
        found.area == pytest.approx(1.5)
        and found.outer.box == (10.0, -2.0, 11.5, -1.0)
        and len(found.outer.vertices) == 4
    )


def test_a_missing_corner_is_cut_off():
    """Three of a cell's corners count as half of it."""
    (found,) = merged(mask("###.", "####", "####"), (0.0, 0.0), 1.0)
    assert found.area == pytest.approx(5.5) and len(found.outer.vertices) == 5


def test_a_hole_and_an_island():
    """A ring of nodes two wide has a hole; a lone line of nodes spans no area."""
    ring = mask("######", "######", "##..##", "##..##", "######", "######")
    (found,) = merged(ring, (0.0, 0.0), 1.0)
    assert (
        len(found.holes) == 1
        and found.area == pytest.approx(counted(ring))
        and found.holes[0].area == pytest.approx(7.0)
    )
    assert merged(mask("....", "####", "...."), (0.0, 0.0), 1.0) == ()


def test_patches_that_touch_at_a_node_stay_apart():
    """Two cells corner to corner are two regions."""
    found = merged(mask("..##", ".###", "###.", "##.."), (0.0, 0.0), 1.0)
    assert sum(r.area for r in found) == pytest.approx(
        counted(mask("..##", ".###", "###.", "##.."))
    )
    assert (
        merged(mask("..##", ".###", "##..", "##.."), (0.0, 0.0), 1.0)[0].outer.vertices.shape[1]
        == 3
    )


@settings(max_examples=120, deadline=None)
@given(MASKS)
def test_any_mask(chosen):
    """The area is the count of the cells, every vertex is a chosen node, no ring meets itself, no
    two overlap."""
    found = merged(chosen, (3.0, -1.0), 0.25)
    assert sum(r.area for r in found) / 0.0625 == pytest.approx(counted(chosen))
    shapes = []
    for region in found:
        for ring in (region.outer, *region.holes):
            nodes = np.rint((ring.vertices[:, :2] - [3.0, -1.0]) / 0.25).astype(int)
            assert chosen[nodes[:, 0], nodes[:, 1]].all() and len({tuple(n) for n in nodes}) == len(
                nodes
            )
            assert ring.area > 0.0 and (ring.vertices[:, 2] == 0.0).all()
        shapes.append(polygon(region))
    assert (
        shapely.union_all(shapes).area / 0.0625 == pytest.approx(counted(chosen))
        if shapes
        else counted(chosen) == 0
    )


@pytest.mark.parametrize("bad", [(np.ones(3, bool), 1.0), (np.ones((2, 2), bool), 0.0)])
def test_bad_input(bad):
    with pytest.raises(InputError):
        merged(bad[0], (0.0, 0.0), bad[1])
