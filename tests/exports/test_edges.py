"""How sheets show edges: ledges as regions to clear, what follows a contour marked as not level."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
import shapely
from shapely import affinity

from bodycad.exports.dxf.annotate import annotated_document, write_annotated
from bodycad.exports.dxf.document import write
from bodycad.exports.dxf.lint import compare, lint
from bodycad.exports.sheet import as_seen, cut_sheet
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.plane.region import polygon
from bodycad.geometry.solids.edge import Chamfer, Ledge, Square
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.stretch import Stretch
from bodycad.layout.workpiece import Workpiece
from tests.sample import design

LEDGE = Ledge((0.5, 1.0), 6.4)


def with_edges(front, back):
    layout = design().layout()
    return layout.with_body(skin=replace(layout.skin, front=front, back=back))


def words(doc):
    return " | ".join(e.dxf.text for e in doc.modelspace() if e.dxftype() == "TEXT")


@pytest.fixture(scope="module")
def stretched():
    return with_edges(
        Stretch(LEDGE, (200.0, 0.0), (-200.0, 0.0)),
        Stretch(Chamfer(3.0), (0.0, 150.0), (-100.0, 150.0)),
    )


def test_a_ledge_along_a_stretch_is_a_region_to_clear(stretched):
    (layer,) = (la for la in cut_sheet(stretched.body, "front").layers if "LEDGE" in la.name)
    assert layer.name == "FRONT_LEDGE_D0640" and layer.items[0].ids == ("body.ledge.1",)
    run = stretched.skin.runs("front")[0]
    # Half the board's rim, 1.4 mm in and 6.5 mm out, round two corners of 20 mm (a quarter each).
    rim = run.chain.length.sum()
    straight = 7.9 * (rim - 2.0 * 10.0 * math.pi)
    corners = 2.0 * math.pi / 4.0 * (26.5**2 - 18.6**2)
    assert layer.area == pytest.approx(straight + corners, rel=1e-9)


def slotted():
    """A board with a slot 4 mm wide and 60 mm deep, open at the top: less than a cutter's way."""
    rows = [(-100, -60), (100, -60), (100, 60), (2, 60), (2, 0), (-2, 0), (-2, 60), (-100, 60)]
    return profile(rows)


@pytest.mark.parametrize(
    "stretch", [((2.0, 50.0), (2.0, 10.0)), ((-2.0, 10.0), (-2.0, 50.0)), None]
)
@pytest.mark.parametrize("face", ["front", "back"])
def test_a_ledge_beside_a_gap_takes_no_wood_across_it(stretch, face):
    """On one side of a slot that is narrower than the run-out, and all round."""
    edge = Stretch(LEDGE, *stretch) if stretch else LEDGE
    skin = Skin(slotted(), 20.0, *((edge, Square()) if face == "front" else (Square(), edge)))
    piece = Workpiece("plate", skin)
    (layer,) = (la for la in cut_sheet(piece, face).layers if "LEDGE" in la.name)
    body = polygon(as_seen(skin.outline, face))
    taken = shapely.union_all([polygon(item.region) for item in layer.items]).intersection(body)
    band = body.difference(body.buffer(-1.4, quad_segs=400))
    if stretch:
        low, high = sorted(y for _, y in stretch)
        x = stretch[0][0]
        own = shapely.box(min(x, x * 1.7), low, max(x, x * 1.7), high)
        band = own if face == "front" else affinity.scale(own, 1.0, -1.0, origin=(0, 0))
    assert taken.symmetric_difference(band).area < 1e-4 * band.area


@pytest.mark.parametrize("face", ["front", "back"])
def test_files_of_stretches_are_sound(stretched, face, tmp_path):
    path = write(stretched.body, face, tmp_path / "a.dxf")
    assert [f for f in lint(path) if f.level == "error"] == []
    compare(path, stretched.body, face)
    twin = write_annotated(stretched, face, tmp_path / "b.dxf")
    assert [f for f in lint(twin, annotated=True) if f.level == "error"] == []


def test_the_twin_names_stretches_and_what_follows(stretched):
    front, back = (words(annotated_document(stretched, face)) for face in ("front", "back"))
    assert "counter-clockwise from (200.00, 0.00) to (-200.00, 0.00)" in front
    assert "floor 6.40 under the shaped" in front and "not level" in front
    # The back is seen mirrored: the stretch's ends trade places, and it still runs the same way.
    assert "from (-100.00, -150.00) to (0.00, -150.00)" in back and "chamfer" in back
    level = with_edges(replace(LEDGE, follows=False), Chamfer(3.0))
    assert "under the shaped" not in words(annotated_document(level, "front"))
