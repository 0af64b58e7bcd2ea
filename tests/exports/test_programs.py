"""The files of the cutting programs, read by other libraries: what each says is what is cut."""

from __future__ import annotations

import math
import struct
from dataclasses import replace

import ezdxf
import numpy as np
import pytest
from PIL import Image

from bodycad.errors import FileError
from bodycad.exports import cam as cam_sheets
from bodycad.exports import heights, programs
from bodycad.exports.cam import cam_sheet, zero_of
from bodycad.exports.dxf import cam
from bodycad.exports.notes import face_info
from bodycad.exports.sheet import cut_sheet
from bodycad.exports.simulation import write_programs
from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.edge import Chamfer, Ledge, Rim, Roundover, Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.stretch import Stretch
from bodycad.layout.contours import fall_away
from bodycad.layout.void import Void, from_front
from bodycad.making.aside import aside
from bodycad.making.cuts import cuts
from bodycad.making.shaped import RIDGE, depths, follower, is_shaped, shaped
from bodycad.making.tabs import tabs
from bodycad.making.templates import templates
from bodycad.tools import Cutter, Drill
from bodycad.words import SIDES, Face, Zero
from tests import sample
from tests.drawn import layout_of

ZEROS = tuple(Zero)


@pytest.fixture(scope="module")
def layout():
    return sample.design().layout()


@pytest.fixture(scope="module")
def left():
    return sample.design(left_handed=True).layout()


@pytest.fixture(scope="module")
def folder(layout, tmp_path_factory):
    made = tmp_path_factory.mktemp("programs")
    programs.write_drawings(layout, made)
    programs.write_grids(layout, made)
    return made


def zeroed(layout, zero):
    return replace(layout, shop=replace(layout.shop, zero=zero))


def test_every_named_file_is_written(layout, folder):
    names = programs.names(layout)
    assert sorted(path.name for path in folder.iterdir()) == sorted(names)
    assert "sample-front-cam.dxf" in names and "sample-back-heights.tif" in names


def contours(path):
    """Each closed contour of a drawing by layer, as (area, box), by ezdxf alone."""
    found: dict[str, list[tuple[float, ...]]] = {}
    for entity in ezdxf.readfile(path).modelspace():
        if entity.dxftype() == "CIRCLE":
            (x, y, _), r = entity.dxf.center, entity.dxf.radius
            row = (np.pi * r * r, x - r, y - r, x + r, y + r)
        else:
            points = [(p.x, p.y) for p in ezdxf.path.make_path(entity).flattening(1e-4)]
            x, y = np.array(points).T
            area = abs(float((x[:-1] * y[1:] - x[1:] * y[:-1]).sum())) / 2.0
            row = (area, x.min(), y.min(), x.max(), y.max())
        found.setdefault(entity.dxf.layer, []).append(tuple(map(float, row)))
    return found


@pytest.mark.parametrize("face", SIDES)
def test_a_drawing_holds_every_cut_on_the_layer_of_its_tool(layout, folder, face):
    found = contours(folder / f"sample-{face}-cam.dxf")
    flip = -1.0 if face == "back" else 1.0
    for cut in cuts(layout):
        if cut.face != face or cut.along is not None:
            continue
        width = cut.tool.diameter if hasattr(cut.tool, "diameter") else cut.tool.bearing
        operation = "REST" if cut.rest else cut.operation
        name = f"{face}_{operation}_D{cut.depth * 100:04.0f}_DIA{width * 100:.0f}".upper()
        for region in cut.area:
            x0, y0, x1, y1 = region.outer.box
            box = (x0, *sorted((flip * y0, flip * y1)), x1)
            held = found[name]
            if hasattr(cut.tool, "point_deg"):
                middle = ((x0 + x1) / 2.0, flip * (y0 + y1) / 2.0)
                assert any(
                    np.allclose(((r[1] + r[3]) / 2, (r[2] + r[4]) / 2), middle, atol=1e-6)
                    and abs(r[3] - r[1] - cut.tool.diameter) < 1e-6
                    for r in held
                )
            else:
                want = (region.outer.area, box[0], box[1], box[3], box[2])
                assert any(np.allclose(row, want, rtol=2e-4, atol=2e-3) for row in held), name


def data(entity):
    return cam.read_data(entity)


def test_the_cross_says_what_it_is(layout, folder):
    space = ezdxf.readfile(folder / "sample-back-cam.dxf").modelspace()
    cross = next(e for e in space if e.dxf.layer == "DATUM" and e.dxftype() != "CIRCLE")
    said = dict(data(cross))
    assert said["units"] == "mm" and said["face"] == "back" and said["hand"] == "right"
    assert said["revision"] == layout.revision and said["zero"] == "datum"
    assert said["thickness"] == 44.0 and (said["datum x"], said["datum y"]) == (0.0, 0.0)


@pytest.mark.parametrize("zero", ZEROS)
@pytest.mark.parametrize("face", SIDES)
def test_each_zero_moves_all_by_the_same(layout, zero, face, tmp_path):
    """By the place of the pin, the corner or the middle of the blank as the face is seen."""
    blank, flip = layout.blank, -1.0 if face == "back" else 1.0
    ys = sorted((flip * blank.y0, flip * blank.y1))
    middle = ((blank.x0 + blank.x1) / 2.0, (ys[0] + ys[1]) / 2.0)
    pin = blank.pins[0]
    due = {
        Zero.DATUM: (0.0, 0.0),
        Zero.PIN: (pin.x, flip * pin.y),
        Zero.CORNER: (blank.x0, ys[0]),
        Zero.CENTRE: middle,
    }[zero]
    own, plain = zeroed(layout, zero), layout
    assert zero_of(own.body, face, zero) == (zero, pytest.approx(due))
    one = cam.write(cam_sheet(plain, plain.body, Face(face)), tmp_path / "one.dxf")
    sheet = cam_sheet(own, own.body, Face(face))
    two = cam.write(sheet, tmp_path / "two.dxf")
    cam.verify(two, sheet)
    rows = [contours(path) for path in (one, two)]
    assert rows[0].keys() == rows[1].keys()
    for layer, held in rows[0].items():
        for a, b in zip(held, rows[1][layer], strict=True):
            assert np.allclose(np.array(a[1:]) - np.array(b[1:]), [*due, *due], atol=2e-3), layer


def test_a_piece_from_an_offcut_keeps_its_datum(layout):
    loose = replace(layout.body, blank=None)
    for zero in (Zero.PIN, Zero.CORNER, Zero.DATUM):
        assert zero_of(loose, "back", zero) == (Zero.DATUM, (0.0, 0.0))
    x0, y0, x1, y1 = loose.skin.outline.box
    assert zero_of(loose, "back", Zero.CENTRE)[1] == ((x0 + x1) / 2, -(y0 + y1) / 2)


def test_the_left_hand_is_the_mirror_image(layout, left, tmp_path):
    """Contour by contour: y changes its sign."""
    one = cam.write(cam_sheet(layout, layout.body, Face.FRONT), tmp_path / "one.dxf")
    two = cam.write(cam_sheet(left, left.body, Face.FRONT), tmp_path / "two.dxf")
    right, other = contours(one), contours(two)
    assert right.keys() == other.keys()
    for layer in right.keys() - {"CHECK"}:
        if "TAB" in layer:
            continue  # tabs are looked for from the start of the outline, which is another one
        a = sorted((*np.round(r[1:], 2).tolist(), r[0]) for r in right[layer])
        b = sorted((*np.round((r[1], -r[4], r[3], -r[2]), 2).tolist(), r[0]) for r in other[layer])
        assert np.allclose(a, b, atol=0.02, rtol=1e-4), layer


def edged(front, back=Square()):
    """The sample's blank with plain edges of its own and no voids."""
    layout = sample.design().layout()
    skin = Skin(rectangle(300, 200, 20.0), 44.0, front, back)
    body = replace(layout.body, skin=skin, voids=())
    return replace(layout, pieces=(body,))


@pytest.mark.parametrize("face", SIDES)
def test_a_bit_follows_a_stretch_with_the_wood_at_its_left(face, tmp_path):
    stretch = Stretch(Roundover(6.0), (100.0, -100.0), (150.0, 60.0))
    layout = edged(stretch) if face == "front" else edged(Square(), stretch)
    sheet = cam_sheet(layout, layout.body, Face(face))
    path = cam.write(sheet, tmp_path / "edge.dxf")
    cam.verify(path, sheet)
    (line,) = (e for e in ezdxf.readfile(path).modelspace() if "_EDGE_" in e.dxf.layer)
    assert line.dxf.layer == f"{face}_EDGE_D0600_DIA950".upper() and not line.closed
    said = dict(data(line))
    assert (said["tool"], said["size"], said["bearing"]) == ("roundover", 6.0, 9.5)
    points = np.array(line.get_points("xy"))
    # Wood at the left: the outline is followed counter-clockwise as the face is seen.
    (ax, ay), (bx, by) = points[:-1].T, points[1:].T
    assert (ax * by - ay * bx > 0.0).all()
    flip = -1.0 if face == "back" else 1.0
    ends = {tuple(np.round(p * (1, flip), 6)) for p in (points[0], points[-1])}
    assert ends == {(100.0, -100.0), (150.0, 60.0)}


SPOILS = {
    "a contour moved": lambda e: e.translate(0.5, 0, 0),
    "a contour on another layer": lambda e: e.dxf.set("layer", "DATUM"),
    "another start": lambda e: e.set_xdata(
        "BODYCAD",
        [
            (t.code, 9.0 if t.code == 1040 else t.value)
            for t in e.get_xdata("BODYCAD")
            if t.code != 1001
        ],
    ),
    "nothing said": lambda e: e.discard_xdata("BODYCAD"),
}


@pytest.mark.parametrize("spoil", SPOILS)
def test_a_spoilt_drawing_is_refused(layout, folder, spoil, tmp_path):
    sheet = cam_sheet(layout, layout.body, Face.FRONT)
    doc = ezdxf.readfile(folder / "sample-front-cam.dxf")
    entity = next(e for e in doc.modelspace() if "POCKET" in e.dxf.layer)
    SPOILS[spoil](entity)
    doc.saveas(tmp_path / "spoilt.dxf")
    with pytest.raises(FileError):
        cam.verify(tmp_path / "spoilt.dxf", sheet)


# Grids.


def grid(layout, face):
    found = shaped(layout, layout.body, Face(face))
    return found, heights.grid_of(layout, layout.body, found)


def exact(layout, face, points):
    """Depths at places as the face is seen, from the skin's own height, contours alone."""
    plan = points * (1.0, -1.0 if face == "back" else 1.0)
    skin = layout.skin
    return skin.fall(face, plan), skin.inset(plan)


@pytest.mark.parametrize("face", SIDES)
def test_a_png_is_read_by_its_own_words(layout, folder, face):
    with Image.open(folder / f"sample-{face}-heights.png") as image:
        said, table = dict(image.text), np.array(image, float) / 100.0
        assert image.mode == "I;16"
    x, y, pitch = (float(said[k]) for k in ("x", "y", "pixel"))
    assert said["value"] == "hundredths of a mm under the plain face" and said["face"] == face
    rows, columns = np.indices(table.shape)
    spots = np.column_stack([(x + pitch * columns).ravel(), (y - pitch * rows).ravel()])[::7]
    due, inset = exact(layout, face, spots)
    inside = inset > 0
    assert inside.sum() > 1000 and due[inside].max() > 1.0
    assert np.abs(due - table.ravel()[::7])[inside].max() <= 0.005 + 1e-9


@pytest.mark.parametrize("face", SIDES)
def test_a_tiff_is_read_by_its_tags(layout, folder, face):
    """Tag by tag from the bytes (TIFF 6.0, OGC GeoTIFF 1.1), heights as 32-bit numbers."""
    raw = (folder / f"sample-{face}-heights.tif").read_bytes()
    assert raw[:4] == b"II*\0"
    (at,) = struct.unpack_from("<I", raw, 4)
    (count,) = struct.unpack_from("<H", raw, at)
    tags = {}
    for k in range(count):
        tag, kind, n, value = struct.unpack_from("<HHII", raw, at + 2 + 12 * k)
        form = {2: "s", 3: "H", 4: "I", 12: "d"}.get(kind)
        if form in ("H", "d", "I"):
            size = struct.calcsize(f"<{n}{form}")
            place = value if size > 4 else at + 2 + 12 * k + 8
            tags[tag] = struct.unpack_from(f"<{n}{form}", raw, place)
    scale, tie = tags[33550], tags[33922]
    assert scale[0] == scale[1] == layout.shop.grid and tie[:3] == (0.0, 0.0, 0.0)
    assert tags[34735][:4] == (1, 1, 0, 2) and tags[339] == (3,) and tags[258] == (32,)
    with Image.open(folder / f"sample-{face}-heights.tif") as image:
        table = -np.array(image, float)
    rows, columns = np.indices(table.shape)
    x, y = tie[3] + scale[0] * columns.ravel(), tie[4] - scale[1] * rows.ravel()
    due, inset = exact(layout, face, np.column_stack([x, y])[::7])
    assert np.abs(due - table.ravel()[::7])[inset > 0].max() < 1e-4


@pytest.mark.parametrize("face", SIDES)
def test_an_stl_is_read_by_a_mesh_library(layout, folder, face):
    trimesh = pytest.importorskip("trimesh")
    mesh = trimesh.load_mesh(folder / f"sample-{face}-heights.stl", process=False)
    assert (mesh.face_normals[:, 2] > 0).all() and len(mesh.faces) <= heights.MOST_TRIANGLES
    due, inset = exact(layout, face, mesh.vertices[::5, :2])
    assert np.abs(due + mesh.vertices[::5, 2])[inset > 0].max() < 1e-3


def test_what_it_may_be_off_between_its_places(layout):
    """The stated figure holds at random places, by straight lines between the places."""
    layout = armed()
    found, _ = grid(layout, "front")
    xs, ys = found.places
    spots = np.random.default_rng(5).uniform((xs[5], ys[5]), (xs[-6], ys[-6]), (20000, 2))
    spots = spots[layout.skin.inset(spots) > 2.0 * found.pitch]
    u, v = (spots[:, 0] - xs[0]) / found.pitch, (spots[:, 1] - ys[0]) / found.pitch
    i, j = u.astype(int), v.astype(int)
    a, b = u - i, v - j
    d = found.depth
    line = (1 - b) * ((1 - a) * d[j, i] + a * d[j, i + 1]) + b * (
        (1 - a) * d[j + 1, i] + a * d[j + 1, i + 1]
    )
    off = np.abs(line - layout.skin.fall("front", spots)).max()
    assert 0.01 < off <= 1.5 * found.off + 1e-6
    assert found.off < 0.1


def armed(**shop):
    """A plain board with the forearm's contour."""
    layout = edged(Square())
    arm = fall_away("contour.arm", "front", 44.0, (-60.0, 60.0), 118.0, run=60.0, drop=15.0)
    body = replace(layout.body, skin=replace(layout.skin, contours=(arm,)))
    return replace(layout, pieces=(body,), shop=replace(layout.shop, **shop))


def test_finer_places_are_nearer():
    assert grid(armed(grid=2.0), "front")[0].off > grid(armed(), "front")[0].off


def test_only_shaped_faces_get_a_grid():
    plain = edged(Chamfer(2.0), Roundover(5.0))
    assert not any(is_shaped(plain, plain.body, face) for face in SIDES)
    assert not [n for n in programs.names(plain) if "heights" in n]
    rim = edged(Rim(((8.0, 0.0), (4.0, 1.0), (0.0, 4.0))))
    found, _ = grid(rim, "front")
    inset = np.array([[150.0 - s, 0.0] for s in (0.5, 2.0, 6.0, 9.0)])
    at = depths(rim.skin, Face.FRONT, inset, (rim.skin.edge("front"),))
    assert at == pytest.approx(rim.skin.edge("front").loss(np.array([0.5, 2.0, 6.0, 9.0])))
    xs, ys = found.places
    row = found.depth[int(np.argmin(np.abs(ys))), int(np.argmin(np.abs(xs - 148.0)))]
    assert row == pytest.approx(float(rim.skin.edge("front").loss(np.array([2.0]))[0]), abs=1e-9)


def test_the_tool_of_a_grid(layout):
    """The ball nose; its passes leave ridges of RIDGE at most, s^2 / (8 R) (a chord's rise)."""
    said = dict(grid(layout, "front")[1].about)
    ball, step = follower(layout.shop)
    assert said["tool"] == "ball" and float(said["diameter"]) == ball.diameter
    assert step**2 / (4.0 * ball.diameter) <= RIDGE and float(said["stepover"]) == step


@pytest.mark.parametrize("zero", ZEROS)
@pytest.mark.parametrize("face", SIDES)
@pytest.mark.parametrize("hand", ["right", "left"])
def test_grids_lie_where_they_say(layout, left, zero, face, hand, tmp_path):
    """Read back and held against the layout for every zero, face and hand."""
    own = zeroed(layout if hand == "right" else left, zero)
    coarse = replace(own, shop=replace(own.shop, grid=2.0))
    made = grid(coarse, face)[1]
    stem = tmp_path / "grid"
    for write, end in (
        (heights.write_png, "png"),
        (heights.write_tiff, "tif"),
        (heights.write_stl, "stl"),
    ):
        write(made, stem.with_name(f"grid.{end}"))
    heights.verify(coarse, coarse.body, Face(face), stem)
    shifted = replace(made, x=made.x + 5.0)
    for write, end in (
        (heights.write_png, "png"),
        (heights.write_tiff, "tif"),
        (heights.write_stl, "stl"),
    ):
        path = stem.with_name(f"grid.{end}")
        good = path.read_bytes()
        if end == "png":
            about = tuple((k, f"{shifted.x:g}" if k == "x" else v) for k, v in made.about)
            write(replace(made, about=about), path)
        else:
            write(shifted, path)
        with pytest.raises(FileError):
            heights.verify(coarse, coarse.body, Face(face), stem)
        path.write_bytes(good)


def test_tabs_are_drawn_to_their_depth(layout, folder):
    found = contours(folder / "sample-back-cam.dxf")
    layers = [name for name in found if "_TAB_" in name]
    assert sum(len(found[name]) for name in layers) == len(tabs(layout)) > 1
    for tab in tabs(layout):
        assert any(f"_D{round(tab.depth * 100):04d}_" in name for name in layers)


def test_equal_input_gives_equal_bytes(layout, folder, tmp_path):
    again = sample.design().layout()
    programs.write_drawings(again, tmp_path)
    programs.write_grids(again, tmp_path)
    for name in programs.names(layout):
        assert (folder / name).read_bytes() == (tmp_path / name).read_bytes(), name


def test_the_cross_says_what_is_made_beside_the_program(layout, tmp_path):
    """Bores at an angle and from the edge, floors at an angle with their wedge, shaped faces,
    ledges under a contour, edges without a bit."""
    tilted = Prism(rectangle(60, 40, 8.0), -20.0, 0.0, slope=(math.tan(math.radians(2.0)), 0.0))
    void = Void("p.tilted", "p", "front", "POCKET", tilted, frozenset({"front"}))
    body = replace(layout.body, voids=(*layout.voids, void))
    more = replace(layout, pieces=(body,))
    sheet = cam_sheet(more, body, Face.FRONT)
    path = cam.write(sheet, tmp_path / "front.dxf")
    cam.verify(path, sheet)
    space = ezdxf.readfile(path).modelspace()
    cross = next(e for e in space if e.dxf.layer == "DATUM" and e.dxftype() != "CIRCLE")
    said = [value for key, value in data(cross) if key == "beside"]
    (wedge,) = (text for text in said if text.startswith("p.tilted"))
    assert "wedge of 2.00 deg" in wedge and "down to 21.05" in wedge
    assert any(text.startswith("contour.forearm: shaped") for text in said)
    assert any(text.startswith("body.ledge: follows contour.forearm") for text in said)
    slanted = [v for v in layout.voids if v.shape.hole and not v.shape.hole.upright]
    for one in slanted:
        if one.face in ("front", "edge"):
            assert any(text.startswith(f"{one.id}: drilled") for text in said)
    rim = edged(Rim(((8.0, 0.0), (4.0, 1.0), (0.0, 4.0))))
    assert [one.id for one in aside(rim, rim.body, Face.FRONT)] == ["body.front.edge"]


def test_what_no_cutter_reaches_is_drawn_for_people(layout):
    """On the annotated twin: its contour, its size and its depths."""
    square = Void("p.square", "p", "front", "POCKET", from_front(rectangle(40, 30), 9.0))
    body = replace(layout.body, voids=(square,))
    info = face_info(replace(layout, pieces=(body,)), body, cut_sheet(body, "front"))
    notes = [note for note in info.notes if "stay beside the cutter" in " ".join(note.lines)]
    assert len(notes) == 4
    assert notes[0].lines[0] == "p.square: 1.32 mm stay beside the cutter,"
    assert "0.00 to 9.00 deep" in notes[0].lines[1]


def test_joined_cuts_keep_the_passes_of_the_one_that_begins_highest(layout):
    """0 to 8 by a cutter of 8 mm pass; the other lies open down to 6 already."""
    deep, high = (
        cam_sheets.CamItem((("id", name), ("start", start), ("depth", 8.0), *ends), Region(plan))
        for name, start, plan, ends in (
            ("a", 6.0, rectangle(40, 20), (("pass", 8.0),)),
            ("b", 0.0, rectangle(20, 40), (("pass", 4.0), ("pass", 8.0))),
        )
    )
    (made,) = cam_sheets._merged([deep, high])
    assert [v for k, v in made.data if k == "id"] == ["a", "b"]
    assert [(k, v) for k, v in made.data if k in ("start", "pass")] == [
        ("start", 0.0),
        ("pass", 4.0),
        ("pass", 8.0),
    ]


def test_a_ledge_stays_out_of_the_grid_beside_an_edge_without_a_bit():
    """A ledge has an upright wall; on the stretch a rim is shaped, 1 mm deep 4 mm in."""
    rim = Rim(((8.0, 0.0), (4.0, 1.0), (0.0, 4.0)))
    ledge = Stretch(Ledge((1.5,), 6.0), (100.0, 100.0), (-100.0, 100.0))
    layout = edged((Stretch(rim, (150.0, -60.0), (150.0, 60.0)), ledge))
    found = depths(layout.skin, Face.FRONT, np.array([[146.0, 0.0], [0.0, 99.5]]), (rim,))
    assert found == pytest.approx([1.0, 0.0])
    whole, _ = grid(layout, "front")
    xs, ys = whole.places
    column = whole.depth[:, int(np.argmin(np.abs(xs)))]
    assert not column[np.abs(ys) < 99.9].any()


def test_a_mesh_says_how_far_it_is_off_at_the_places_that_it_leaves_out(monkeypatch, tmp_path):
    """A hat of 1 mm at one place in an odd row: every second place knows nothing of it."""
    depth = np.zeros((21, 21))
    depth[10, 10], depth[11, 5] = 0.5, 1.0
    middle = np.zeros((20, 20))
    monkeypatch.setattr(heights, "step_of", lambda _: 2)
    assert heights.mesh_off(depth, middle) == pytest.approx(1.0)
    monkeypatch.setattr(heights, "step_of", lambda _: 1)
    # Half way down a triangle's long side between 1 and 0, where the middle is 0.
    assert heights.mesh_off(depth, middle) == pytest.approx(0.5)
    monkeypatch.undo()
    monkeypatch.setattr(heights, "MOST_TRIANGLES", 4000)
    found, made = grid(armed(), "front")
    assert made.mesh > 2.0 * found.off and f"within about {made.mesh:.2f}" in made.said
    heights.write_stl(made, tmp_path / "a.stl")
    head = (tmp_path / "a.stl").read_bytes()[:80].decode()
    assert f"within about {made.mesh:.2f}" in head


def test_a_pointed_drill_for_a_flat_end_is_said():
    seat = Void("p.seat", "p", "front", "BORE", bore((40, 30, 0), (0, 0, -1), 6.0, 12.0))
    shop = replace(edged(Square()).shop, cutters=(Cutter(12.7, 51.0),), drills=(Drill(6.0, 90.0),))
    layout = replace(edged(Square()), shop=shop)
    layout = layout.with_body(voids=(seat,))
    (said,) = (one.words for one in aside(layout, layout.body, Face.FRONT) if one.id == "p.seat")
    point = 3.0 / math.tan(math.radians(59.0))
    assert "flat end" in said and f"{point:.1f} mm deeper" in said
    flat = replace(layout, shop=replace(shop, drills=(Drill(6.0, 90.0, 180.0),)))
    assert not [one for one in aside(flat, flat.body, Face.FRONT) if one.id == "p.seat"]


def test_the_waste_before_a_mouth_is_said_to_be_in_no_program():
    layout = layout_of("teasel")
    (words,) = (
        one.words for one in aside(layout, layout.body, Face.FRONT) if one.id == "neck.pocket"
    )
    assert "clear the waste before its mouth" in words and "not in this program" in words


def test_a_tilted_prism_from_the_back_has_a_level_floor():
    """Its top is level: 20 mm deep everywhere, and nothing to put on a wedge."""
    prism = Prism(rectangle(60, 40, 8.0), -46.0, -24.0, slope=(0.02, 0.0))
    void = Void("p.p", "p", "back", "POCKET", prism, frozenset({"back"}))
    layout = edged(Square()).with_body(voids=(void,))
    (cut,) = (one for one in cuts(layout) if one.ids == ("p.p",) and not one.rest)
    assert cut.depth == pytest.approx(20.0)
    assert not [one for one in aside(layout, layout.body, Face.BACK) if one.id == "p.p"]
    assert not any("wedge" in note for t in templates(layout) for note in t.notes)


@pytest.mark.parametrize("name", ("bistort", "tansy", "vetch"))
def test_programs_of_the_other_hand_have_no_segment_without_length(name, tmp_path):
    """Tansy's cavity, mirrored, left one of 1e-7 mm where three lines of its clearing meet: its
    checks passed, and its program was refused."""
    write_programs(layout_of(name).mirrored(), tmp_path)
    for path in tmp_path.glob("*-cam.dxf"):
        for contour in ezdxf.readfile(path).modelspace().query("LWPOLYLINE"):
            rows = np.array(contour.get_points("xy"))
            assert np.hypot(*np.diff(rows, axis=0).T).min() > 1e-6, (path.name, contour.dxf.layer)
