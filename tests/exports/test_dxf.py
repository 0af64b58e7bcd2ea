"""The DXF files as another reader sees them: GDAL through pyogrio, and the raw group codes."""

import logging
import math
import os
import re
import subprocess
import sys
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import ezdxf
import numpy as np
import pyogrio
import pytest
import shapely
from pyogrio.raw import read as gdal_read

from bodycad.errors import InputError
from bodycad.exports.dxf.annotate import annotated_document, write_annotated
from bodycad.exports.dxf.document import document, write
from bodycad.exports.dxf.lint import verify
from bodycad.exports.sheet import cut_sheet
from bodycad.geometry.plane.build import rectangle, slot
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.solids.bore import bore
from bodycad.layout.contours import scoop
from bodycad.layout.void import Void
from bodycad.making.order import cut_order
from bodycad.script import load_design
from tests import sample
from tests.exports.bodies import crowded, layout_of, pocket

FACES = ("front", "back")
CUTTER = 6.35
"""The smallest of a shop's cutters as shipped, mm."""


@pytest.fixture(scope="module", autouse=True)
def fine_arcs():
    """GDAL's own 4 degree chords are 1.35e-4 short in area (measured)."""
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.1"})
    yield
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": None})


def by_gdal(path):
    """(layer, closed line) of every entity as GDAL reads the file."""
    meta, _, geometry, fields = gdal_read(path)
    layers = fields[list(meta["fields"]).index("Layer")]
    return list(zip(layers, shapely.from_wkb(geometry), strict=True))


def contours(found):
    """(layer, what lies inside, whether it runs counter-clockwise) of every entity; round bores are
    CIRCLEs, which GDAL walks either way."""
    return [(n, shapely.Polygon(x), n == "DATUM" or "_DIA" in n or ccw(x)) for n, x in found]


def ccw(line):
    return bool(shapely.LinearRing(line).is_ccw)


def codes(path):
    """The file as (group code, value) pairs, by the file format's own rule: two lines each."""
    lines = path.read_text("cp1252").splitlines()
    return [(int(code), value.strip()) for code, value in zip(lines[::2], lines[1::2], strict=True)]


def header(path, name):
    """The values that follow a header variable."""
    pairs = codes(path)
    at = pairs.index((9, name)) + 1
    end = next(k for k in range(at, len(pairs)) if pairs[k][0] in (9, 0))
    return [value for _, value in pairs[at:end]]


@pytest.fixture(params=["R2000", "R12"])
def version(request):
    return request.param


@pytest.fixture(params=FACES)
def face(request):
    return request.param


def test_gdal_finds_every_entity_closed_on_the_layers_of_the_sheet(tmp_path, face, version):
    layout = sample.design().layout()
    found = by_gdal(write(layout.body, face, tmp_path / "a.dxf", version))
    assert all(line.geom_type == "LineString" and line.is_closed for _, line in found)
    assert {name for name, _ in found} == {
        layer.name for layer in cut_sheet(layout.body, face).layers
    }
    items = [item for layer in cut_sheet(layout.body, face).layers for item in layer.items]
    assert len(found) == sum(1 + len(item.region.holes) for item in items)


def test_gdal_measures_the_areas_of_the_sheet(tmp_path, face, version):
    """Within 0.01 %, layer by layer; holes, which run clockwise, count against their layer."""
    layout = crowded().layout()
    found = contours(by_gdal(write(layout.body, face, tmp_path / "a.dxf", version)))
    for layer in cut_sheet(layout.body, face).layers:
        area = sum(p.area if left else -p.area for name, p, left in found if name == layer.name)
        assert area == pytest.approx(layer.area, rel=1e-4), layer.name


def test_gdal_sees_no_overlap_within_a_layer(tmp_path, face):
    found = contours(by_gdal(write(crowded().layout().body, face, tmp_path / "a.dxf")))
    outer = [(name, plan) for name, plan, left in found if left]
    for (one, a), (two, b) in combinations(outer, 2):
        if one == two and one != "DATUM":
            assert a.intersection(b).area < 1e-6, one


def test_gdal_reads_the_demo_clean(tmp_path, face):
    """Closed, on the layers of the sheet, areas within 0.01 % and no overlap within a layer."""
    layout = load_design(Path(__file__).resolve().parents[2] / "designs" / "teasel.py").layout()
    found = by_gdal(write(layout.body, face, tmp_path / "a.dxf"))
    assert all(line.is_closed for _, line in found)
    for layer in cut_sheet(layout.body, face).layers:
        rows = [(p, left) for name, p, left in contours(found) if name == layer.name]
        area = sum(p.area if left else -p.area for p, left in rows)
        assert area == pytest.approx(layer.area, rel=1e-4), layer.name
        plans = [p for p, left in rows if left]
        if layer.name != "DATUM":
            assert all(a.intersection(b).area < 1e-6 for a, b in combinations(plans, 2)), layer.name


def test_extents_and_limits_in_the_header(tmp_path, face, version):
    path = write(sample.design().layout().body, face, tmp_path / "a.dxf", version)
    box = shapely.GeometryCollection([line for _, line in by_gdal(path)]).bounds
    low, high = (list(map(float, header(path, name)))[:2] for name in ("$EXTMIN", "$EXTMAX"))
    assert (*low, *high) == pytest.approx(box, abs=0.01)
    limits = [float(v) for name in ("$LIMMIN", "$LIMMAX") for v in header(path, name)[:2]]
    assert limits == [-215.0, -165.0, 215.0, 165.0]


def test_the_header_names_millimetres_and_the_version(tmp_path):
    """$INSUNITS 4 = mm, $MEASUREMENT 1 = metric, AC1015 = 2000 (DXF
    reference, HEADER section)."""
    path = write(sample.design().layout().body, "front", tmp_path / "a.dxf")
    assert [header(path, name) for name in ("$INSUNITS", "$MEASUREMENT", "$ACADVER")] == [
        ["4"],
        ["1"],
        ["AC1015"],
    ]


def test_r12_is_r12_and_says_nothing_on_the_way(tmp_path, caplog):
    """AC1009 = R11/12 has no LWPOLYLINE and no $INSUNITS (DXF reference;
    ezdxf manual)."""
    with caplog.at_level(logging.WARNING):
        path = write(sample.design().layout().body, "front", tmp_path / "a.dxf", "R12")
    pairs = codes(path)
    assert header(path, "$ACADVER") == ["AC1009"] and (9, "$INSUNITS") not in pairs
    assert (0, "POLYLINE") in pairs and (0, "LWPOLYLINE") not in pairs
    assert not caplog.records and logging.getLogger("ezdxf").level == logging.NOTSET


def test_only_polylines_and_circles_flat_and_facing_up(tmp_path, face):
    pairs = codes(write(crowded().layout().body, face, tmp_path / "a.dxf"))
    start = pairs.index((2, "ENTITIES"))
    body = pairs[start + 1 : pairs.index((0, "ENDSEC"), start)]
    assert {value for code, value in body if code == 0} == {"LWPOLYLINE", "CIRCLE"}
    # 30 Z of a centre, 38 elevation, 39 thickness, 210-230 extrusion (DXF reference,
    # LWPOLYLINE and CIRCLE).
    assert {float(v) for code, v in body if code in (30, 38, 39, 210, 220)} <= {0.0}
    assert all(float(v) == 1.0 for code, v in body if code == 230)


def test_outer_contours_turn_left_and_holes_right(tmp_path):
    ring = [rectangle(80, 10, 0, 0, y) for y in (-35, 35)] + [
        rectangle(10, 80, 0, x) for x in (-35, 35)
    ]
    path = write(
        layout_of(*(pocket(f"r{k}", s) for k, s in enumerate(ring))).body,
        "front",
        tmp_path / "a.dxf",
    )
    turns = {
        round(shapely.Polygon(line).area): shapely.LinearRing(line).is_ccw
        for name, line in by_gdal(path)
        if name == "FRONT_POCKET_D1000"
    }
    assert turns == {6400: True, 3600: False}


def test_a_round_island_is_a_clockwise_polyline(tmp_path):
    """Two half rings of radii 30 and 20 make a ring; a CIRCLE could not say that its inside
    stays."""
    half = profile([(30.0, 0.0, 1.0), (-30.0, 0.0), (-20.0, 0.0, -1.0), (20.0, 0.0)])
    layout = layout_of(pocket("upper", half), pocket("lower", half.moved(turn_deg=180.0)))
    path = write(layout.body, "front", tmp_path / "a.dxf")
    inner = [
        line for name, line in by_gdal(path) if name == "FRONT_POCKET_D1000" and line.length < 150.0
    ]
    assert [shapely.LinearRing(line).is_ccw for line in inner] == [False]
    assert inner[0].length == pytest.approx(2.0 * math.pi * 20.0, rel=1e-5)
    assert verify(path, layout.body, "front", CUTTER) == ()


def test_cut_ids_and_depth_as_extended_data(tmp_path):
    pairs = codes(write(sample.design().layout().body, "front", tmp_path / "a.dxf"))
    at = pairs.index((1000, "a.route"))
    assert pairs[at - 1 : at + 2] == [(1001, "BODYCAD"), (1000, "a.route"), (1040, "19.0")]
    assert sum(code == 1000 for code, _ in pairs) == 7


@pytest.mark.parametrize(
    "angle, bulge", [(30, 0.131652), (60, 0.267949), (90, 0.414214), (120, 0.577350), (180, 1.0)]
)
def test_bulges_in_the_file(tmp_path, angle, bulge):
    """tan(angle/4) (DXF reference, VERTEX); a segment of that arc over its chord."""
    half = math.radians(angle / 2.0)
    cap = profile(
        [
            (20 * math.cos(half), 20 * math.sin(half)),
            (20 * math.cos(half), -20 * math.sin(half), math.tan(half / 2.0)),
        ]
    )
    pairs = codes(write(layout_of(pocket("cap", cap)).body, "front", tmp_path / "a.dxf"))
    at = pairs.index((8, "FRONT_POCKET_D1000"))
    end = pairs.index((1001, "BODYCAD"), at)
    assert [float(v) for code, v in pairs[at:end] if code == 42] == pytest.approx([bulge], abs=1e-6)


def test_a_quarter_arc_lies_about_its_centre(tmp_path):
    """(0, 100) to (10, 110) with +90 degrees has centre (0, 110) and radius 10 (worked by hand)."""
    shape = profile([(0.0, 100.0, math.tan(math.radians(90.0) / 4.0)), (10.0, 110.0), (0.0, 110.0)])
    path = write(layout_of(pocket("quarter", shape)).body, "front", tmp_path / "a.dxf")
    (line,) = [line for name, line in by_gdal(path) if name == "FRONT_POCKET_D1000"]
    points = [p for p in line.coords if math.dist(p[:2], (0.0, 110.0)) > 1e-6]
    assert len(points) > 500
    assert [math.dist(p[:2], (0.0, 110.0)) for p in points] == pytest.approx(
        [10.0] * len(points), abs=1e-6
    )


def test_a_stadium_worked_by_hand(tmp_path):
    """Vertices (0,-6.35) (50,-6.35,1) (50,6.35) (0,6.35,1); area 761.6768698, perimeter 139.8982267
    (worked by hand: 50 x 12.7 and a circle of radius 6.35)."""
    path = write(
        layout_of(pocket("slot", slot(62.7, 12.7, 25.0))).body, "front", tmp_path / "a.dxf"
    )
    (line,) = [line for name, line in by_gdal(path) if name == "FRONT_POCKET_D1000"]
    assert shapely.Polygon(line).area == pytest.approx(761.6768698, rel=1e-6)
    assert line.length == pytest.approx(139.8982267, rel=1e-6)
    (entity,) = ezdxf.readfile(path).modelspace().query('LWPOLYLINE[layer=="FRONT_POCKET_D1000"]')
    assert np.array(entity.get_points("xyb")) == pytest.approx(
        np.array([(0, -6.35, 0), (50, -6.35, 1), (50, 6.35, 0), (0, 6.35, 1)]), abs=1e-12
    )


def test_the_back_is_mirrored_about_the_centreline(tmp_path):
    """The recess stands at (-60, -60) in the body and at (-60, 60) on the back's drawing."""
    found = dict(by_gdal(write(sample.design().layout().body, "back", tmp_path / "a.dxf")))
    middle = shapely.Polygon(found["BACK_RECESS_D0300"]).centroid
    assert (middle.x, middle.y) == pytest.approx((-60.0, 60.0), abs=1e-6)


def test_both_faces_share_datum_and_pins(tmp_path):
    """Turned over about the centreline, the back's marks fall on the front's."""
    marks = []
    for face, flip in (("front", 1.0), ("back", -1.0)):
        found = by_gdal(write(sample.design().layout().body, face, tmp_path / f"{face}.dxf"))
        datum = shapely.union_all(
            [shapely.Polygon(shapely.force_2d(line)) for name, line in found if name == "DATUM"]
        )
        marks.append(shapely.transform(datum, lambda points, flip=flip: points * [1.0, flip]))
    assert marks[0].symmetric_difference(marks[1]).area < 1e-6 * marks[0].area


@pytest.mark.parametrize("writer", [write, write_annotated])
def test_equal_input_gives_equal_bytes(tmp_path, writer):
    layout = sample.design().layout()
    subject = layout.body if writer is write else layout
    first = writer(subject, "front", tmp_path / "a.dxf").read_bytes()
    assert writer(subject, "front", tmp_path / "b.dxf").read_bytes() == first
    assert not ezdxf.options.write_fixed_meta_data_for_testing


def test_equal_bytes_from_another_process_with_another_hash_seed(tmp_path):
    script = (
        "import sys; from tests import sample; from bodycad.exports.dxf.document import write; "
        "write(sample.design().layout().body, 'back', sys.argv[1])"
    )
    runs = []
    for seed in ("1", "2"):
        path, env = tmp_path / f"{seed}.dxf", {**os.environ, "PYTHONHASHSEED": seed}
        subprocess.run([sys.executable, "-c", script, str(path)], check=True, env=env)
        runs.append(path.read_bytes())
    assert runs[0] == runs[1]


def test_the_sheet_loads_neither_ezdxf_nor_the_kernel():
    script = (
        "import sys, bodycad.exports.sheet; "
        "print({'ezdxf', 'cadquery', 'shapely'} & set(sys.modules))"
    )
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert run.stdout == "set()\n"


@pytest.mark.parametrize("faces, version", [("edge", "R2000"), ("front", "R2018")])
def test_another_face_or_version_is_an_input_error(faces, version):
    with pytest.raises(InputError):
        document(sample.design().layout().body, faces, version)


@pytest.mark.parametrize("hand", [False, True])
def test_written_files_pass_their_own_lint_and_comparison(tmp_path, face, version, hand):
    layout = replace(crowded(), left_handed=hand).layout()
    faults = verify(
        write(layout.body, face, tmp_path / "a.dxf", version), layout.body, face, CUTTER
    )
    assert [f.text.split(":")[0] for f in faults] == (["unit"] if version == "R12" else [])


# The annotated twin


def texts_of(path):
    return [e for e in ezdxf.readfile(path).modelspace() if e.dxftype() == "TEXT"]


def boxes_of(texts):
    """Boxes of texts by ezdxf's own font measuring, turned texts included."""
    from ezdxf import bbox

    found = [bbox.extents([text]) for text in texts]
    return [shapely.box(b.extmin.x, b.extmin.y, b.extmax.x, b.extmax.y) for b in found]


@pytest.mark.parametrize("design", [sample.design, crowded])
def test_the_twin_holds_the_cuts_unchanged_and_one_more_layer(tmp_path, face, design):
    layout = design().layout()
    bare = by_gdal(write(layout.body, face, tmp_path / "a.dxf"))
    twin = by_gdal(write_annotated(layout, face, tmp_path / "b.dxf"))
    kept = [(name, line.wkb) for name, line in twin if name != "INFO"]
    assert kept == [(name, line.wkb) for name, line in bare]
    assert {name for name, _ in twin} == {name for name, _ in bare} | {"INFO"}
    assert verify(tmp_path / "b.dxf", layout.body, face, CUTTER, annotated=True) == ()


def test_the_twin_says_every_cut_and_what_the_bare_file_leaves_out(tmp_path, face):
    layout = crowded().layout()
    said = "\n".join(
        text.dxf.text for text in texts_of(write_annotated(layout, face, tmp_path / "a.dxf"))
    )
    here = [v for v in layout.voids if v.face in (face, "edge")]
    assert [v.id for v in here if v.id not in said] == []
    assert ("contour.forearm" in said) == (face == "front") and ("contour.belly" in said) == (
        face == "back"
    )
    assert ("roundover R6.00" in said) == (face == "back")
    assert "right-handed, revision 1, thickness 44.00, units millimetres" in said


def test_the_twin_lists_the_layers_in_the_cut_order(tmp_path):
    """By the steps' own numbers; holes in the floor of a cut come behind it, from their depth."""
    layout = load_design("designs/mallow.py").layout()
    said = [t.dxf.text for t in texts_of(write_annotated(layout, "front", tmp_path / "a.dxf"))]
    listed = [text for text in said if re.match(r"FRONT_\S+: \d", text)]
    steps = [int(re.search(r"steps? (\d+)", text)[1]) for text in listed]
    assert steps == sorted(steps) and len(steps) == len(set(steps))
    order = {step.number: step for step in cut_order(layout).steps}
    for text, number in zip(listed, steps):
        layer = next(one for one in cut_sheet(layout.body, "front").layers if one.name in text)
        own = {name for item in layer.items for name in item.ids}
        assert own & set(order[number].ids)
    (deep,) = (text for text in listed if text.startswith("FRONT_PILOT_D3100_DIA200"))
    assert "from 19.00 down" in deep and deep is not listed[0]


def test_the_twin_gives_the_numbers_of_a_bore_at_an_angle(tmp_path):
    """From (60, -20, -12) along (-100, -40, -8): atan2(-40, -100) = 201.80 degrees, dip atan(8 /
    107.70) = 4.25. It opens into the cavity: the point of a 118 degree drill, 3.175 / tan 59 =
    1.91, runs out beyond its full diameter."""
    said = [
        t.dxf.text
        for t in texts_of(write_annotated(sample.design().layout(), "front", tmp_path / "a.dxf"))
    ]
    assert "wire: drilled at an angle, dia 6.35, depth 100.00 through, tip 101.91 (118 deg)" in said
    assert "starts in a cut 12.00 below the front, heads 201.8 deg, 4.2 deg toward the back" in said


def test_the_twin_gives_depths_from_where_a_drill_enters(tmp_path):
    """A hole 31 long that starts 11 mm out of the side at x = -200 goes 20 deep; one that starts 2
    over the front and falls 3 in 5 enters after 2 x 5/3 and goes 40 - 3.33 deep."""
    layout = layout_of(
        Void(
            "jack",
            "p",
            "edge",
            "BORE",
            bore((-211, 0, -22), (1, 0, 0), 22.0, 31.0),
            frozenset({"edge"}),
        ),
        Void(
            "way",
            "p",
            "front",
            "CHANNEL",
            bore((0, 20, 2), (4, 0, -3), 5.0, 40.0),
            frozenset({"front"}),
        ),
    )
    said = [t.dxf.text for t in texts_of(write_annotated(layout, "front", tmp_path / "a.dxf"))]
    assert (
        "jack: from the edge, dia 22.00, depth 20.00, flat floor" in said
        and "enters 22.00 below the front, heads 0.0 deg, level" in said
    )
    assert "way: drilled at an angle, dia 5.00, depth 36.67, flat floor" in said


def test_texts_are_legible(tmp_path, face):
    """At least 2 mm high, clear of each other and of every line of the drawing."""
    path = write_annotated(crowded().layout(), face, tmp_path / "a.dxf")
    texts = texts_of(path)
    boxes = boxes_of(texts)
    assert min(t.dxf.height for t in texts) >= 2.0
    assert [
        (a.dxf.text, b.dxf.text)
        for (a, p), (b, q) in combinations(zip(texts, boxes), 2)
        if p.intersects(q)
    ] == []
    lines = [line for name, line in by_gdal(path) if line.geom_type == "LineString"]
    tree = shapely.STRtree(lines)
    assert [
        t.dxf.text for t, box in zip(texts, boxes) if len(tree.query(box, predicate="intersects"))
    ] == []


def test_a_tilted_contour_is_in_the_twin_with_the_depth_it_has_in_the_wood():
    """A scoop that deepens at 12 degrees from y = 62 to the edge at y = 100 is 38 tan 12 deg = 8.08
    mm deep there."""
    layout = sample.design(contours=False).layout()
    belly = scoop(
        "contour.belly", "back", layout.thickness, (0.0, 112.0), 90.0, radius=160.0, slope_deg=12.0
    )
    layout = layout.with_body(skin=replace(layout.skin, contours=(belly,)))
    said = [e.dxf.text for e in annotated_document(layout, "back").modelspace().query("TEXT")]
    at = said.index("contour.belly: shaped surface,")
    assert float(said[at + 1].split()[2]) == pytest.approx(
        38.0 * math.tan(math.radians(12.0)), abs=0.1
    )
