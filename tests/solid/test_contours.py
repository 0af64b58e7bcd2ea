"""The STEP file of the shaped faces, read by another reader and held against the layout's own
heights."""

from __future__ import annotations

import numpy as np
import pytest

from bodycad.errors import FileError
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.edge import Square
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.contours import fall_away, scoop
from bodycad.layout.workpiece import Workpiece
from bodycad.solid import contours, glb
from bodycad.solid.skin import skin_solid

THICKNESS = 44.0
ARM = fall_away("contour.arm", "front", THICKNESS, (-60.0, 60.0), 118.0, run=60.0, drop=15.0)
BELLY = scoop("contour.belly", "back", THICKNESS, (5, 62), 90.0, radius=160.0, slope_deg=12.0)


@pytest.fixture(scope="module")
def piece():
    skin = Skin(rectangle(300, 200, 20.0), THICKNESS, Square(), Square(), (ARM, BELLY))
    return Workpiece("body", skin)


@pytest.fixture(scope="module")
def outside(piece):
    return skin_solid(piece.skin)


def test_the_faces_of_each_contour(piece, outside):
    """Every point of their meshes lies on the skin's own height; their areas are those of the
    heights, summed over the plan (the slope's secant)."""
    found = contours.shaped_faces(piece, outside)
    assert {name for name, _ in found} == {"contour.arm", "contour.belly"}
    for contour, face_name in ((ARM, "front"), (BELLY, "back")):
        own = [face for name, face in found if name == contour.id]
        area = 0.0
        for face in own:
            points, _ = glb.face_mesh(face)
            z = piece.skin.height(face_name, points[:, :2])
            assert np.abs(z - points[:, 2]).max() < 1e-3
            area += face.Area()
        step = 0.25
        xs, ys = np.arange(-150, 150, step) + step / 2, np.arange(-100, 100, step) + step / 2
        spots = np.stack(np.meshgrid(xs, ys), axis=-1)
        plan = spots.reshape(-1, 2)
        fall = piece.skin.fall(face_name, plan).reshape(spots.shape[:2])
        inside = (piece.skin.inset(plan) > 0.0).reshape(fall.shape)
        dy, dx = np.gradient(fall, step)
        secant = np.sqrt(1.0 + dx**2 + dy**2)
        assert area == pytest.approx(secant[inside & (fall > 0)].sum() * step**2, rel=0.01)


def test_a_cadquery_reader_finds_the_same(piece, outside, tmp_path):
    path = tmp_path / "body-contours.step"
    contours.write_contours([(piece, outside)], path)
    text = path.read_text("ascii")
    assert "contour.arm" in text and "contour.belly" in text and ".MILLI.,.METRE." in text
    import cadquery

    back = cadquery.importers.importStep(str(path)).vals()[0]
    due = sum(face.Area() for _, face in contours.shaped_faces(piece, outside))
    assert sum(face.Area() for face in back.Faces()) == pytest.approx(due, rel=1e-5)
    again = tmp_path / "again" / path.name
    again.parent.mkdir()
    contours.write_contours([(piece, skin_solid(piece.skin))], again)
    assert again.read_bytes() == path.read_bytes()


def test_a_body_whose_contours_left_no_face_is_refused(piece, tmp_path):
    plain = skin_solid(Skin(piece.skin.outline, THICKNESS, Square(), Square()))
    with pytest.raises(FileError, match="no face"):
        contours.write_contours([(piece, plain)], tmp_path / "none.step")


def test_a_file_that_lost_a_face_is_refused(piece, outside, tmp_path, monkeypatch):
    write = contours.step.write_faces

    def less(shape, named, path, name):
        kept = shape.Faces()[1:]
        write(contours._compound(kept), [(kept[0], "x")], path, name)

    monkeypatch.setattr(contours.step, "write_faces", less)
    with pytest.raises(FileError, match="faces instead of"):
        contours.write_contours([(piece, outside)], tmp_path / "short.step")
