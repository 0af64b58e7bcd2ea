"""How sheets show edges: ledges as regions to clear, what follows a contour marked as not level."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bodycad.exports.dxf.annotate import annotated_document, write_annotated
from bodycad.exports.dxf.document import write
from bodycad.exports.dxf.lint import compare, lint
from bodycad.exports.sheet import cut_sheet
from bodycad.geometry.solids.edge import Chamfer, Ledge
from bodycad.geometry.solids.stretch import Stretch
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
    layer = next(la for la in cut_sheet(stretched.body, "front").layers if "REBATE" in la.name)
    assert layer.name == "FRONT_REBATE_D0640"
    run = stretched.skin.runs("front")[0]
    # Half the board's rim, 1.4 mm in and 1 mm out, round two corners of 20 mm (a quarter each).
    rim = run.chain.length.sum()
    straight = 2.4 * (rim - 2.0 * 10.0 * 3.141592653589793)
    corners = 2.0 * 3.141592653589793 / 4.0 * (21.0**2 - 18.6**2)
    assert layer.area == pytest.approx(straight + corners, rel=1e-9)
    assert not any("_LEDGE_" in la.name for la in cut_sheet(stretched.body, "front").layers)


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
