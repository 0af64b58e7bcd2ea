"""Our distances against the kernel's on made-up pairs at all angles, and what must hold of any
distance.

The kernel's figure is the least of its extrema on cylinder, cone and plain solids; where it is
clearly larger than ours, our two witness points must lie in both solids by the kernel's own
judgement.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from bodycad.geometry.distance.edge import edge_gap
from bodycad.geometry.distance.gap import face_gap, gap
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.solids.bore import Bore, bore
from bodycad.geometry.solids.prism import Prism
from bodycad.solid import proof
from bodycad.solid.compare import AGREE
from tests.solid import pairs

KINDS = {
    "prism": pairs.prism,
    "tilted": pairs.tilted,
    "bore": pairs.drilled,
    "carve": pairs.carve,
    "dome": pairs.dome,
}
EACH, FEW = 36, 16
"""Pairs of two kinds; what is led round a plan costs the kernel more."""
COUPLES = (
    ("prism", "prism"),
    ("prism", "tilted"),
    ("tilted", "tilted"),
    ("prism", "bore"),
    ("tilted", "bore"),
    ("bore", "bore"),
    ("prism", "carve"),
    ("tilted", "carve"),
    ("bore", "carve"),
    ("prism", "dome"),
    ("tilted", "dome"),
    ("bore", "dome"),
)


@cache
def made(one: str, two: str) -> tuple:
    """EACH (or FEW) pairs of the two kinds with our gap between them, the same in every run."""
    found = []
    for k in range(FEW if two == "dome" else EACH):
        r = np.random.default_rng([7, k, *map(ord, one + two)])
        a, b = KINDS[one](r), KINDS[two](r)
        found.append((a, b, gap(a, b)))
    return tuple(found)


@cache
def edge_pieces(name: str):
    return proof.pieces("edge", pairs.SKINS[name], name)


def held_against_the_kernel(found, skin=None, known=None):
    """The difference (mm) of the kernel's figure to ours, after the witnesses were held against the
    shapes."""
    sides = [
        known if thing == "edge" else proof.pieces(thing, skin, "x") for thing in found.between
    ]
    if found.distance > 0.0:
        assert math.dist(*found.at) == pytest.approx(found.distance, abs=1e-6)
    for point, thing in zip(found.at, found.between):
        if not isinstance(thing, str):
            assert thing.closest(np.array([point]))[0][0] < 0.01, "a witness lies off its shape"
    return proof.figure(found, *sides) - found.distance


@pytest.mark.parametrize("one, two", COUPLES)
def test_any_two_shapes(one, two):
    differences = [held_against_the_kernel(found) for _, _, found in made(one, two)]
    bounds = [found.bound for _, _, found in made(one, two)]
    assert max(bounds) <= 0.01
    assert all(-bound - 1e-6 <= d <= AGREE for d, bound in zip(differences, bounds)), differences


def test_a_wrong_distance_would_be_seen():
    """The comparison above is no formality: the same pairs with a distance 0.03 mm off are told
    apart."""
    from dataclasses import replace

    for a, b, found in made("prism", "bore"):
        if found.distance > 0.1:
            for off in (0.03, -0.04):
                spoiled = replace(found, distance=found.distance + off)
                sides = [proof.pieces(shape, None, "x") for shape in (a, b)]
                # Our points may stand in for the kernel only as far as they go: never below the
                # true distance.
                assert abs(proof.figure(spoiled, *sides) - spoiled.distance) > AGREE
            return
    raise AssertionError("no pair is apart")


@pytest.mark.parametrize("kind", ["prism", "tilted", "bore"])
@pytest.mark.parametrize("name", list(pairs.SKINS))
def test_any_shape_and_the_edge(kind, name):
    for k in range(10):
        shape = KINDS[kind](np.random.default_rng([11, k, *map(ord, kind + name)]))
        found = edge_gap(shape, pairs.SKINS[name])
        if found.distance > 0.0:
            assert found.bound <= 0.01
            difference = held_against_the_kernel(found, pairs.SKINS[name], edge_pieces(name))
            assert -found.bound - 1e-6 <= difference <= AGREE, (k, found, difference)


@pytest.mark.parametrize("kind", ["prism", "tilted", "bore"])
@pytest.mark.parametrize("face", ["front", "back"])
def test_any_shape_and_a_plain_face(kind, face):
    skin, apart = pairs.SKINS["square"], 0
    for k in range(12):
        found = face_gap(KINDS[kind](np.random.default_rng([13, k, *map(ord, kind)])), skin, face)
        apart += found.distance > 0.0
        assert abs(held_against_the_kernel(found, skin)) < 1e-6 + (
            1.0 if found.distance == 0.0 else 0.0
        )
    assert apart


@pytest.mark.parametrize("one, two", COUPLES)
def test_what_must_hold_of_any_distance(one, two):
    """Nearer by d along the witnesses: d less, whatever the shapes. Swapped or mirrored: the
    same."""
    tested = 0
    for a, b, found in made(one, two)[:16]:
        assert gap(b, a).distance == pytest.approx(found.distance, abs=0.006)
        assert gap(pairs.mirrored(a), pairs.mirrored(b)).distance == pytest.approx(
            found.distance, abs=0.006
        )
        if found.distance > 0.2:
            p, q = map(np.array, found.at)
            way, step = (p - q) / found.distance, 0.4 * found.distance
            assert gap(a, pairs.moved(b, step * way)).distance == pytest.approx(
                found.distance - step, abs=0.01
            )
            touching = gap(a, pairs.moved(b, found.distance * way))
            assert touching.distance <= 0.01
            into = gap(a, pairs.moved(b, (found.distance + 0.05) * way))
            assert into.distance <= 0.01
            tested += 1
    assert tested >= 2


@pytest.mark.parametrize("one, two", COUPLES)
def test_one_inside_the_other_meets(one, two):
    """A small shape moved wholly into a large one, and the other way round, has no distance to
    it."""
    tested = 0
    for a, b, _ in made(one, two):
        for host, guest in ((a, KINDS[two]), (b, KINDS[one])):
            plan = host.profile if isinstance(host, Prism) else getattr(host, "section", None)
            if plan is not None and not pairs.convex(plan):
                continue
            heart = np.array(pairs.inside(host))
            small = (
                bore(tuple(heart), (0.3, 0.2, 1.0), 0.01, 0.02)
                if guest is pairs.drilled
                else Prism(
                    rectangle(0.01, 0.02, 0.0, *heart[:2]),
                    heart[2] - 0.005,
                    heart[2] + 0.005,
                    (0.1, 0.0) if guest is pairs.tilted else (0.0, 0.0),
                    tuple(heart[:2]),
                )
            )
            assert gap(host, small).distance == 0.0 and gap(small, host).distance == 0.0
            tested += 1
    assert tested >= len(made(one, two)) / 4


def test_a_hole_lost_in_another_holes_point():
    """A small prism wholly inside the cone of a bore, past its shoulder."""
    wide = bore((0.0, 0.0, 0.0), (0.0, 0.0, -1.0), 20.0, 20.0, 90.0)
    small = Prism(rectangle(1.0, 1.0, 0.0), -14.0, -13.0)
    assert wide.shoulder == pytest.approx(10.0) and gap(wide, small).distance == 0.0


@pytest.mark.parametrize("slope", [(0.05, 0.0), (0.3, -0.4), (-0.02, 0.9)])
@pytest.mark.parametrize(
    "plan",
    [rectangle(20, 14, 5), profile([(0, 0), (20, 0, 0.3), (20, 10), (10, 6, -0.4), (0, 12)])],
)
def test_points_to_a_tilted_floor(plan, slope):
    """No point of a dense cloud on the prism is nearer than the point that `closest` gives, and
    that lies on it."""
    shape = Prism(plan, -30.0, 32.0, slope, (3.0, 1.0))
    r = np.random.default_rng(3)
    x0, y0, x1, y1 = plan.box
    grid = np.stack(np.meshgrid(np.linspace(x0, x1, 90), np.linspace(y0, y1, 90)), -1).reshape(
        -1, 2
    )
    s = plan.segments
    grid = np.vstack(
        [grid[s.encloses(grid)], *(s.at(np.full(len(s), t)) for t in np.linspace(0.0, 1.0, 200))]
    )
    cloud = np.column_stack([grid, shape.floor_at(grid)])
    points = r.uniform(-45, 45, (150, 3))
    distance, foot = shape.closest(points)
    assert np.linalg.norm(points - foot, axis=1) == pytest.approx(distance, abs=1e-9)
    assert shape.closest(foot)[0] == pytest.approx(0.0, abs=1e-9)
    nearest = np.linalg.norm(points[:, None, :] - cloud[None], axis=2).min(axis=1)
    assert (distance <= nearest + 1e-9).all()
    floor_first = foot[:, 2] <= shape.floor_at(foot[:, :2]) + 1e-9
    low = (distance > 1.0) & floor_first
    assert low.sum() > 20 and (nearest[low] - distance[low]).max() < 0.1


def test_a_level_drill_over_a_parallel_face_is_exact():
    """Whole faces at one distance: the boxes settle it, no search runs out of cells."""
    over = bore((0.0, 0.0, -10.0), (0.0, 0.0, 1.0), 14.0, 9.0, 118.0)
    found = gap(over, Prism(rectangle(60.0, 60.0, 2.0), -30.0, -14.5))
    assert (
        isinstance(over, Bore)
        and found.distance == pytest.approx(4.5, abs=1e-9)
        and found.bound == 0.0
    )
