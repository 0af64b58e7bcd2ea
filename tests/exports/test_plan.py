"""Plans and sections: true scale, true arcs, the right side, markers, and the least wood."""

import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bodycad.checks.wood.before import EXTENT
from bodycad.errors import InputError
from bodycad.exports.marks import RADIUS, numbered
from bodycad.exports.notes import _contour
from bodycad.exports.plan import (
    contour_extent,
    contour_plan,
    contour_steps,
    depth_class,
    plan_svg,
    seen,
)
from bodycad.exports.sections.drawing import section_svg
from bodycad.exports.sections.lines import section_lines
from bodycad.exports.sections.slice import SAGITTA, least_wood, runs, slice_of
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.plane.profile import flatten, profile
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Contour
from bodycad.layout.contours import arched_top
from bodycad.layout.interface import StringHole
from bodycad.layout.void import from_back, from_front
from bodycad.making.order import cut_order
from tests import sample
from tests.checks.bench import board as bench_board
from tests.drawn import layout_of as design_of
from tests.exports.bodies import hole, layout_of, pocket
from tests.exports.reports import AT, path_area, report

SVG = "{http://www.w3.org/2000/svg}"


def parts(text, tag, style=None):
    """Elements of a drawing by tag and class word."""
    return [
        e
        for e in ET.fromstring(text).iter(SVG + tag)
        if style is None or style in e.get("class", "").split()
    ]


def titled(text, start):
    """The path whose tooltip begins with `start`."""
    return next(
        e
        for e in parts(text, "path")
        if e.find(SVG + "title") is not None and e.find(SVG + "title").text.startswith(start)
    )


@pytest.mark.parametrize("face", ["front", "back"])
def test_a_plan_is_at_true_scale(face):
    """One user unit is one mm on paper, and the bar is 100 of them."""
    text = plan_svg(report(), face)
    root = ET.fromstring(text)
    x, y, width, height = map(float, root.get("viewBox").split())
    assert root.get("width") == f"{width:g}mm" and root.get("height") == f"{height:g}mm"
    (bar,) = parts(text, "rect", "bar")
    assert float(bar.get("width")) == 100.0
    assert (x, width) == (-215.0 - 8.0, 430.0 + 16.0)


@pytest.mark.parametrize("face, up", [("front", -1.0), ("back", 1.0)])
def test_arcs_stay_arcs_and_sides_are_right(face, up):
    """The outline's four corners are four arcs enclosing the exact area; y runs up on the front and
    down on the back (seen from the back, on the same x)."""
    layout = report().layout
    text = plan_svg(report(), face)
    (line,) = parts(text, "path", "line")
    assert line.get("d").count("A") == 4
    area, box = path_area(line.get("d"))
    assert area == pytest.approx(layout.skin.outline.area, abs=0.5)
    assert box == pytest.approx((-200.0, -150.0, 200.0, 150.0))
    where = titled(text, "b.cavity")
    area, (_, y0, _, y1) = path_area(where.get("d"))
    assert area == pytest.approx(60.0 * 50.0 - (4.0 - math.pi) * 100.0, abs=0.1)
    assert (y0 + y1) / 2.0 == pytest.approx(up * -60.0)


def test_what_is_cut_from_a_face_is_filled_and_the_rest_is_dashed():
    """Depth classes by depth from the face; cuts from behind and bores at an angle are dashed."""
    front, back = plan_svg(report(), "front"), plan_svg(report(), "back")
    assert (
        titled(front, "a.route").get("class") == "void d3"
        and titled(front, "a.ears").get("class") == "void d4"
    )
    assert (
        titled(front, "bridge.string.1").get("class")
        == titled(back, "bridge.string.1").get("class")
        == "void d6"
    )
    assert (
        titled(back, "b.cavity").get("class") == "void d5"
        and titled(front, "b.cavity").get("class") == "hidden"
    )
    assert titled(front, "wire").get("class") == titled(back, "jack.bore").get("class") == "hidden"
    assert titled(back, "a.route").get("class") == "hidden"


def test_depths_are_classed_by_their_limits():
    """5 mm counts as 5 mm; right through counts as through, from whichever face."""
    names = [
        depth_class(pocket("p.x", circle(8.0), depth), sample.THICKNESS)
        for depth in (5.0, 5.01, 20.0, 30.0, 43.9, 44.0)
    ]
    assert names == ["d1", "d2", "d3", "d4", "d5", "d6"]
    assert depth_class(hole("p.y", 0.0, 0.0, depth=11.0, face="back"), sample.THICKNESS) == "d2"


def test_deeper_cuts_are_drawn_over_shallower_ones():
    """A route's ears must not vanish under the route."""
    depths = [v.id for v in seen(report().layout, "front")]
    assert depths.index("a.route") < depths.index("a.ears")


def test_every_marked_finding_has_one_disc_with_a_leader_to_its_place():
    """Marks of both plans together: one for each failing or warning finding with a place, on the
    face of its subject; the disc stands clear of the place and of the other discs."""
    made = report()
    found = {}
    for face in ("front", "back"):
        for link in parts(plan_svg(made, face), "a"):
            disc = link.find(f".//{SVG}circle")
            found[link.get("id")] = (
                face,
                link.get("href"),
                (float(disc.get("cx")), float(disc.get("cy"))),
            )
    marked = [m for m in numbered(made) if m.finding.at]
    assert set(found) == {f"m{m.number}" for m in marked} and len(marked) == 2
    for m in marked:
        face, href, place = found[f"m{m.number}"]
        assert href == f"#f{m.number}"
        assert face == ("front" if m.finding.check == "wall" else "back")
    wall = next(m for m in marked if m.finding.check == "wall")
    spot = (AT[0][0] + AT[1][0]) / 2.0, -(AT[0][1] + AT[1][1]) / 2.0
    assert RADIUS < math.dist(found[f"m{wall.number}"][2], spot) < 4.0 * RADIUS


def test_crowded_markers_keep_clear_of_each_other():
    """Forty findings at one place: forty discs, none on another, all on the sheet."""
    one = next(f for f in report().findings if f.status == "fail" and f.at)
    text = plan_svg(report(*[one] * 40), "front")
    x, y, width, height = map(float, ET.fromstring(text).get("viewBox").split())
    discs = [link.find(f".//{SVG}circle") for link in parts(text, "a")]
    places = [(float(d.get("cx")), float(d.get("cy"))) for d in discs]
    radius = float(discs[0].get("r"))
    assert len(places) == 40 and all(
        x + radius <= p[0] <= x + width - radius and y + radius <= p[1] <= y + height - radius
        for p in places
    )
    assert min(math.dist(p, q) for i, p in enumerate(places) for q in places[:i]) >= 2.0 * radius


def test_a_place_off_the_sheet_still_gets_a_marker_on_it():
    """A witness point at the nut, half a metre away, is marked at the sheet's edge."""
    far = next(f for f in report().findings if f.at).__class__(
        "x", "fail", (), "far off", at=((650.0, 0.0, 0.0), (650.0, 0.0, 0.0))
    )
    text = plan_svg(report(far), "front")
    x, _, width, _ = map(float, ET.fromstring(text).get("viewBox").split())
    assert float(parts(text, "a")[0].find(f".//{SVG}circle").get("cx")) <= x + width


@pytest.mark.parametrize("turn, tilt", [(0.0, 0.0), (30.0, 0.0), (90.0, 12.0)])
def test_a_contours_extent_is_where_it_cuts_the_face(turn, tilt):
    """Outside the drawn extent the contour takes nothing, just inside it takes wood (0.8 mm either
    way); the hollow end that a tilted sweep may have is not drawn."""
    scoop = Contour(
        "c", "front", Carve(circle(200.0, 0.0, 95.0), (10.0, -5.0), turn, (-30.0, 40.0), tilt, 0.0)
    )
    corners = contour_plan(scoop, 44.0)
    shape = profile(corners)
    rng = np.random.default_rng(3)
    x0, y0, x1, y1 = shape.box
    points = rng.uniform((x0 - 10, y0 - 10), (x1 + 10, y1 + 10), (4000, 2))
    away = shape.signed_distance(points)
    cuts = np.nan_to_num(scoop.carve.height(points, "front"), nan=1.0) < 0.0
    assert (
        not cuts[away > 0.8].any()
        and cuts[away < -0.8].mean() > (0.97 if tilt else 0.99999)
        and 0.1 < cuts.mean() < 0.9
    )


def test_a_plan_of_no_face():
    """Front or back, nothing else."""
    with pytest.raises(InputError, match="front or back"):
        plan_svg(report(), "edge")


directions = st.tuples(*[st.floats(-1.0, 1.0)] * 3).filter(lambda d: math.hypot(*d) > 0.2)


@settings(max_examples=150, deadline=None)
@given(
    directions,
    st.sampled_from([180.0, 118.0, 90.0]),
    st.sampled_from([(0, 0, -1), (1, 0, 0), None]),
)
def test_upright_lines_through_a_bore(direction, tip, fixed):
    """The heights where upright lines enter and leave a bore, against the exact distance to the
    bore: inside between them, on it at them, outside beyond them."""
    shape = bore((3.0, -2.0, 5.0), fixed or direction, 8.0, 30.0, tip)
    x0, y0, z0, x1, y1, z1 = shape.box
    points = np.random.default_rng(0).uniform((x0, y0), (x1, y1), (200, 2))
    low, high = shape.column(points)
    there = np.isfinite(low)
    inside = np.column_stack([points[there], ((low + high) / 2.0)[there]])
    assert (shape.closest(inside)[0] < 1e-6).all()
    for z, out in ((low, -0.01), (high, 0.01)):
        rim = np.column_stack([points[there], z[there]])
        assert (shape.closest(rim)[0] < 1e-6).all()
        assert (shape.closest(rim + np.array([0.0, 0.0, out]))[0] > 0.0).all()
    grid = np.linspace(z0, z1, 60)
    for x, y in points[~there][:20]:
        line = np.column_stack([np.full(60, x), np.full(60, y), grid])
        assert (shape.closest(line)[0] > 0.0).all()


def test_a_section_of_the_sample_body():
    """Through the cavity along x: 37 mm of it open from the back under 7 mm of wood, 60 mm wide;
    the shaft above it is 9.5 mm wide; between samples nothing bends more than the sagitta."""
    layout = sample.design(contours=False).layout()
    part = slice_of(layout, (-120.0, -60.0), (0.0, -60.0))
    bands = {b.id: b for b in part.voids}
    (run,) = runs(bands["b.cavity"])
    s = part.s[run] - 120.0
    assert (s[0], s[-1]) == pytest.approx((-90.0, -30.0), abs=0.01)
    assert np.nanmax(bands["b.cavity"].high) == pytest.approx(-7.0)
    shaft = part.s[runs(bands["b.shaft"])[0]]
    assert shaft[-1] - shaft[0] == pytest.approx(9.5, abs=0.01)
    thickness, _, low, high = least_wood(layout, part)
    assert (thickness, low, high) == pytest.approx((7.0, -7.0, 0.0))
    chord = np.interp(part.s[1:-1:2], part.s[::2], part.wood.low[::2])
    assert np.nanmax(np.abs(chord - part.wood.low[1:-1:2])) < 1.0 and SAGITTA == 0.01


def test_the_skin_in_a_section_is_the_skin():
    """A roundover of 6 mm at the back, sampled to the sagitta: r - sqrt(r^2 - (r - s)^2) of wood
    lost."""
    layout = sample.design(contours=False).layout()
    part = slice_of(layout, (-205.0, 100.0), (-180.0, 100.0))
    fine = np.linspace(5.001, 11.0, 3000)
    s = fine - 5.0
    true = -44.0 + 6.0 - np.sqrt(36.0 - (6.0 - s) ** 2)
    there = np.isfinite(part.wood.low)
    drawn = np.interp(fine, part.s[there], part.wood.low[there])
    # Along a steep curve the chord's offset in height is more than its distance: compare distances.
    steep = np.hypot(1.0, np.gradient(true, fine))
    assert np.max(np.abs(drawn - true) / steep) < 2.0 * SAGITTA


def test_least_wood_ignores_what_is_meant_to_be_open():
    """A shaft into a cavity leaves no floor; a pocket over another void leaves the wood between
    them."""
    layout = layout_of(
        pocket("p.top", rectangle(30.0, 30.0, 3.0), 10.0),
        pocket("p.low", rectangle(10.0, 10.0, 3.0), 20.0, face="back"),
    )
    part = slice_of(layout, (-40.0, 0.0), (40.0, 0.0))
    assert least_wood(layout, part)[0] == pytest.approx(14.0)
    through = layout_of(hole("p.one", 0.0, 0.0, depth=44.0))
    assert least_wood(through, slice_of(through, (-40.0, 0.0), (40.0, 0.0))) is None


def test_a_section_drawing_says_thickness_and_least_floor():
    """The two dimensions, at true scale, and each room by a letter with its name."""
    layout = sample.design(contours=False).layout()
    text = section_svg(layout, (-120.0, -60.0), (0.0, -60.0), "the cavity")
    root = ET.fromstring(text)
    width = float(root.get("viewBox").split()[2])
    assert root.get("width") == f"{width:.3f}".rstrip("0").rstrip(".") + "mm"
    words = [e.text for e in root.iter(SVG + "text")]
    assert "44.0" in words and "least 7.00" in words and "10 mm" in words
    assert float(parts(text, "rect", "bar")[0].get("width")) == 10.0
    room = section_svg(layout, (20.0, 0.0), (100.0, 0.0), "the pickup")
    assert "a  a.body (pickup)" in [e.text for e in ET.fromstring(room).iter(SVG + "text")]


@pytest.mark.parametrize("one, two", [((0.0, 0.0), (0.5, 0.0)), ((500.0, 0.0), (600.0, 0.0))])
def test_sections_that_show_nothing(one, two):
    """Two points that are one, and a line beside the body."""
    with pytest.raises(InputError, match="section line"):
        section_svg(sample.design().layout(), one, two, "nothing")


def test_sections_are_picked_from_the_cuts():
    """A row of string holes, a back cavity through its shafts, and the whole body; all through
    wood."""
    row = [hole(f"p.string.{k}", -17.0, y, 3.2, 44.0) for k, y in enumerate((-26.0, 0.0, 26.0), 1)]
    cavity = pocket("p.cavity", rectangle(60.0, 40.0, 8.0).moved(-80.0, -80.0), 36.0, face="back")
    layout = layout_of(*row, cavity)
    passed = tuple(StringHole(part="p", hole=v.id, at=v.shape.start) for v in row)
    found = {line.title: line for line in section_lines(replace(layout, interfaces=passed))}
    assert list(found) == ["p along the string holes", "p.cavity", "whole body on the centreline"]
    assert (found["p along the string holes"].one, found["p along the string holes"].two) == (
        (-17.0, -42.0),
        (-17.0, 42.0),
    )
    assert found["p.cavity"].one == pytest.approx((-126.0, -80.0)) and found[
        "p.cavity"
    ].two == pytest.approx((-34.0, -80.0))
    empty = section_lines(layout_of(hole("p.one", 0.0, 0.0)))
    assert [line.title for line in empty] == ["whole body on the centreline"]


def test_texts_in_drawings_are_escaped():
    """Titles are text, whatever is in them."""
    title = 'a <"title"> & more'
    text = section_svg(
        layout_of(pocket("p.one", rectangle(30.0, 30.0, 3.0))), (-40.0, 0.0), (40.0, 0.0), title
    )
    assert title in [e.text for e in ET.fromstring(text).iter(SVG + "title")]
    assert re.search(r"url\(#wood-[A-Za-z0-9-]+\)", text)


def test_prisms_and_their_mirror_meet_a_line_alike():
    """The front's and the back's cut of one profile have the same chord."""
    shape = circle(20.0, 3.0, 1.0)
    points = np.array([[x, 1.0] for x in np.linspace(-10.0, 15.0, 101)])
    one, two = (
        np.isfinite(p.column(points)[0])
        for p in (from_front(shape, 5.0), from_back(shape, 5.0, 44.0))
    )
    assert (one == two).all() and 0 < one.sum() < 101
    tilted = Prism(shape, -5.0, 0.0, (0.1, 0.0), (0.0, 0.0))
    low, _ = tilted.column(points)
    assert np.nanmax(np.abs(low - (-5.0 + 0.1 * points[:, 0]))) < 1e-12


def test_an_arched_face_is_drawn_by_its_crown_and_lines_of_equal_depth():
    """8 mm in 80 without a recurve about a disc of R 20: a round of 404, so that the line 2 mm deep
    runs sqrt(404^2 - 402^2) = 40.15 mm out, 4 and 6 mm 56.71 and 69.35."""
    top = arched_top("top", "front", 44.0, circle(40.0), run=80.0, drop=8.0)
    piece = bench_board(contours=[top]).body
    ((region, deep),) = contour_extent(top, piece)
    assert deep == pytest.approx(8.0) and region.holes[0].area == pytest.approx(
        math.pi * (20.0 + math.sqrt(404.0**2 - (404.0 - EXTENT) ** 2)) ** 2, rel=1e-6
    )
    assert region.outer.area == pytest.approx(400.0 * 300.0)
    lines = list(contour_steps(top, piece))
    assert [deep for _, deep in lines] == [2.0, 4.0, 6.0]
    for shape, deep in lines:
        radius = 20.0 + math.sqrt(404.0**2 - (404.0 - deep) ** 2)
        assert shape.area == pytest.approx(math.pi * radius**2, rel=1e-9)
    scoop = Contour("c", "front", Carve(circle(200.0, 0.0, 95.0), (0.0, 0.0), 0.0, (-30.0, 40.0)))
    assert not list(contour_steps(scoop, piece))


@pytest.mark.parametrize(
    "name, deep",
    [
        ("bramble", {"contour.corner": 30.332, "contour.hand": 5.867, "contour.heel": 7.0}),
        ("teasel", {"contour.belly": 18.647}),
        ("yarrow", {"contour.heel": 8.970}),
    ],
)
def test_how_deep_a_contour_goes_is_one_figure_wherever_it_is_told(name, deep):
    """At its deepest inside the outline, which it is on the rim: by points along that."""
    layout = design_of(name)
    piece, words = layout.body, {s.ids[0]: s.words for s in cut_order(layout).steps if s.ids}
    chords = flatten(piece.skin.outline, 1e-4)
    share = np.linspace(0.0, 1.0, 300)[:, None, None]
    rim = (chords[:-1] + share * np.diff(chords, axis=0)).reshape(-1, 2)
    for contour in piece.skin.contours:
        if contour.id in deep:
            height = contour.carve.height(rim, contour.face)
            down = -1.0 if contour.face == "front" else 1.0
            there = float(np.nanmax(down * (height - piece.skin.level(contour.face))))
            told = max(deep for _, deep in contour_extent(contour, piece))
            assert deep[contour.id] == pytest.approx(told, abs=0.001)
            assert told == pytest.approx(there, abs=0.003)
            inside = f"{told:.2f} mm at its deepest inside the outline"
            assert words[contour.id] == f"Carve {contour.id}, {inside}"


def test_a_contour_in_two_places_says_so_beside_each():
    piece = design_of("bramble").body
    contour = next(c for c in piece.skin.contours if c.id == "contour.corner")
    told = [" ".join(note.lines) for note in _contour(contour, piece).notes]
    assert [" 5.84 deep here, 30.33 at its deepest" in one for one in told].count(True) == 1
    assert all("contour.corner: shaped surface in 2 places" in one for one in told)
