"""Plans and level sections against closed forms and the shapes' own exact boxes."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from bodycad.geometry.plane.build import circle, hull, rectangle
from bodycad.geometry.plane.polygon import even_polygon
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.plane.region import polygon
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.prism import Prism

TILTS = [
    (1.0, 0.0, 0.0),
    (-100.0, -40.0, -8.0),
    (0.3, 0.2, -1.0),
    (0.05, 0.0, -1.0),
    (1.0, 0.5, 0.001),
]


@pytest.mark.parametrize(
    "shape", [circle(10.0), rectangle(40, 20, 5), hull([(0, 0, 3), (30, 5, 8), (10, 40, 2)])]
)
@pytest.mark.parametrize("sagitta", [0.5, 0.01])
def test_even_polygon_has_the_true_area(shape, sagitta):
    points = even_polygon(shape, sagitta)
    assert shapely.Polygon(points).area == pytest.approx(shape.area, rel=1e-12)
    assert np.abs(shape.signed_distance(points)).max() <= sagitta * 1.01


@pytest.mark.parametrize("direction", TILTS)
@pytest.mark.parametrize("tip", [180.0, 118.0, 90.0])
def test_a_bore_is_the_stack_of_its_sections(direction, tip):
    drill = bore((3.0, 4.0, -5.0), direction, 6.35, 50.0, tip)
    marks, nodes = sorted(set(drill.critical_heights)), np.polynomial.legendre.leggauss(20)
    volume = 0.0
    for low, high in zip(marks, marks[1:]):
        turn = (1.0 + nodes[0]) * math.pi / 2.0
        z = (low + high) / 2.0 - (high - low) / 2.0 * np.cos(turn)
        areas = np.array(
            [sum(shapely.Polygon(p).area for p in drill.level_section(v, 0.01)) for v in z]
        )
        volume += float((nodes[1] * np.sin(turn)) @ areas) * math.pi / 4.0 * (high - low)
    assert volume == pytest.approx(drill.volume, rel=1e-6)


@settings(max_examples=60, deadline=None)
@given(
    st.floats(-80, 80),
    st.floats(0, 360),
    st.floats(2, 25),
    st.floats(0.02, 0.98),
    st.sampled_from([180.0, 118.0]),
)
def test_section_points_lie_on_the_bore(tilt, turn, diameter, share, tip):
    t, a = math.radians(tilt), math.radians(turn)
    drill = bore(
        (1, 2, -3),
        (math.cos(t) * math.cos(a), math.cos(t) * math.sin(a), math.sin(t)),
        diameter,
        60.0,
        tip,
    )
    z = drill.box[2] + share * (drill.box[5] - drill.box[2])
    found = drill.level_section(z, 0.005)
    assert len(found) == 1
    points = np.column_stack([found[0], np.full(len(found[0]), z)])
    assert drill.closest(points)[0].max() < 0.02
    x0, y0, _, x1, y1, _ = drill.box
    assert (found[0].min(axis=0) > np.array([x0, y0]) - 0.02).all() and (
        found[0].max(axis=0) < np.array([x1, y1]) + 0.02
    ).all()


@pytest.mark.parametrize("direction", TILTS)
@pytest.mark.parametrize("tip", [180.0, 118.0])
def test_the_plan_of_a_tilted_bore_holds_all_sections_and_fits_its_box(direction, tip):
    drill = bore((0, 0, 0), direction, 6.35, 50.0, tip)
    plan = drill.plan
    assert np.array(plan.box) == pytest.approx(np.array(drill.box)[[0, 1, 3, 4]], abs=0.02)
    heights = np.linspace(drill.box[2], drill.box[5], 400)[1:-1]
    shadow = shapely.union_all(
        [shapely.Polygon(p) for z in heights for p in drill.level_section(z, 0.002)]
    )
    assert shadow.difference(polygon(plan, 0.0005).buffer(0.006)).area < 1e-6
    assert polygon(plan, 0.0005).area == pytest.approx(shadow.area, rel=0.01)


def test_plans_of_the_upright():
    centre, radius = bore((5, 6, 0), (0, 0, -1), 8.0, 10.0).plan.circle
    assert (*centre, radius) == pytest.approx((5.0, 6.0, 4.0))
    pocket = Prism(rectangle(10, 20), -5.0, 0.0)
    assert pocket.plan is pocket.profile


def test_a_tilted_floor_is_cut_where_the_floor_lies_at_that_height():
    pocket = Prism(rectangle(80.0, 56.0), -16.0, 0.0, (0.01, 0.0), (0.0, 0.0))
    (low,) = pocket.level_section(-16.0)
    assert shapely.Polygon(low).area == pytest.approx(40.0 * 56.0, rel=1e-9)
    assert low[:, 0].max() == pytest.approx(0.0, abs=1e-9)
    assert shapely.Polygon(pocket.level_section(-10.0)[0]).area == pytest.approx(
        80.0 * 56.0, rel=1e-9
    )
    assert pocket.level_section(-17.0) == () and pocket.level_section(1.0) == ()


def test_a_hollow_plan_with_a_tilted_floor_falls_into_two():
    plan = profile([(0, 0), (30, 0), (30, 30), (20, 30), (20, 10), (10, 10), (10, 30), (0, 30)])
    pocket = Prism(plan, -10.0, 0.0, (0.0, -0.1), (0.0, 20.0))
    pieces = pocket.level_section(-10.0)
    assert sorted(shapely.Polygon(p).area for p in pieces) == pytest.approx([100.0, 100.0])


def test_a_level_sweep_gives_strips():
    groove = Carve(
        profile([(-20, 10), (-20, 0), (-10, -5), (0, 0), (10, -5), (20, 0), (20, 10)]),
        (5.0, 0.0),
        90.0,
        (-30.0, 30.0),
    )
    strips = groove.level_section(-2.5)
    assert [shapely.Polygon(p).area for p in strips] == pytest.approx([600.0, 600.0])
    assert groove.level_section(-6.0) == ()
    assert shapely.Polygon(groove.level_section(5.0)[0]).bounds == pytest.approx(
        (-25.0, -20.0, 35.0, 20.0)
    )


def test_a_climbing_sweep_gives_a_stretched_section():
    # A square bar 10 x 10 climbing at 30 degrees, cut level: length 10 / sin 30 along the sweep.
    bar = Carve(rectangle(10.0, 10.0), (0.0, 0.0), 0.0, (-100.0, 100.0), 30.0, 0.0)
    (cut,) = bar.level_section(0.0)
    assert shapely.Polygon(cut).bounds == pytest.approx((-5.0, -10.0, 5.0, 10.0))
    assert bar.plan.box == pytest.approx(tuple(bar.box[k] for k in (0, 1, 3, 4)), abs=1e-9)


@pytest.mark.parametrize("w", [-9.99, -5.0, -1e-9, 0.0, 3.3, 9.0])
def test_a_round_sweep_is_as_wide_as_its_chord(w):
    groove = Carve(circle(20.0), (0.0, 0.0), 0.0, (-1.0, 1.0))
    (strip,) = groove.level_section(w)
    assert strip[:, 0].max() - strip[:, 0].min() == pytest.approx(
        2.0 * math.sqrt(100.0 - w * w), abs=1e-6
    )
