"""Outlines whose area and length are known in closed form, in files that other libraries wrote:
ezdxf, trimesh, GDAL, fontTools, the csv module, or SVG text by hand.

Stadium: pi r^2 + 2 r l, 2 pi r + 2 l. Rounded rectangle: w h - (4 - pi) r^2, 2 (w + h) - (8 - 2 pi)
r. Hull of two circles: with b = acos((r1 - r2) / d) and t = sqrt(d^2 - (r1 - r2)^2), t (r1 + r2) +
(pi - b) r1^2 + b r2^2 and 2 t + 2 (pi - b) r1 + 2 b r2 (plane geometry; computed). Ellipse: pi a b,
4 a E(e) (the complete elliptic integral, by scipy)."""

from __future__ import annotations

import csv
import math
import warnings

import numpy as np
import pytest
import shapely
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.recordingPen import RecordingPen
from fontTools.pens.svgPathPen import SVGPathPen
from scipy.special import ellipe
from trimesh.path import Path2D
from trimesh.path.entities import Arc, Line

from bodycad.imports.drawing import Drawing
from bodycad.imports.outline import read, taken
from tests.imports.drawn import STADIUM, dxf, stadium, svg

R, L = 6.35, 50.0
OF_STADIUM = math.pi * R * R + 2 * R * L, 2 * math.pi * R + 2 * L
OF_BOX = 85 * 40 - (4 - math.pi) * 9, 250 - (8 - 2 * math.pi) * 3
B, T = math.acos(18 / 80), math.sqrt(80**2 - 18**2)
OF_HULL = T * 42 + (math.pi - B) * 900 + B * 144, 2 * T + 60 * (math.pi - B) + 24 * B
OF_ELLIPSE = math.pi * 200, 80 * float(ellipe(1 - 0.25))


def outline(path, **given):
    """What a file gives, read in this process."""
    drawing = Drawing(path.name, body=False, **given)
    return taken(drawing, path, path.suffix)


def holds(path, form, **given):
    """Area and length are the closed form's: to the last digits where the drawing is of lines and
    arcs, else within what the tolerance can change."""
    found = outline(path, **given)
    exact = found.error < 1e-9
    area, length = form
    assert found.error <= given.get("tolerance", 0.01)
    assert found.profile.area == pytest.approx(area, abs=1e-6 if exact else found.error * length)
    # Convex curves no farther apart than e differ in length by at most 2 pi e (Cauchy's formula).
    most = 1e-6 if exact else math.tau * found.error
    assert found.profile.length == pytest.approx(length, abs=most)
    return found


def test_the_values_themselves():
    """As worked out by hand to ten digits."""
    assert pytest.approx((761.6768697744, 139.8982267006), rel=1e-12) == OF_STADIUM
    assert pytest.approx((3392.2743338823, 244.8495559215), rel=1e-12) == OF_BOX
    assert pytest.approx((5085.3257459, 296.0142429), rel=1e-9) == OF_HULL
    assert pytest.approx((628.3185307, 96.8844822), rel=1e-9) == OF_ELLIPSE


def test_lines_and_arcs(tmp_path):
    found = holds(dxf(tmp_path / "a.dxf", stadium), OF_STADIUM)
    assert found.error < 1e-9 and len(found.profile.vertices) == 4


@pytest.mark.parametrize("version", ["R12", "R2000"])
def test_polylines_with_bulges(version, tmp_path):
    rows = [(0, -R, 0), (L, -R, 1), (L, R, 0), (0, R, 1)]

    def draw(document, space):
        add = space.add_polyline2d if version == "R12" else space.add_lwpolyline
        add(rows, format="xyb", close=True)

    holds(dxf(tmp_path / "a.dxf", draw, version=version), OF_STADIUM)


def test_blocks_in_blocks(tmp_path):
    """Turned, mirrored, moved to another base point, scaled twice; placed in rows of one."""

    def draw(document, space):
        inner = document.blocks.new("inner", base_point=(3, 4))
        stadium(document, inner)
        outer = document.blocks.new("outer")
        turned = {"rotation": 35, "xscale": 0.5, "yscale": 0.5, "layer": "made"}
        outer.add_blockref("inner", (7, -2), dxfattribs=turned)
        space.add_blockref(
            "outer", (100, 9), dxfattribs={"xscale": -2, "yscale": 2, "rotation": 70}
        )

    path = dxf(tmp_path / "a.dxf", draw)
    found = holds(path, OF_STADIUM)
    assert len(found.profile.vertices) == 4
    # What a block draws on layer 0 is on the layer of its INSERT.
    assert holds(path, OF_STADIUM, layer="MADE").layers == ("made",)


def test_a_block_stretched_one_way_makes_ellipses(tmp_path):
    def draw(document, space):
        document.blocks.new("b").add_circle((5, 5), 10)
        space.add_blockref("b", (1, 1), dxfattribs={"xscale": 2, "rotation": 30})

    found = holds(dxf(tmp_path / "a.dxf", draw), OF_ELLIPSE)
    assert 0.001 < found.error <= 0.01


def test_a_plane_seen_from_behind(tmp_path):
    """Extrusion -Z mirrors x (DXF reference, arbitrary axis algorithm)."""

    def draw(document, space):
        given = {"dxfattribs": {"extrusion": (0, 0, -1)}}
        space.add_lwpolyline(
            [(0, -R, 0), (-L, -R, -1), (-L, R, 0), (0, R, -1)], format="xyb", close=True, **given
        )

    found = holds(dxf(tmp_path / "a.dxf", draw), OF_STADIUM)
    assert found.profile.box == pytest.approx((-R, -R, L + R, R))


@pytest.mark.parametrize("turn", [0.0, 1.1])
def test_ellipses_and_splines(turn, tmp_path):
    axis = (20 * math.cos(turn), 20 * math.sin(turn))
    holds(dxf(tmp_path / "a.dxf", lambda d, m: m.add_ellipse((5, 5), axis, 0.5)), OF_ELLIPSE)

    def draw(document, space):
        from ezdxf.math import ConstructionEllipse, rational_bspline_from_ellipse

        tool = rational_bspline_from_ellipse(ConstructionEllipse((5, 5), axis, (0, 0, 1), 0.5))
        space.add_spline().apply_construction_tool(tool)

    for tolerance in (0.01, 0.05):
        holds(dxf(tmp_path / "b.dxf", draw), OF_ELLIPSE, tolerance=tolerance)


def test_a_spline_through_points(tmp_path):
    spots = [
        (20 * math.cos(k * math.tau / 48), 10 * math.sin(k * math.tau / 48)) for k in range(49)
    ]
    # The interpolation that ezdxf does for fit points without tangents is off at the seam.
    given = dxf(tmp_path / "a.dxf", lambda d, m: m.add_spline(fit_points=[(*s, 0) for s in spots]))
    found = outline(given)
    assert found.profile.area == pytest.approx(OF_ELLIPSE[0], rel=2e-3)


@pytest.mark.parametrize(
    "body",
    [
        f'<path d="{STADIUM}"/>',
        '<rect x="-6.35" y="-6.35" width="62.7" height="12.7" rx="6.35"/>',
        '<g transform="rotate(40 9 9)"><g transform="scale(.5)"><path transform="translate(3,4) '
        f'matrix(2 0 0 -2 5 5)" d="{STADIUM}"/></g></g>',
        f'<defs><path id="p" d="{STADIUM}"/></defs><use xlink:href="#p" x="30" y="4"/>',
        '<path d="M0-6.35L50-6.35"/><path d="M50 6.35A6.35 6.35 0 0 0 50-6.35"/>'
        '<path d="M0-6.35A6.35 6.35 0 1 0 0 6.35L50 6.35"/>',
        f'<svg x="9" y="9" width="40" height="80" viewBox="-10 -10 20 40"><path d="{STADIUM}" '
        'transform="scale(.5)"/></svg>',
    ],
)  # fmt: skip
def test_svg(body, tmp_path):
    found = holds(svg(tmp_path / "a.svg", body), OF_STADIUM)
    assert len(found.profile.vertices) <= 8


def test_flags_of_arcs_need_no_space(tmp_path):
    """SVG 2, 9.3.8: the flags are one digit each."""
    tight = "m0-6.35h50a6.35 6.35 0 010 12.7h-50a6.35 6.35 0 110-12.7z"
    holds(svg(tmp_path / "a.svg", f'<path d="{tight}"/>'), OF_STADIUM)


@pytest.mark.parametrize(
    ("head", "scale"),
    [
        ('width="100mm" height="50mm" viewBox="0 0 100 50"', 1.0),
        ('width="10cm" height="5cm" viewBox="0 0 100 50"', 1.0),
        ('width="4in" height="2in" viewBox="0 0 100 50"', 25.4 * 4 / 100),
        ('width="288pt" height="144pt" viewBox="0 0 100 50"', 25.4 * 4 / 100),
        ('width="24pc" viewBox="0 0 100 50"', 25.4 * 4 / 100),
        ('width="384" height="192" viewBox="0 0 100 50"', 25.4 * 4 / 100),
        ('width="384" height="192"', 25.4 / 96),
        ('width="100%" height="100%" viewBox="0 0 100 50"', 25.4 / 96),
        ('width="100mm" height="100mm" viewBox="0 0 100 50"', 1.0),
        ('width="9cm" height="9cm" viewBox="0 0 90 45" preserveAspectRatio="xMinYMax slice"', 2.0),
    ],
)  # fmt: skip
def test_the_page_of_an_svg_says_its_scale(head, scale, tmp_path):
    path = svg(tmp_path / "a.svg", f'<path d="{STADIUM}"/>', head)
    holds(path, (OF_STADIUM[0] * scale**2, OF_STADIUM[1] * scale))
    holds(path, OF_STADIUM, units="mm")
    holds(path, (OF_STADIUM[0] * 25.4**2, OF_STADIUM[1] * 25.4), units="inch")


def test_a_rounded_rectangle(tmp_path):
    holds(svg(tmp_path / "a.svg", '<rect width="85" height="40" rx="3"/>'), OF_BOX)
    with open(tmp_path / "a.csv", "w", newline="") as out:
        csv.writer(out).writerows(
            [("x", "y", "round"), *((x, y, 3) for x in (0, 85) for y in (0, 40))]
        )
    text = (tmp_path / "a.csv").read_text().splitlines()
    (tmp_path / "a.csv").write_text("\n".join([text[0], text[1], text[2], text[4], text[3]]))
    holds(tmp_path / "a.csv", OF_BOX)


def test_a_stadium_of_points(tmp_path):
    """Straight runs said in the third column; semicolons and decimal commas as well."""
    turns = [math.radians(angle) for angle in range(-90, 91, 10)]
    ends = [(L + R * math.cos(t), R * math.sin(t)) for t in turns]
    rows = [*ends, *((-x + L, -y) for x, y in ends)]
    marks = ["line" if k in (len(ends) - 1, len(rows) - 1) else "" for k in range(len(rows))]
    for parting, comma in ((",", "."), (";", ",")):
        with open(tmp_path / "a.csv", "w", newline="") as out:
            writer = csv.writer(out, delimiter=parting)
            writer.writerows(
                (str(x).replace(".", comma), str(y).replace(".", comma), m)
                for (x, y), m in zip(rows, marks)
            )
        holds(tmp_path / "a.csv", OF_STADIUM)


def test_a_chain_of_circles(tmp_path):
    """The hull of circles of radius 30 and 12, 80 apart."""
    s, c = math.sin(B), math.cos(B)
    one, two = (30 * c, 30 * s), (80 + 12 * c, 12 * s)

    def draw(document, space):
        space.add_line(one, two)
        space.add_line((one[0], -one[1]), (two[0], -two[1]))
        space.add_arc((0, 0), 30, math.degrees(B), -math.degrees(B))
        space.add_arc((80, 0), 12, -math.degrees(B), math.degrees(B))

    holds(dxf(tmp_path / "a.dxf", draw), OF_HULL)
    (x, y), (u, v) = one, two
    data = f"M{x} {y}A30 30 0 1 1 {x} {-y}L{u} {-v}A12 12 0 0 1 {u} {v}Z"
    holds(svg(tmp_path / "a.svg", f'<path d="{data}"/>'), OF_HULL)


def test_files_of_a_mesh_library(tmp_path):
    """trimesh writes DXF without a unit, and SVG without a size."""
    spots = np.array([[0, -R], [L, -R], [L + R, 0], [L, R], [0, R], [-R, 0]])
    drawn = Path2D([Line([0, 1]), Arc([1, 2, 3]), Line([3, 4]), Arc([4, 5, 0])], spots)
    for ending in ("dxf", "svg"):
        path = tmp_path / f"a.{ending}"
        path.write_text(drawn.export(file_type=ending))
        holds(path, OF_STADIUM, units="mm")
        assert "unit" in " ".join(outline(path).notes)


def test_a_file_of_a_map_library(tmp_path):
    """GDAL writes a curve as straight sides, which are asked about; smooth=True runs through."""
    import pyogrio.raw

    t = np.linspace(0, math.tau, 181)
    ring = shapely.LineString(np.column_stack([20 * np.cos(t), 10 * np.sin(t)]))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of the projection that a body has not
        pyogrio.raw.write(
            tmp_path / "a.dxf",
            geometry=np.array([shapely.to_wkb(ring)], object),
            field_data=[np.array(["OUT"], object)],
            fields=np.array(["Layer"]),
            geometry_type="LineString",
            driver="DXF",
        )
    holds(tmp_path / "a.dxf", OF_ELLIPSE, smooth=True, units="mm", layer="out")


def test_curves_of_a_font_library(tmp_path):
    """Quadratic and cubic Beziers, written and measured by fontTools."""
    drawn, written, area = RecordingPen(), SVGPathPen(None), AreaPen()
    drawn.moveTo((0, 0))
    drawn.curveTo((60, -40), (140, -30), (160, 10))
    drawn.curveTo((175, 40), (150, 90), (110, 85))
    drawn.qCurveTo((60, 80), (40, 110))
    drawn.lineTo((0, 90))
    drawn.curveTo((0, 90), (-30, 40), (0, 0))  # a handle that lies on its end
    drawn.closePath()
    drawn.replay(written)
    drawn.replay(area)
    found = outline(svg(tmp_path / "a.svg", f'<path d="{written.getCommands()}"/>'))
    assert found.error <= 0.01
    assert found.profile.area == pytest.approx(abs(area.value), abs=0.01 * found.profile.length)


def test_the_process_of_its_own_gives_the_same(tmp_path):
    path = svg(tmp_path / "a.svg", '<ellipse rx="20" ry="10"/>')
    one, two = read(Drawing("a.svg", body=False), tmp_path), outline(path)
    assert np.array_equal(one.profile.vertices, two.profile.vertices) and one.error == two.error
