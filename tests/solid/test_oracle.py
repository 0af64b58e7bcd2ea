"""The sample body three ways: the kernel, the layout's own sums, and mesh booleans of manifold3d.

manifold3d (Apache-2.0) knows nothing of arcs, fillets or our sections: everything is meshed here,
with chords under 0.001 mm, from the design's own numbers (not from tools that overshoot).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from bodycad.geometry.plane.profile import Profile, flatten
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.volume import body_figures, removed_volumes
from bodycad.solid import kernel
from bodycad.solid.body import body_solid
from tests.sample import THICKNESS, design

manifold3d = pytest.importorskip("manifold3d")
from manifold3d import CrossSection, Manifold  # noqa: E402

SAGITTA = 0.0005
CORNER, LEVELS = 192, 96


def extruded(profile: Profile, low: float, high: float, sagitta: float = SAGITTA) -> Manifold:
    return CrossSection([flatten(profile, sagitta)]).extrude(high - low).translate((0.0, 0.0, low))


def rounded_board(length: float, width: float, corner: float) -> np.ndarray:
    """A rectangle with round corners, always with the same count of points, so that rings can be
    joined."""
    turn = np.linspace(0.0, math.pi / 2.0, CORNER)
    rows = [
        np.column_stack(
            [
                sx * (length / 2 - corner) + corner * np.cos(turn + k * math.pi / 2),
                sy * (width / 2 - corner) + corner * np.sin(turn + k * math.pi / 2),
            ]
        )
        for k, (sx, sy) in enumerate([(1, 1), (-1, 1), (-1, -1), (1, -1)])
    ]
    return np.vstack(rows)


def stack(rings: list[np.ndarray]) -> Manifold:
    """A closed mesh through level rings (n, 3) from the bottom up."""
    n, points = len(rings[0]), np.vstack(rings)
    k = np.arange(n)
    nxt = (k + 1) % n
    faces = []
    for r in range(len(rings) - 1):
        a, b = r * n, (r + 1) * n
        faces += [
            np.column_stack([a + k, a + nxt, b + nxt]),
            np.column_stack([a + k, b + nxt, b + k]),
        ]
    fan = np.column_stack([np.zeros(n - 2, int), k[1:-1], k[2:]])
    faces += [fan[:, ::-1], fan + (len(rings) - 1) * n]
    return Manifold(manifold3d.Mesh(points.astype(np.float32), np.vstack(faces).astype(np.uint32)))


def outside() -> Manifold:
    """400 x 300 x 44 mm, 20 mm corners, 6 mm roundover behind, 1.4 x 6.4 mm ledge in front, bevel
    and scoop."""
    rings = []
    for a in np.linspace(math.pi / 2.0, 0.0, LEVELS):
        s = 6.0 * (1.0 - math.cos(a))
        plan = rounded_board(400 - 2 * s, 300 - 2 * s, 20 - s)
        rings.append(
            np.column_stack([plan, np.full(len(plan), -THICKNESS + 6.0 * (1.0 - math.sin(a)))])
        )
    for s, z in ((0.0, -6.4),):
        plan = rounded_board(400 - 2 * s, 300 - 2 * s, 20 - s)
        rings.append(np.column_stack([plan, np.full(len(plan), z)]))
    body = stack(rings)
    top = CrossSection([rounded_board(397.2, 297.2, 18.6)]).extrude(7.4).translate((0.0, 0.0, -7.4))
    return body + top


def carved(shape: Carve, sagitta: float = SAGITTA) -> Manifold:
    low, high = shape.span
    bar = CrossSection([flatten(shape.section, sagitta)]).extrude(high - low)
    u, along, w = shape.axes
    # Drawn in (u, w), extruded along its own third axis, which is u x w = -along.
    origin = shape.world(np.array([[0.0, high, 0.0]]))[0]
    return bar.transform(np.column_stack([u, w, -along, origin]))


def drilled(shape: Bore, sagitta: float = SAGITTA) -> Manifold:
    r, tip = shape.radius, shape.tip
    # Of a narrow hole chords take more than of a wide pocket, so they are finer.
    count = math.ceil(math.pi / math.acos(1.0 - sagitta / 16.0 / r))
    turn = np.linspace(0.0, 2.0 * math.pi, count, endpoint=False)
    ring = np.column_stack([r * np.cos(turn), r * np.sin(turn)])
    solid = CrossSection([ring]).extrude(shape.shoulder)
    if tip > 0.0:
        solid = solid + CrossSection([ring]).extrude(tip, scale_top=(0.0, 0.0)).translate(
            (0.0, 0.0, shape.shoulder)
        )
    u, v, d = shape.axes
    return solid.transform(np.column_stack([u, v, d, shape.start]))


def void(shape: Prism | Bore, sagitta: float = SAGITTA) -> Manifold:
    if isinstance(shape, Bore):
        return drilled(shape, sagitta)
    made = extruded(shape.profile, shape.floor_range[0], shape.high, sagitta)
    if shape.tilted:
        up = np.array([-shape.slope[0], -shape.slope[1], 1.0])
        size = np.linalg.norm(up)
        # Keep what lies above the plane z = floor(x, y).
        made = made.trim_by_plane(tuple(up / size), shape.floor(0.0, 0.0) / size)
    return made


@pytest.fixture(scope="module")
def layout():
    return design(contours=True).layout()


def test_three_volumes_agree(layout):
    skin = outside() - carved(layout.skin.contours[0].carve) - carved(layout.skin.contours[1].carve)
    # The ledge follows the bevel: its band, 6.4 mm under the bevel's own surface.
    band = CrossSection([rounded_board(401.0, 301.0, 20.5)]) - CrossSection(
        [rounded_board(397.2, 297.2, 18.6)]
    )
    bevel = carved(layout.skin.contours[0].carve).translate((0.0, 0.0, -6.4))
    skin = skin - (band.extrude(THICKNESS).translate((0.0, 0.0, -THICKNESS)) ^ bevel)
    meshed = Manifold.batch_boolean(
        [skin, *(void(v.shape) for v in layout.voids)], manifold3d.OpType.Subtract
    )
    figures = body_figures(layout)
    solid = kernel.volume(body_solid(layout))
    removed = skin.volume() - meshed.volume()
    assert solid == pytest.approx(figures.volume, rel=1e-7)
    assert meshed.volume() == pytest.approx(figures.volume, rel=1e-5)
    # The voids alone, to 1e-4 of what they remove.
    assert removed == pytest.approx(sum_of_voids(layout, figures), rel=1e-4)


def sum_of_voids(layout, figures):
    from bodycad.layout.volume import skin_volume

    return skin_volume(layout.skin) - figures.volume


def test_each_void_alone_agrees(layout):
    board = (
        CrossSection([rounded_board(400.0, 300.0, 20.0)])
        .extrude(THICKNESS)
        .translate((0.0, 0.0, -THICKNESS))
    )
    ours = removed_volumes(layout)
    for each in layout.voids:
        meshed = (board ^ void(each.shape)).volume()
        assert meshed == pytest.approx(ours[each.id], rel=1e-4), each.id


def test_the_centre_agrees(layout):
    assert kernel.centre(body_solid(layout)) == pytest.approx(
        body_figures(layout).centroid, abs=1e-4
    )
