"""Profiles and shapes as kernel solids: exact, named when refused, never a compound."""

from __future__ import annotations

import math

import cadquery as cq
import numpy as np
import pytest

from bodycad.errors import SolidError
from bodycad.geometry.plane.arcfit import fit_arcs
from bodycad.geometry.plane.build import circle, hull, rectangle, slot
from bodycad.geometry.plane.profile import Profile, profile
from bodycad.geometry.solids.bore import Bore, bore
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.prism import Prism
from bodycad.solid import kernel
from bodycad.solid.body import carved
from bodycad.solid.due import tools_of
from tests.oracle.woods import a_wood

SHAPES = {
    "pocket": Prism(rectangle(40, 20, 5, 3, 4), -19.0, 0.0),
    "round": Prism(circle(12, 3, 4), -19.0, 0.0),
    "tilted floor": Prism(hull([(0, 0, 10), (50, 5, 20)]), -20.0, 0.0, (0.05, -0.03), (10.0, 5.0)),
    "flat drill": bore((1, 2, 3), (0.3, -0.2, -1.0), 6.0, 40.0),
    "pointed drill": bore((1, 2, 3), (1.0, 0.4, 0.0), 6.0, 40.0, 118.0),
    "all point": Bore((0, 0, 0), (0, 0, -1.0), 2.0, 1.0, 90.0),
    "bevel": Carve(
        profile([(0, 0), (60, -15), (60, 10), (0, 10)]), (-10.0, 20.0), 135.0, (-50.0, 80.0)
    ),
    "scoop": Carve(circle(200, 0, -132), (5.0, 6.0), 20.0, (-40.0, 40.0)),
    "climbing": Carve(slot(30, 10), (5.0, 6.0), 20.0, (-40.0, 40.0), 12.0, -3.0),
}


@pytest.mark.parametrize("name", SHAPES)
def test_volume_and_box_are_those_of_the_shape(name):
    shape = SHAPES[name]
    made = kernel.solid_of(shape, name)
    assert made.ShapeType() == "Solid" and made.isValid()
    assert kernel.volume(made) == pytest.approx(shape.volume, rel=1e-9)
    x0, y0, z0, x1, y1, z1 = kernel.box(made)
    assert (x0, y0, z0, x1, y1, z1) == pytest.approx(_true_box(shape), abs=1e-4)


def _true_box(shape):
    """A tilted sweep's own box is that of its section's rectangle, so it is measured on points
    here."""
    if not (isinstance(shape, Carve) and not shape.level):
        return shape.box
    s = shape.section.segments
    points = np.vstack([s.at(np.full(len(s), t)) for t in np.linspace(0.0, 1.0, 20001)])
    ends = [
        shape.world(np.column_stack([points[:, 0], np.full(len(points), v), points[:, 1]]))
        for v in shape.span
    ]
    low, high = (
        np.min([e.min(axis=0) for e in ends], axis=0),
        np.max([e.max(axis=0) for e in ends], axis=0),
    )
    return (*low, *high)


def test_a_circle_is_one_edge_and_arcs_stay_arcs():
    assert [e.geomType() for e in kernel.wire(circle(10), kernel.level(0)).Edges()] == ["CIRCLE"]
    kinds = [e.geomType() for e in kernel.wire(rectangle(40, 20, 5), kernel.level(0)).Edges()]
    assert sorted(kinds) == ["CIRCLE"] * 4 + ["LINE"] * 4


def test_a_fitted_curve_keeps_its_volume_where_a_spline_loses_it():
    # Superellipse |x/200|^2.5 + |y/150|^2.5 = 1: area 4 a b Gamma(1 + 1/n)^2 / Gamma(1 + 2/n).
    a, b, n, height = 200.0, 150.0, 2.5, 44.0
    due = 4.0 * a * b * math.gamma(1 + 1 / n) ** 2 / math.gamma(1 + 2 / n) * height

    def point(t):
        r = (np.abs(np.cos(t) / a) ** n + np.abs(np.sin(t) / b) ** n) ** (-1.0 / n)
        return np.stack([r * np.cos(t), r * np.sin(t)], axis=1)

    def slope(t):
        return (point(t + 1e-5) - point(t - 1e-5)) / 2e-5

    rows = fit_arcs(point, slope, np.linspace(0.1, 0.1 + 2.0 * np.pi, 5), 0.01)
    outline = profile(rows[:-1], "a superellipse")
    made = kernel.extruded(outline, (), kernel.level(-height), height, "the slab")
    assert kernel.volume(made) == pytest.approx(outline.area * height, rel=1e-9)
    assert kernel.volume(made) == pytest.approx(due, rel=2e-5)
    assert {e.geomType() for e in made.Edges()} <= {"LINE", "CIRCLE"}


NONSENSE = {
    "floor over its top": (Prism(circle(10), 1.0, 0.0), "floor at 1 is not below"),
    "no height": (Prism(circle(10), 0.0, 0.0), "not below"),
    "floor tilts over its top": (Prism(rectangle(100, 10), -1.0, 0.0, (0.1, 0.0)), "not below"),
    "bore shorter than its point": (
        Bore((0, 0, 0), (0, 0, -1), 10.0, 1.0, 60.0),
        "length beyond its point",
    ),
    "inside-out plan": (
        Prism(Profile(rectangle(10, 20).vertices[::-1].copy()), -5.0, 0.0),
        "it should have",
    ),
    "bow tie": (
        Prism(Profile(np.array([[0.0, 0, 0], [10, 10, 0], [10, 0, 0], [0, 5, 0]])), -5.0, 0.0),
        "bow tie",
    ),
}


@pytest.mark.parametrize("name", NONSENSE)
def test_nonsense_is_refused_by_name(name):
    shape, said = NONSENSE[name]
    with pytest.raises(SolidError) as caught:
        kernel.solid_of(shape, name)
    assert name in str(caught.value) and said in str(caught.value)


def test_a_refusal_names_the_cut_and_its_numbers_and_keeps_the_cause():
    words = r"the cut \(3 mm\): the kernel refused it"
    with pytest.raises(SolidError, match=words) as caught, kernel.step("the cut", "3 mm"):
        cq.Edge.makeLine(cq.Vector(0, 0, 0), cq.Vector(0, 0, 0))
    assert caught.value.__cause__ is not None


def test_a_compound_is_never_a_tool_and_here_is_why():
    slab = kernel.extruded(rectangle(400, 300), (), kernel.level(-44), 44, "the slab")
    one, two = (
        Prism(rectangle(60, 40, 5, 0, 0), -20.0, 1.0),
        Prism(rectangle(60, 40, 5, 31.7, 13.3), -15.0, 1.0),
    )
    tools = [kernel.solid_of(one, "one"), kernel.solid_of(two, "two")]
    both = cq.Compound.makeCompound(tools)
    with pytest.raises(SolidError, match="a Compound cannot be a tool"):
        kernel.cut(slab, [("both", both)], "the cut")
    right = kernel.volume(slab) - kernel.volume(
        kernel.cut(slab, [("one", tools[0]), ("two", tools[1])], "the cut")
    )
    from bodycad.geometry.plane.boolean import intersection

    shared = sum(r.area for r in intersection(one.profile, two.profile)) * 15.0
    assert right == pytest.approx(
        one.profile.area * 20.0 + two.profile.area * 15.0 - shared, rel=1e-9
    )
    wrong = kernel.volume(slab) - kernel.volume(slab.cut(both))
    assert abs(wrong - right) > 1000.0, "this kernel cuts with compounds correctly: the rule may go"


def test_pieces_and_nothing_are_told_apart():
    box = cq.Solid.makeBox(10, 10, 10)
    knife = cq.Solid.makeBox(20, 20, 1, cq.Vector(-5, -5, 4))
    with pytest.raises(SolidError, match="falls into 2 pieces; loose: 400 mm3 at"):
        kernel.one_solid(box.cut(knife), "the box")
    with pytest.raises(SolidError, match="nothing is left"):
        kernel.one_solid(box.cut(cq.Solid.makeBox(30, 30, 30, cq.Vector(-5, -5, -5))), "the box")


def test_the_volume_of_a_slanted_bore_through_a_slope_is_that_of_points_in_it():
    """Points drawn in the bore and held against the skin's own heights, within 4 standard errors.
    The fixed rule of the kernel said 1309 for 1285."""
    piece = a_wood(33)
    hole = piece.by_id["v17"].shape.hole
    blank = carved(piece, tools_of(piece))[1]
    lost = kernel.volume(blank) - kernel.volume(blank.cut(kernel.solid_of(hole, "v17")))
    count, rng = 200_000, np.random.default_rng(7)
    r, turn = hole.radius * np.sqrt(rng.random(count)), 2.0 * np.pi * rng.random(count)
    along = hole.length * rng.random(count)
    u, v, d = (np.array(axis) for axis in hole.axes)
    across = r[:, None] * (np.cos(turn)[:, None] * u + np.sin(turn)[:, None] * v)
    spots = np.array(hole.start) + across + along[:, None] * d
    plan, z, skin = spots[:, :2], spots[:, 2], piece.skin
    narrow = hole.radius * (hole.length - along) / (hole.length - hole.shoulder)
    inside = (skin.inset(plan) >= 0.0) & (r <= np.minimum(narrow, hole.radius))
    inside &= (z <= skin.height("front", plan)) & (z >= skin.height("back", plan))
    share, whole = float(inside.mean()), np.pi * hole.radius**2 * hole.length
    error = whole * np.sqrt(share * (1.0 - share) / count)
    assert lost == pytest.approx(whole * share, abs=4.0 * error)
