"""What solids answer, held against each other: insides, columns, sections, ends and figures."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from bodycad.errors import InputError
from bodycad.geometry.distance.gap import gap
from bodycad.geometry.distance.table import PAIRS
from bodycad.geometry.plane.build import circle, hull, rectangle, slot
from bodycad.geometry.plane.profile import Profile, profile
from bodycad.geometry.plane.region import polygon
from bodycad.geometry.solids.bore import Bore, bore
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.dome import Dome
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import Shape, Solid, same

LAWFUL = settings(deadline=None, max_examples=60, derandomize=True)
SEEDS = st.integers(0, 10**6)
HORSESHOE = profile([(-9, -9), (9, -9), (9, -5), (-4, -5, 0.3), (-4, 5), (9, 5), (9, 9), (-9, 9)])
PLANS = (rectangle(24.0, 14.0, 3.0), circle(18.0), HORSESHOE)


def a_prism(r: np.random.Generator) -> Prism:
    plan = PLANS[r.integers(len(PLANS))].moved(*r.uniform(-9, 9, 2), r.uniform(0, 360))
    slope = tuple(r.uniform(-0.2, 0.2, 2)) if r.integers(2) else (0.0, 0.0)
    return Prism(plan, r.uniform(-30, -20), r.uniform(-10, 5), slope, tuple(r.uniform(-3, 3, 2)))


def a_bore(r: np.random.Generator) -> Bore:
    way = (0, 0, (-1) ** int(r.integers(2))) if r.integers(3) == 0 else tuple(r.normal(size=3))
    tip = float(r.choice([180.0, 118.0, 90.0]))
    return bore(tuple(r.uniform(-9, 9, 3)), way, r.uniform(2, 12), r.uniform(14, 40), tip)


def a_carve(r: np.random.Generator) -> Carve:
    section = (HORSESHOE, circle(16.0), rectangle(20.0, 9.0))[r.integers(3)]
    tilt = float(r.choice([0.0, 12.0, -20.0]))
    return Carve(section, tuple(r.uniform(-9, 9, 2)), r.uniform(0, 360), (-22.0, 19.0), tilt, 2.0)


def a_dome(r: np.random.Generator) -> Dome:
    crown = (circle(9.0), hull(((0, 0, 6.0), (14, 3, 2.5))), slot(20.0, 8.0))[r.integers(3)]
    rows = ([(0, 0, -0.2), (18, -9, 0.2)], [(0, 0), (12, -3, 0.1), (20, -2)])[r.integers(2)]
    section = profile([*rows, (30, rows[-1][1]), (30, 4), (0, 4)])
    if r.integers(2):
        section = profile([(s, -z - 12, -b) for s, z, b in section.vertices])
    return Dome(crown.moved(*r.uniform(-9, 9, 2), r.uniform(0, 360)), section)


MAKERS = {Prism: a_prism, Bore: a_bore, Carve: a_carve, Dome: a_dome}


def shape_of(seed: int) -> tuple[Shape, np.random.Generator]:
    r = np.random.default_rng(seed)
    return (a_prism, a_bore)[r.integers(2)](r), r


def spots(solid: Solid, r: np.random.Generator, count: int) -> np.ndarray:
    box = np.array(solid.box)
    return r.uniform(box[:3] - 2.0, box[3:] + 2.0, (count, 3))


@LAWFUL
@given(SEEDS)
def test_a_point_is_inside_where_its_column_holds_it(seed):
    shape, r = shape_of(seed)
    points = spots(shape, r, 400)
    low, high = shape.column(points[:, :2])
    away = shape.closest(points)[0]
    held = (points[:, 2] >= low) & (points[:, 2] <= high)
    near = away < 1e-6  # rounding may put a point of the surface on either side
    assert (held <= near).all() and (held[away == 0.0]).all()


@LAWFUL
@given(SEEDS)
def test_air_without_open_ends_is_the_inside_and_open_ends_only_add(seed):
    shape, r = shape_of(seed)
    points = spots(shape, r, 300)
    shut, inside = shape.air(()), shape.closest(points)[0] < 1e-9
    held, room = shut.holds(points), shut.free(points, 0.0, -45.0)
    assert (
        (held <= inside).all() and ((room > 1e-9) <= held).all() and (held <= (room > -1e-9)).all()
    )
    if shape.hole is None or shape.hole.tip == 0.0:  # a drill point counts as wall
        assert (inside == held).all()
    for face in ("front", "back"):
        assert (held <= shape.air((face,)).holds(points)).all()
    own, way = points[held], r.normal(size=(held.sum(), 3))
    way /= np.linalg.norm(way, axis=1)[:, None]
    run = shut.leaves(own, way, 200.0)
    assert (run >= room[held] - 1e-9).all()
    assert shut.holds(own + 0.5 * run[:, None] * way).all()
    assert not shut.holds(own + (run + 1e-6)[:, None] * way).any()


@LAWFUL
@given(SEEDS, st.sampled_from(list(MAKERS)))
def test_sections_add_up_to_the_volume_and_hold_what_the_solid_holds(seed, kind):
    r = np.random.default_rng(seed)
    solid = MAKERS[kind](r)
    marks, nodes = sorted(set(solid.critical_heights)), np.polynomial.legendre.leggauss(12)
    total = 0.0
    for a, b in zip(marks, marks[1:]):
        turn = (1.0 + nodes[0]) * np.pi / 2.0
        for t, weight in zip(turn, nodes[1]):
            z = (a + b) / 2.0 - (b - a) / 2.0 * np.cos(t)
            area = sum(shapely.Polygon(p).area for p in solid.level_section(z, 0.002))
            total += weight * np.sin(t) * np.pi / 4.0 * (b - a) * area
    assert total == pytest.approx(solid.volume, rel=2e-4)
    z = r.uniform(marks[0], marks[-1])
    cut = shapely.union_all([shapely.Polygon(p) for p in solid.level_section(z, 0.002)])
    plan = spots(solid, r, 200)[:, :2]
    inside = solid.closest(np.column_stack([plan, np.full(len(plan), z)]))[0] == 0.0
    clear = shapely.distance(cut.boundary, shapely.points(plan)) > 0.01
    assert (shapely.contains_xy(cut, *plan.T) == inside)[clear].all()
    on = [shapely.Polygon(p) for p in solid.level_section(z, 0.002)]
    outline = polygon(solid.plan, 0.002).buffer(0.01)
    assert all(outline.contains(p) for p in on)


@LAWFUL
@given(SEEDS)
def test_a_carves_slices_are_its_sections_whatever_the_height(seed):
    r = np.random.default_rng(seed)
    carve = (a_carve, a_dome)[seed % 2](r)
    for z in (*r.uniform(carve.box[2] - 1.0, carve.box[5] + 1.0, 4), *carve.critical_heights):
        areas = [shape.area for shape in carve.level_slices(float(z))]
        assert all(area > -1e-9 for area in areas), "a slice turns left"
        due = sum(shapely.Polygon(p).area for p in carve.level_section(float(z), 0.002))
        assert sum(areas) == pytest.approx(due, rel=5e-3, abs=0.02)


@LAWFUL
@given(SEEDS, st.floats(0.0, 5.0), st.floats(0.0, 5.0))
def test_a_shape_runs_on_past_its_ends_and_grows_sideways(seed, first, last):
    shape, r = shape_of(seed)
    longer, wider = shape.stretched(first, last), shape.widened(0.25)
    section = shape.plan.area if shape.hole is None else np.pi * shape.hole.radius**2
    assert longer.volume - shape.volume == pytest.approx(section * (first + last), abs=1e-6)
    for one, two, by in zip(shape.ends, longer.ends, (first, last)):
        assert two.rim == pytest.approx(one.rim + by * one.out * (1.0, 1.0, 1.0), abs=1e-9)
    points = spots(shape, r, 200)
    assert (wider.closest(points)[0] <= shape.closest(points)[0] + 1e-9).all()
    assert wider.box[2] <= shape.box[2] + 1e-9 and wider.box[5] >= shape.box[5] - 1e-9
    low, high = shape.lowest[2], shape.highest[2]
    assert (low, high) == pytest.approx((shape.box[2], shape.box[5]), abs=1e-9)
    assert shape.closest(np.array([shape.lowest, shape.highest]))[0] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("face, end", [("front", 1), ("edge", 1), ("back", 0)])
def test_a_pocket_is_deepened_away_from_its_face(face, end):
    pocket = Prism(rectangle(10.0, 10.0), -20.0, -5.0)
    heights = [-5.0, -20.0]
    heights[end] += (-1.0) ** end * 2.0
    deeper = pocket.deepened(2.0, face)
    assert [deeper.high, deeper.low] == heights and pocket.deepened(0.0, face) is pocket
    drill = bore((0, 0, -45.0), (0, 0, 1), 4.0, 10.0)
    assert drill.deepened(2.0, face).box[2:6:3] == pytest.approx((-45.0, -33.0))


@LAWFUL
@given(SEEDS, st.sampled_from(list(MAKERS)))
def test_equal_solids_are_the_same_however_they_are_drawn(seed, kind):
    r = np.random.default_rng(seed)
    solid = MAKERS[kind](r)
    assert same(solid, solid.moved(0.0, 0.0)) and not same(solid, solid.moved(0.0, 0.0, 1e-6))
    twice = solid.mirrored().mirrored()
    assert solid.numbers == pytest.approx(twice.numbers, abs=1e-9)
    if isinstance(solid, Prism):
        rows = np.roll(solid.profile.vertices, 1, axis=0)
        again = Prism(Profile(rows), solid.low, solid.high, solid.slope, solid.slope_at)
        assert same(solid, again)
    assert not same(solid, MAKERS[kind](r))


@pytest.mark.parametrize("kinds", PAIRS, ids=lambda kinds: "-".join(k.__name__ for k in kinds))
@pytest.mark.parametrize("seed", range(4))
def test_every_pair_of_the_table_is_measured_alike_from_both_sides(kinds, seed):
    r = np.random.default_rng([seed, 7])
    one = MAKERS[kinds[0]](r)
    two = MAKERS[kinds[1]](r).moved(*r.uniform(-30, 30, 2), r.uniform(-10, 10))
    here, there = gap(one, two), gap(two, one)
    assert here.distance == pytest.approx(there.distance, abs=here.bound + there.bound + 1e-9)
    assert here.between == (one, two) and here.bound <= 0.01
    for solid, spot in zip((one, two), here.at):
        assert solid.closest(np.array([spot]))[0][0] < 1e-6
    assert "exact" in PAIRS[kinds].bound or "searched" in PAIRS[kinds].bound


@LAWFUL
@given(SEEDS, st.sampled_from(["front", "back"]))
def test_what_shapes_a_face_is_nowhere_deeper_than_it_says(seed, face):
    """Within a radius of a place, against heights at 60 places there; and in a level plane the
    distance is that to its slices, but where two halves of a ring meet within."""
    r = np.random.default_rng(seed)
    solid = (a_carve, a_dome)[seed % 2](r)
    centre, radius = spots(solid, r, 40)[:, :2], r.uniform(0.1, 8.0, 40)
    deepest = solid.deepest(centre, radius, face)
    way = r.uniform(0.0, 2.0 * np.pi, (40, 60))
    off = np.sqrt(r.uniform(0.0, 1.0, (40, 60))) * radius[:, None]
    near = centre[:, None] + off[..., None] * np.stack([np.cos(way), np.sin(way)], -1)
    height = solid.height(near.reshape(-1, 2), face).reshape(40, 60)
    worst = (np.fmin if face == "front" else np.fmax).reduce(
        np.column_stack([height, deepest]), axis=1
    )
    known = np.isfinite(worst)
    assert deepest[known] == pytest.approx(worst[known], abs=1e-9)
    assert np.isnan(height[~known]).all()
    z = float(r.uniform(solid.box[2], solid.box[5]))
    found, foot = solid.level_distances(centre, z)
    slices = solid.level_slices(z)
    away = [np.abs(one.signed_distance(centre)) for one in slices]
    inside = np.any([one.segments.encloses(centre) for one in slices], axis=0)
    out = (found > 0.01) & ~inside
    if slices:
        assert found[out] == pytest.approx(np.min(away, axis=0)[out], abs=2e-3)
        assert np.hypot(*(foot - centre).T)[out] == pytest.approx(found[out], abs=2e-3)
        assert (found[inside] <= 2e-3).all() and (found[~inside] >= -2e-3).all()


@pytest.mark.parametrize(
    "crown",
    [rectangle(20, 10), profile([(0, 0), (20, 0, 0.3), (20, 10, 0.0), (0, 10, -0.2)]), HORSESHOE],
    ids=["corners", "one bay", "bays"],
)
def test_a_crown_is_round_all_over(crown):
    with pytest.raises(InputError, match="round all over"):
        Dome(crown, profile([(0, 0), (10, -2), (10, 4), (0, 4)]))


@LAWFUL
@given(SEEDS)
def test_a_domes_surface_is_nowhere_steeper_than_it_says(seed):
    """Between neighbours 0.01 mm apart along lines across it."""
    r = np.random.default_rng(seed)
    dome = a_dome(r)
    way = r.normal(size=2)
    line = np.linspace(-45.0, 45.0, 9001)[:, None] * way / np.hypot(*way) + r.uniform(-5, 5, 2)
    for face in ("front", "back"):
        rise = np.abs(np.diff(dome.height(line, face))) / 0.01
        within = rise[np.isfinite(rise)]
        if face == ("front" if dome.section.box[3] > 0.0 else "back"):
            assert (within <= np.tan(dome.steepest) + 1e-3).all()
    assert a_carve(r).steepest == np.pi / 2.0


@pytest.mark.parametrize("rows", [[(0, 0), (2, -9), (9, -9)], [(0, 0), (5, -2), (4, -4), (9, -4)]])
def test_a_dome_has_no_step_and_no_overhang(rows):
    """77 degrees, and a section that turns back by 1 mm."""
    with pytest.raises(InputError, match="overhangs nowhere"):
        Dome(circle(20.0), profile([*rows, (9, 4), (0, 4)]))


def test_two_carves_have_no_gap():
    carve = a_carve(np.random.default_rng(1))
    with pytest.raises(InputError, match="Carve and Carve"):
        gap(carve, carve)
