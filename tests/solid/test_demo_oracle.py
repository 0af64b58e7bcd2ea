"""The demo body by mesh booleans of manifold3d (Apache-2.0), and its STEP read back: both within
1e-4 of the layout."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from bodycad.geometry.plane.offset import offset
from bodycad.layout.volume import body_figures
from bodycad.script import load_design
from bodycad.solid import kernel, step
from bodycad.solid.body import body_solid
from tests.solid.test_oracle import carved, extruded, manifold3d, void

Manifold = manifold3d.Manifold
SLICES = 40
CHORDS = 0.004
"""The sagitta of all chords here, mm; the volumes then differ by about 1e-6."""
DEMO = Path(__file__).resolve().parents[2] / "designs" / "teasel.py"


def edged(skin) -> Manifold:
    """The outline with its roundover behind (in SLICES thin slabs) and its ledge in front."""
    t, r, ledge = skin.thickness, skin.back.radius, skin.front
    slabs = [
        extruded(skin.outline, -t + r, -ledge.drop, CHORDS),
        extruded(offset(skin.outline, -ledge.reach)[0], -ledge.drop, 0.0, CHORDS),
    ]
    for k in range(SLICES):
        low, high = (r * (1.0 - math.cos(math.pi / 2.0 * (k + i) / SLICES)) for i in (0, 1))
        depth = (low + high) / 2.0
        inset = r - math.sqrt(r * r - (r - depth) ** 2)
        slabs.append(extruded(offset(skin.outline, -inset)[0], -t + low, -t + high, CHORDS))
    return Manifold.batch_boolean(slabs, manifold3d.OpType.Add)


def followed(skin) -> list[Manifold]:
    """What the front's ledge takes where a contour crosses it: the contour sunk by the ledge's
    height, within the ledge's band."""
    band = extruded(skin.outline, -skin.thickness, 0.0, CHORDS) - extruded(
        offset(skin.outline, -skin.front.reach)[0], -skin.thickness, 0.0, CHORDS
    )
    sunk = [c.carve.moved(0.0, 0.0, -skin.front.drop) for c in skin.contours if c.face == "front"]
    return [carved(carve, CHORDS) ^ band for carve in sunk]


def test_the_demo_body_three_ways(tmp_path):
    layout = load_design(DEMO).layout()
    figures = body_figures(layout)
    cuts = [
        *(carved(c.carve, CHORDS) for c in layout.skin.contours),
        *followed(layout.skin),
        *(void(v.shape, CHORDS) for v in layout.voids),
    ]
    meshed = Manifold.batch_boolean([edged(layout.skin), *cuts], manifold3d.OpType.Subtract)
    assert meshed.volume() == pytest.approx(figures.volume, rel=1e-4)

    solid = body_solid(layout)
    step.write_body(solid, tmp_path / "teasel-body.step", "teasel-body", layout.thickness)
    back = step.read(tmp_path / "teasel-body.step").Solids()
    assert len(back) == 1 and back[0].isValid()
    assert kernel.volume(back[0]) == pytest.approx(figures.volume, rel=1e-4)
    assert kernel.volume(back[0]) == pytest.approx(meshed.volume(), rel=1e-4)
