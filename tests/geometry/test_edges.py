"""Edges as chains, along stretches of the outline, and under contours: closed forms and laws.

Pappus's second theorem gives the volumes: area of the section, times the way of its centroid.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bodycad.errors import InputError
from bodycad.geometry.distance.edge import edge_gap
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.edge import Chamfer, Cove, Ledge, Rim, Roundover, Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Contour, Skin
from bodycad.geometry.solids.stretch import Stretch, stopped
from bodycad.layout.contours import fall_away
from bodycad.layout.volume import edged_volume, skin_volume
from tests.solid.edge_bodies import OUTLINES, T, a_body

BOARD = OUTLINES["board"]
EDGES = (
    Roundover(3.0),
    Cove(4.0),
    Chamfer(3.0),
    Chamfer(2.0, 5.0),
    Ledge((0.5, 1.0), 6.4),
    Rim(((20.0, 0.0, 0.1), (10.0, 3.0), (10.0, 5.0, -0.1), (0.0, 9.0))),
)
CORNER_AREA, CORNER_CENTROID = 1.0 - math.pi / 4.0, (10.0 - 3.0 * math.pi) / (12.0 - 3.0 * math.pi)
"""Of the corner that a quarter circle of radius 1 leaves of its square: area; centroid from either
side of the square, (5/6 - pi/4) / (1 - pi/4)."""


@pytest.mark.parametrize("edge", EDGES, ids=lambda e: e.words)
def test_inset_and_loss_are_one_chain(edge):
    s, depth = np.linspace(0.0, 1.2 * edge.reach, 4001), np.linspace(0.0, 1.2 * edge.drop, 4001)
    inset = np.array([edge.inset(float(d)) for d in depth])
    assert np.trapezoid(edge.loss(s), s) == pytest.approx(edge.area, rel=2e-3)
    assert np.trapezoid(inset, depth) == pytest.approx(edge.area, rel=2e-3)
    assert np.all(np.diff(edge.loss(s)) <= 1e-12) and np.all(np.diff(inset) <= 1e-12)
    inside = inset > 1e-6
    back = edge.loss(inset[inside] - 1e-9) - depth[inside]
    assert back.min() > -1e-3  # at a level floor the loss jumps past the depth


def test_sections_of_quarter_circles():
    round_, hollow = Roundover(3.0), Cove(3.0)
    assert round_.area == pytest.approx(9.0 * CORNER_AREA, rel=1e-12)
    assert round_.centroid == pytest.approx((3.0 * CORNER_CENTROID, -3.0 * CORNER_CENTROID))
    assert hollow.area == pytest.approx(9.0 * math.pi / 4.0, rel=1e-12)
    assert hollow.centroid == pytest.approx((4.0 / math.pi, -4.0 / math.pi))  # 4 r / (3 pi)


def run_loss(outline, edge, start, end):
    square = Skin(outline, T, Square(), Square())
    return edged_volume(square) - edged_volume(replace(square, front=Stretch(edge, start, end)))


@pytest.mark.parametrize(
    ("edge", "due"), [(Roundover(3.0), 900.0 * CORNER_AREA), (Chamfer(3.0), 450.0)]
)
def test_along_100_mm_of_a_line(edge, due):
    found = run_loss(BOARD, edge, (-50.0, -150.0), (50.0, -150.0))
    assert found == pytest.approx(due, rel=1e-7)


@pytest.mark.parametrize("edge", EDGES[:5], ids=lambda e: e.words)
def test_round_a_disc_and_round_a_hollow(edge):
    """Pappus on a whole disc of radius 20, and on a quarter of it where it bulges and where the
    outline bends in."""
    disc = circle(40.0)
    lost = disc.area * T - edged_volume(Skin(disc, T, edge, Square()))
    pappus = edge.area * 2.0 * math.pi * (20.0 - edge.centroid[0])
    assert lost == pytest.approx(pappus, rel=1e-8)
    assert run_loss(disc, edge, (20, 0), (0, 20)) == pytest.approx(pappus / 4.0, rel=1e-7)
    q = math.tan(math.pi / 8.0)
    hollow = profile([(0, 0), (130, 0), (130, 40), (100, 40, -q), (80, 60), (80, 100), (0, 100)])
    way = math.pi / 2.0 * (20.0 + edge.centroid[0])
    found = run_loss(hollow, edge, (100.0, 40.0), (80.0, 60.0))
    assert found == pytest.approx(edge.area * way, rel=1e-7)


def test_round_a_roundover_of_3_on_a_disc_of_20():
    assert 9.0 * CORNER_AREA * 2.0 * math.pi * (20.0 - 3.0 * CORNER_CENTROID) == pytest.approx(
        234.5769492, rel=1e-9
    )


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: Chamfer(0.0), "a chamfer's width is 0"),
        (lambda: Chamfer(1.0, math.nan), "a chamfer's height is nan"),
        (lambda: Cove(-1.0), "a cove's radius is -1"),
        (lambda: Rim(((3.0, 0.0), (4.0, 1.0), (0.0, 2.0))), "never grows"),
        (lambda: Rim(((3.0, 0.0, 0.6), (0.0, 3.0))), "never grows"),
        (lambda: Rim(((3.0, 1.0), (0.0, 3.0))), r"from \(reach, 0\)"),
        (lambda: Rim(((3.0, 0.0), (0.0, math.inf))), "inf"),
        (lambda: Rim(((3.0, 0.0),)), "2 or more"),
        (lambda: Rim(((3.0, 0.0), 5.0)), "item 2 of a rim's given is 5"),
        (lambda: Skin(BOARD, T, "round", Square()), "an edge such as"),
        (
            lambda: Skin(BOARD, T, Chamfer(31.0), Square()),
            "tightest bulge there, at .*, radius 30 mm",
        ),
        (lambda: Contour("c", "side", None), "front, back"),
        (lambda: Skin(BOARD, T, Chamfer(5.0, 25.0), Cove(20.0)), "heights together is 45"),
        (
            lambda: Skin(BOARD, T, Stretch(Cove(31.0), (200, 0), (0, 150)), Square()),
            "tightest bulge",
        ),
        (
            lambda: Skin(rectangle(99, 99), T, Stretch(Cove(4.0), (49.5, 48), (0, 49.5)), Square()),
            "nearer to no other part",
        ),
        (
            lambda: Skin(
                BOARD,
                T,
                (Stretch(Cove(4.0), (200, 0), (0, 150)), Stretch(Cove(5.0), (50, 150), (0, -150))),
                Square(),
            ),
            "two that share 50.00 mm",
        ),
        (
            lambda: stopped(BOARD, Cove(4.0), ((0.0, 150.0, 0.0),)),
            "item 3 of item 1 of the at of stopped.. is 0",
        ),
        (lambda: stopped(BOARD, Cove(4.0), ((0.0, 150.0, 2000.0),)), "cover the whole outline"),
    ],
)
def test_bad_edges_are_one_clear_error(make, says):
    with pytest.raises(InputError, match=says):
        make()


bodies = st.integers(0, 400).map(a_body)


def gaps(skin, shapes):
    return np.array([edge_gap(shape, skin).distance for shape in shapes])


@settings(max_examples=12, deadline=None)
@given(bodies)
def test_mirrored_bodies_are_mirrored(body):
    skin, turned = body.skin, body.skin.mirrored()
    assert skin_volume(turned) == pytest.approx(skin_volume(skin), rel=1e-7)
    mirror = [shape.mirrored() for shape in body.shapes]
    assert np.allclose(gaps(skin, body.shapes), gaps(turned, mirror), rtol=0.0, atol=0.011)
    spots = np.random.default_rng(1).uniform(-150.0, 150.0, (300, 2))
    spots = spots[skin.inset(spots) > 0.0]
    for face in ("front", "back"):
        there = turned.height(face, spots * [1.0, -1.0])
        assert np.allclose(skin.height(face, spots), there, rtol=0.0, atol=1e-6)


@settings(max_examples=10, deadline=None)
@given(
    st.sampled_from(EDGES),
    st.sampled_from(["board", "round", "waisted"]),
    st.floats(0.0, 1.0),
    st.floats(0.1, 0.9),
)
def test_whole_stretches_and_split_stretches_change_nothing(edge, name, share, split):
    outline = OUTLINES[name]
    start, middle, end = (_at(outline, (share + part) % 1.0) for part in (0.0, 0.6 * split, 0.6))
    plain = Skin(outline, T, edge, Square())
    assert Skin(outline, T, Stretch(edge, start, start), Square()).front == edge
    assert (
        Skin(
            outline, T, (Stretch(edge, start, middle), Stretch(edge, middle, start)), Square()
        ).front
        == edge
    )
    one = Skin(outline, T, Stretch(edge, start, end), Square())
    two = Skin(outline, T, (Stretch(edge, start, middle), Stretch(edge, middle, end)), Square())
    assert edged_volume(two) == pytest.approx(edged_volume(one), rel=1e-12)
    # Both halves of a whole outline, as two runs of their own, take what the plain edge takes.
    rest = Skin(outline, T, Stretch(edge, end, start), Square())
    slab = outline.area * T
    assert (slab - edged_volume(one)) + (slab - edged_volume(rest)) == pytest.approx(
        slab - edged_volume(plain), rel=1e-7
    )


def test_a_stretch_that_starts_where_the_outline_is_drawn_from_is_whole():
    """The chain's own first vertex, and places 1e-9 mm before and after it, are one place."""
    s = BOARD.segments
    first, ahead = s.a[0], s.tangent(np.zeros(len(s)))[0]
    spots = [tuple(map(float, first + d * ahead)) for d in (-1e-9, 0.0, 1e-9)]
    for start in spots:
        for end in spots:
            assert Skin(BOARD, T, Stretch(Chamfer(3.0), start, end), Square()).front == Chamfer(3.0)


def _at(outline, share):
    s = outline.segments
    along = np.cumsum(s.length)
    k = int(np.searchsorted(along, share * along[-1]))
    t = 1.0 - (along[k] - share * along[-1]) / s.length[k]
    return tuple(map(float, s.take(np.array([k])).at(np.array([t]))[0]))


@settings(max_examples=8, deadline=None)
@given(bodies, st.floats(1.05, 1.5))
def test_a_larger_edge_leaves_less_wood(body, grown):
    """With every edge of a stretch larger, no solid has more wood to it, and the body less
    volume."""
    small = Chamfer(4.0, 6.0)
    start, end = _at(body.skin.outline, 0.1), _at(body.skin.outline, 0.45)
    skins = [
        replace(body.skin, front=Stretch(edge, start, end), back=Square())
        for edge in (small, Chamfer(4.0 * grown, 6.0 * grown))
    ]
    assert np.all(gaps(skins[1], body.shapes) <= gaps(skins[0], body.shapes) + 0.011)
    assert edged_volume(skins[1]) < edged_volume(skins[0])


def test_beyond_the_end_of_a_stretch_its_end_plane_counts():
    """A ledge 6 wide and 6 deep along y = 150 ends at x = 0: its inner end there is (0, 144)."""
    skin = Skin(BOARD, T, Stretch(Ledge((6.0,), 6.0, 0.0), (100.0, 150.0), (0.0, 150.0)), Square())
    far = Prism(circle(4.0, -10.0, 141.0), -30.0, -1.0)
    assert edge_gap(far, skin).distance == pytest.approx(7.0, abs=1e-9)  # the side is nearer
    near = Prism(circle(4.0, -3.0, 141.0), -30.0, -1.0)
    found = edge_gap(near, skin)
    assert found.distance == pytest.approx(math.hypot(3.0, 3.0) - 2.0, abs=found.bound)
    assert found.bound <= 0.01 and found.at[1][:2] == pytest.approx((0.0, 144.0), abs=0.02)
    drilled = bore((-20.0, 141.0, -3.0), (1.0, 0.0, 0.0), 4.0, 15.0)
    assert edge_gap(drilled, skin).distance == pytest.approx(math.hypot(5.0, 1.0), abs=0.01)


BEVEL = Contour(
    "contour.bevel",
    "front",
    fall_away("x", "front", T, (100.0, 0.0), 0.0, run=80.0, drop=20.0).carve,
)


def test_a_ledge_that_follows_lies_its_height_under_the_shaped_face():
    ledge = Ledge((3.0,), 6.0, 0.0)
    skin = Skin(BOARD, T, ledge, Square(), (BEVEL,))
    level = replace(skin, front=replace(ledge, follows=False))
    spots = np.array([[199.0, 10.0], [198.0, -40.0], [196.0, 10.0], [-199.0, 10.0]])
    fall = skin.fall("front", spots)
    assert fall[0] > 15.0 and fall[3] == 0.0
    due = np.where(skin.inset(spots) < 3.0, -fall - 6.0, -fall)
    assert skin.height("front", spots) == pytest.approx(due)
    assert level.height("front", spots) == pytest.approx(
        np.where(skin.inset(spots) < 3.0, -np.maximum(fall, 6.0), -fall)
    )
    # A hole under the band, 0.5 mm below the floor of the ledge that follows at x = 199.2.
    x, top = np.linspace(197.0, 200.0, 30001), float(due[0]) - 0.5
    hole = Prism(circle(0.2, 198.2, 0.0), -40.0, top)
    floor = -skin.fall("front", np.column_stack([x, np.zeros(len(x))])) - 6.0
    least = float(np.hypot(np.maximum(np.abs(x - 198.2) - 0.1, 0.0), floor - top).min())
    assert edge_gap(hole, skin).distance == pytest.approx(least, abs=0.011) and least < 1.0
    assert edge_gap(hole, level).distance == pytest.approx(1.7, abs=1e-9)  # to the side
    assert skin_volume(skin) < skin_volume(level)


def test_follow_volume_is_the_integral_of_the_fall_in_the_band():
    """Along a straight side that the contour lowers evenly, the ledge takes its band times what the
    fall leaves of its height, per mm of side."""
    ledge, drop = Ledge((3.0,), 6.0, 0.0), 10.0
    flat = profile([(190, -drop), (260, -drop), (260, 30), (190, 30)])
    carve = replace(BEVEL.carve, section=flat, origin=(0.0, 0.0), span=(-50.0, 50.0))
    step = Contour("contour.step", "front", carve)
    skin = Skin(BOARD, T, ledge, Square(), (step,))
    level = replace(skin, front=replace(ledge, follows=False))
    assert skin_volume(level) - skin_volume(skin) == pytest.approx(3.0 * 6.0 * 100.0, rel=1e-4)


def test_edges_at_a_place():
    skin = Skin(
        BOARD,
        T,
        (
            Stretch(Chamfer(3.0, 5.0), (100, 150), (0, 150)),
            Stretch(Cove(2.0), (-200, 0), (0, -150)),
        ),
        Roundover(4.0),
    )
    spots = np.array([[50.0, 149.0], [-50.0, 149.0], [-199.0, -50.0]])
    assert skin.edge_at("front", spots)[1] == pytest.approx([5.0, 0.0, 2.0])
    assert skin.edge_at("front", spots)[0] == pytest.approx([3.0, 0.0, 2.0])
    assert skin.edge_at("back", spots)[1] == pytest.approx([4.0] * 3)
    assert skin.level("back") == -T and skin.height("front", spots)[1] == 0.0
    with pytest.raises(InputError, match="a face"):
        skin.level("top")


def test_moved_skins_keep_their_stretches():
    body = a_body(3)
    there = body.skin.moved(30.0, -12.0)
    moved = [shape.moved(30.0, -12.0) for shape in body.shapes]
    assert gaps(there, moved) == pytest.approx(gaps(body.skin, body.shapes), abs=0.011)
    assert skin_volume(there) == pytest.approx(skin_volume(body.skin), rel=1e-7)
