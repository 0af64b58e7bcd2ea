"""The written files: read back by the kernel, by its text, and (GLB) by trimesh."""

from __future__ import annotations

import re
import subprocess
import sys

import cadquery as cq
import numpy as np
import pytest
import trimesh

from bodycad.errors import FileError
from bodycad.geometry.plane.build import rectangle
from bodycad.layout.volume import body_figures
from bodycad.solid import kernel, step
from bodycad.solid.body import BODY_COLOUR, NamedSolid, body_solid, room_solids
from bodycad.solid.glb import mesh, write_glb
from bodycad.solid.specks import specks
from bodycad.version import VERSION
from tests.sample import THICKNESS, design


@pytest.fixture(scope="module")
def layout():
    return design().layout()


@pytest.fixture(scope="module")
def body(layout):
    return body_solid(layout)


@pytest.fixture(scope="module")
def written(body, tmp_path_factory):
    path = tmp_path_factory.mktemp("step") / "sample-body.step"
    step.write_body(body, path, "sample-body", THICKNESS)
    return path


def test_the_body_comes_back_the_same(written, layout):
    back = step.read(written)
    assert len(back.Solids()) == 1 and back.Solids()[0].isValid()
    assert kernel.volume(back.Solids()[0]) == pytest.approx(body_figures(layout).volume, rel=1e-6)


def test_the_text_says_millimetres_ap214_and_names(written):
    text = written.read_text("ascii")
    assert "SI_UNIT(.MILLI.,.METRE.)" in text and "AUTOMOTIVE_DESIGN" in text
    assert "PRODUCT('sample-body','sample-body'" in text
    assert (
        len(re.findall(r"ADVANCED_FACE\('FRONT'", text)) == 1
        and len(re.findall(r"ADVANCED_FACE\('BACK'", text)) == 1
    )
    assert f"'{step.TIME}'" in text


def test_the_header_says_who_made_the_file(layout, body, written, tmp_path):
    """FILE_DESCRIPTION and FILE_NAME as ISO 10303-21 section 8.2 orders them: name, time, authors,
    organisations, preprocessor, originating system, authorisation."""
    both = written, tmp_path / "sample-layout.step"
    step.write_layout(things(layout, body), both[1], "sample")
    for path in both:
        head = re.sub(r"\s+", "", path.read_text("ascii").partition("ENDSEC;")[0])
        mine = f"bodycad{VERSION}"
        assert f"FILE_DESCRIPTION(('{path.stem}'),'2;1');" in head
        names = f"('{mine}'),(''),'{mine}','{mine}','');"
        assert f"FILE_NAME('{path.name}','{step.TIME}',{names}" in head
        assert "opencascade" not in head.lower()


def test_equal_input_gives_equal_bytes(layout, written, tmp_path):
    again = tmp_path / written.name
    step.write_body(body_solid(design().layout()), again, "sample-body", THICKNESS)
    assert again.read_bytes() == written.read_bytes()


def things(layout, body):
    return (NamedSolid("body", BODY_COLOUR, body), *room_solids(layout))


def test_the_layout_holds_body_and_rooms_by_name(layout, body, tmp_path):
    path = tmp_path / "sample-layout.step"
    step.write_layout(things(layout, body), path, "sample")
    text = path.read_text("ascii")
    assert (
        "PRODUCT('sample-layout'" in text
        and "PRODUCT('body'" in text
        and "PRODUCT('a.body'" in text
    )
    assert text.count("COLOUR_RGB") >= 2 and f"'{step.TIME}'" in text
    volumes = sorted(kernel.volume(s) for s in step.read(path).Solids())
    assert volumes == pytest.approx(
        sorted([layout.rooms[0].shape.volume, body_figures(layout).volume]), rel=1e-6
    )


COLOURED = """
import sys
from pathlib import Path
import cadquery as cq
from bodycad.solid import step
from bodycad.solid.body import NamedSolid

def box(k):
    return cq.Solid.makeBox(1.0 + k, 2.0, 3.0, cq.Vector(10.0 * k, 0.0, 0.0))

things = [NamedSolid(f"box-{k}", (0.05 * (k % 4), 0.5, 0.1, 0.9), box(k)) for k in range(16)]
step.write_layout(things, Path(sys.argv[1]), "boxes")
"""


def test_equal_input_gives_equal_bytes_of_the_assembly(tmp_path):
    one, two = tmp_path / "1" / "boxes.step", tmp_path / "2" / "boxes.step"
    for path in (one, two):
        path.parent.mkdir()
        subprocess.run([sys.executable, "-c", COLOURED, str(path)], check=True)
    assert one.read_bytes() == two.read_bytes()
    found = cq.Assembly.importStep(str(one)).objects
    seen = {name: one.color.toTuple() for name, one in found.items() if one.color}
    for k in range(16):
        assert seen[f"box-{k}"] == pytest.approx((0.05 * (k % 4), 0.5, 0.1, 0.9), abs=1e-6)


def test_names_are_ascii_and_used_once():
    assert step.ascii_names(["Grüße 1", "a.b", "a.b", "", "a.b-2", "a.b"]) == (
        "Gr__e_1",
        "a.b",
        "a.b-2",
        "_",
        "a.b-2-2",
        "a.b-3",
    )


def spoiled(written, tmp_path, before, after):
    path = tmp_path / "spoiled.step"
    text = written.read_text("ascii")
    assert before in text
    path.write_text(text.replace(before, after), "ascii")
    return path


def test_the_gate_refuses_inches(written, body, tmp_path):
    path = spoiled(written, tmp_path, "SI_UNIT(.MILLI.,.METRE.)", "SI_UNIT(.CENTI.,.METRE.)")
    found = "; ".join(step.faults(path, [body]))
    assert (
        "length unit is not the millimetre" in found
        and "its volume is" in found
        and "its box is off" in found
    )


def test_the_gate_refuses_another_schema_and_foreign_signs(written, body, tmp_path):
    assert "it is not AP214" in step.faults(
        spoiled(written, tmp_path, "AUTOMOTIVE_DESIGN", "CONFIG_CONTROL_DESIGN"), [body]
    )
    path = tmp_path / "umlaut.step"
    path.write_bytes(written.read_bytes().replace(b"PRODUCT('sample", "PRODUCT('Grüße".encode()))
    assert "it has characters outside ASCII" in step.faults(path, [body])


def test_the_gate_counts_and_compares(written, body):
    other = cq.Solid.makeBox(10, 10, 10)
    assert any("holds 1 solids instead of 2" in f for f in step.faults(written, [body, other]))
    text = "; ".join(step.faults(written, [other]))
    assert "instead of 1000" in text and "faces instead of 6" in text and "box is off" in text


def test_the_gate_refuses_what_no_program_can_read_and_tells_of_specks():
    assert any("an edge of 5e-06 mm at (" in f for f in faults_of(10, 5e-6, 10))
    assert any("a face of 5e-08 mm2" in f for f in faults_of(0.01, 5e-6, 10))
    assert faults_of(10, 10, 10) == faults_of(10, 0.0015, 10) == []
    told = specks(cq.Solid.makeBox(10, 0.0015, 10))
    assert re.search(r"an edge of 0\.0015 mm at \(", told[0].text)
    assert len(told) == 4 and not any(speck.refused for speck in told)
    assert specks(cq.Solid.makeBox(10, 10, 10)) == []


def faults_of(*size):
    return step.solid_faults(cq.Solid.makeBox(*size))


def test_the_gate_finds_a_solid_inside_out():
    box = cq.Solid.makeBox(10, 10, 10)
    assert any("inside out" in f for f in step.solid_faults(cq.Solid(box.wrapped.Reversed())))


def test_what_cannot_be_read_or_written_is_a_file_error(tmp_path, body):
    (tmp_path / "junk.step").write_text("junk")
    with pytest.raises(FileError, match="junk.step: it cannot be read back"):
        step.read(tmp_path / "junk.step")
    with pytest.raises(FileError, match="x.step: the kernel did not write it"):
        step.write_body(body, tmp_path / "nowhere" / "x.step", "x", THICKNESS)
    with pytest.raises(FileError, match="y.step: one; two"):
        step.refuse(tmp_path / "y.step", ["one", "two"])


def test_the_glb_is_in_metres_with_y_up_and_outward(layout, body, tmp_path):
    path = tmp_path / "sample-body.glb"
    write_glb(things(layout, body), path, "sample")
    scene = trimesh.load(path)
    assert set(scene.geometry) == {"sample-body", "a.body"}
    low, high = scene.bounds
    assert low == pytest.approx([-0.2, -0.044, -0.15], abs=1e-6) and high == pytest.approx(
        [0.2, 0.004, 0.15], abs=1e-6
    )
    assert scene.geometry["sample-body"].volume * 1e9 == pytest.approx(
        body_figures(layout).volume, rel=1e-4
    )
    assert scene.geometry["a.body"].volume > 0
    again = tmp_path / "again.glb"
    write_glb(things(layout, body), again, "sample")
    assert again.read_bytes() == path.read_bytes()


def test_the_mesh_is_closed_once_its_seams_are_welded(body):
    points, normals, index = mesh(body)
    made = trimesh.Trimesh(points.astype(float) * 1000.0, index.reshape(-1, 3))
    made.merge_vertices(digits_vertex=4)
    assert made.is_watertight
    assert np.linalg.norm(normals, axis=1) == pytest.approx(np.ones(len(normals)), abs=1e-5)


def test_an_empty_solid_gives_no_glb(body, tmp_path):
    hollow = NamedSolid("nothing", (1, 1, 1, 1), cq.Compound.makeCompound([]))
    with pytest.raises(FileError, match="nothing gives no triangles"):
        write_glb([hollow], tmp_path / "x.glb", "x")


def test_a_box_is_measured_on_the_surface_not_on_its_mesh():
    ball = kernel.extruded(rectangle(40, 40, 20), (), kernel.level(0), 5.0, "disc")
    exact = kernel.box(ball)
    mesh(ball, 1.0, 1.0)
    assert kernel.box(ball) == exact and exact[0] == pytest.approx(-20.0, abs=1e-6)
