"""Edges of every kind as solids: layout, kernel and mesh boolean agree, and so do the gaps."""

from __future__ import annotations

import numpy as np
import pytest

from bodycad.geometry.plane.build import rounded
from bodycad.geometry.plane.profile import flatten
from bodycad.geometry.solids.edge import Chamfer, Cove, Ledge, Rim, Roundover, Square
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.stretch import Run, Stretch
from bodycad.layout.contours import fall_away
from bodycad.layout.volume import skin_volume
from bodycad.solid import kernel
from bodycad.solid.skin import skin_solid
from bodycad.words import SIDES
from tests.bench.bench_edges import held
from tests.solid.edge_bodies import OUTLINES, T, a_body

manifold3d = pytest.importorskip("manifold3d")
from manifold3d import CrossSection, Manifold  # noqa: E402

from tests.solid.test_oracle import SAGITTA, carved, extruded, stack  # noqa: E402

BOARD = OUTLINES["board"]
ARCHED = Rim(((20.0, 0.0, 0.1), (8.0, 3.0, 0.05), (0.0, 7.0)))
FOREARM = fall_away("contour.forearm", "front", T, (-60.0, 60.0), 120.0, 70.0, 14.0)
NARROW = rounded(
    [(-200, -140), (0, -2), (190, -130), (210, 110), (10, 2), (-200, 140)],
    [50, 120, 60, 60, 120, 50],
)
"""Its waist is some 56 mm wide."""
LEDGE = Ledge((0.5, 2.0), 6.4)
SKINS = {
    "chamfer and cove": Skin(BOARD, T, Chamfer(5.0, 4.0), Cove(4.0)),
    "arched rim": Skin(BOARD, T, ARCHED, Square()),
    "stretches": Skin(
        OUTLINES["waisted"],
        T,
        (Stretch(Roundover(8.0), (190, 0), (10, 70)), Stretch(ARCHED, (0, 70), (-200, 0))),
        Stretch(Cove(5.0), (-200, 0), (190, 0)),
    ),
    "stretches that meet": Skin(
        NARROW,
        T,
        (
            Stretch(Chamfer(34.0, 9.0), (200, 60), (-200, 60)),
            Stretch(Roundover(32.0), (-200, -60), (190, -60)),
        ),
        Square(),
    ),
    "an edge that meets itself": Skin(NARROW, T, Chamfer(34.0, 9.0), Square()),
    "a ledge that follows": Skin(BOARD, T, LEDGE, Square(), (FOREARM,)),
    "a stretch that follows": Skin(
        BOARD, T, Stretch(LEDGE, (0, 150), (-200, 0)), Chamfer(3.0), (FOREARM,)
    ),
}


def rings(run: Run, face: str) -> list[Manifold]:
    """What a run takes, meshed through sections that stand square to the outline."""
    edge, meshed = run.edge, []
    spots = []
    for k, (_, _, bulge) in enumerate(edge.rows[:-1]):
        chain, n = edge.chain, 100 if bulge else 1
        for t in np.arange(n) / n:
            spots.append(chain.at(np.full(len(chain), t))[k])
    spots = [*spots, (0.0, -edge.drop), (-1.0, -edge.drop), (-1.0, 1.0), (edge.reach, 1.0)]
    flat = np.roll(np.array(spots, float), 2, axis=0)  # from the corner that sees all of it
    for part in run.parts:
        stations = []
        for k in range(len(part)):
            count = max(int(np.ceil(abs(part.sweep[k]) / 0.008)), 1)
            own = part.take(np.array([k]))
            for t in np.linspace(0.0, 1.0, count + 1)[k > 0 :]:
                way = own.tangent(np.array([t]))[0]
                stations.append((own.at(np.array([t]))[0], np.array([-way[1], way[0]])))
        up, level = (1.0, 0.0) if face == "front" else (-1.0, -T)
        made = [
            np.column_stack([at + flat[:, :1] * way, level + up * flat[:, 1]])
            for at, way in stations
        ]
        mesh = stack(made)
        meshed.append(mesh if mesh.volume() > 0.0 else stack(made[::-1]))
    return meshed


def meshed_volume(skin: Skin) -> float:
    body = extruded(skin.outline, -T, 0.0)
    plan = CrossSection([flatten(skin.outline, SAGITTA)])
    for face in SIDES:
        whole = skin.edge(face)
        runs = (Run(whole, skin.outline.segments, True),) if whole.drop else skin.runs(face)
        for run in runs:
            taken = rings(run, face)
            body = Manifold.batch_boolean([body, *taken], manifold3d.OpType.Subtract)
            for contour in skin.contours:
                body = body - carved(contour.carve)
                if isinstance(run.edge, Ledge):
                    band = plan - plan.offset(-run.edge.reach, manifold3d.JoinType.Round, 2.0, 4000)
                    ring = band.extrude(T).translate((0.0, 0.0, -T))
                    under = carved(contour.carve).translate((0.0, 0.0, -run.edge.height))
                    if not run.closed:  # the quarter of the board that the stretch runs along
                        ring = ring ^ Manifold.cube((300.0, 300.0, T)).translate((-300.0, 0.0, -T))
                    body = body - (ring ^ under)
    return float(body.volume())


@pytest.mark.parametrize("name", SKINS)
def test_three_volumes_agree(name):
    skin = SKINS[name]
    slab = skin.outline.area * T
    due = skin_volume(skin)
    assert kernel.volume(skin_solid(skin)) == pytest.approx(due, rel=1e-7)
    # The mesh to 1e-3 of what the edges alone take, and to 1e-4 of the body by far.
    bare = Skin(skin.outline, T, Square(), Square(), skin.contours)
    assert meshed_volume(skin) == pytest.approx(due, rel=1e-5)
    assert meshed_volume(skin) - due == pytest.approx(0.0, abs=1e-3 * (skin_volume(bare) - due))
    assert due < slab


@pytest.mark.parametrize("seed", [0, 7, 19])
def test_gaps_agree_with_the_kernel(seed):
    volume, gaps = held(a_body(seed))
    assert abs(volume) < 1e-5 and len(gaps) > 2
    assert max(map(abs, gaps)) < 0.02
