"""`post-web.crush` by hand: six strings of 72.524 N pull 435.14 N, nearly along the centreline.

Red alder of gravity 0.41 bears 76.0 x 0.41^0.89 = 34.37 MPa along the grain.
"""

import math

import pytest

from bodycad.checks.rules.posts import SLENDER, post_crush
from bodycad.errors import InputError
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.interface import Anchor, Post, Saddle
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.layout.void import Void
from bodycad.parts.bridge_posts import PostBridge, Posts, Tailpiece, WrapBar
from bodycad.parts.bridge_vibrato import PostVibrato, ScrewVibrato
from bodycad.wood import pressing_law
from tests.checks_more.bench import bench, hole, loose, only

ALL, BEARS = 6 * 72.524, 76.0 * 0.41**0.89
NEAR = {"rel": 2e-3}
"""The strings lie up to 0.8 degrees aside."""


def times(force, over, deep, wide):
    """Linear pressure on a rigid post's wall: F / (d L) (4 + 6 e / L), against the wood."""
    return BEARS / (force / (wide * deep) * (4.0 + 6.0 * over / deep))


def crush(layout, name):
    return only(post_crush(layout), "post-web.crush", name)


def wrapped(deep=20.0, *more, **changes):
    """Strings over a ridge 12 mm high on two posts in bushes 11.5 mm wide."""
    bar = WrapBar(spread=52.5, posts=Posts(spread=82.0, bush=11.5, depth=deep))
    return bench(Placed("bridge", bar, Place(0.0)), *more, **changes)


def test_the_law_of_the_wood():
    assert pressing_law(0.41) == pytest.approx(34.4, abs=0.05)


@pytest.mark.parametrize("left_handed", [False, True])
@pytest.mark.parametrize("deep, status", [(20.0, "pass"), (8.0, "warn"), (7.0, "fail")])
def test_a_bar_that_holds_the_strings_leans_by_its_ridge(deep, status, left_handed):
    """8 mm: 217.57 / 92 x (4 + 9) = 30.7 MPa, 1.12 times; 7 mm: 38.6 MPa, 0.89 times."""
    layout = wrapped(deep, left_handed=left_handed)
    for name in ("bridge.post.1", "bridge.post.2"):
        found = crush(layout, name)
        assert found.value == pytest.approx(times(ALL / 2.0, 12.0, deep, 11.5), **NEAR)
        assert found.status == status


def test_a_recess_before_the_post_takes_its_hold_away():
    """A recess 6 mm deep round the posts: 14 of 20 mm are left, and the strings pull 18 mm over
    the mouth."""
    plan = Prism(rectangle(60.0, 120.0), -6.0, 0.0)
    recess = Void("q.recess", "q", "front", "POCKET", plan, frozenset({"front"}))
    found = crush(wrapped(20.0, loose(recess, name="q")), "bridge.post.1")
    assert found.value == pytest.approx(times(ALL / 2.0, 18.0, 14.0, 11.5), **NEAR)


@pytest.mark.parametrize("deep, status", [(20.0, "pass"), (6.0, "warn"), (4.0, "fail")])
def test_springs_lean_on_the_posts_of_a_plate_that_tips(deep, status):
    """Strings 12 mm over the face, the pivot 3; springs 41 - 1 - 3.75 = 36.25 mm under the pivot
    pull 9 / 36.25 of the strings more, and both lean on the posts at the pivot."""
    posts = Posts(spread=74.0, bush=10.0, stud=6.0, depth=deep)
    part = PostVibrato(spread=52.5, posts=posts, saddle_low=12.0, rise=3.0)
    found = crush(bench(Placed("bridge", part, Place(0.0))), "bridge.post.2")
    force = ALL / 2.0 * (1.0 + 9.0 / 36.25)
    assert found.value == pytest.approx(times(force, 3.0, deep, 10.0), **NEAR)
    # At 6 mm 1.06 times.
    assert found.status == status


def test_a_slender_screw_holds_by_five_diameters():
    """Six pivot screws in pilots of 2.4 mm, which tip the plate at the face."""
    part = ScrewVibrato(spread=52.5)
    layout = bench(Placed("vibrato", part, Place(0.0)))
    pilot, lever = layout.by_id["vibrato.pivot.1"].shape.hole.diameter, part.lever
    force = ALL / 6.0 * (1.0 + part.saddle_low / lever)
    due = times(force, 0.0, SLENDER * pilot, pilot)
    assert crush(layout, "vibrato.pivot.1").value == pytest.approx(due, **NEAR)


def test_a_bridge_before_a_tailpiece_takes_what_the_strings_bend():
    """From 13 mm over the face at the saddles to 9.5 at the tailpiece's front: the bridge's posts
    take 1 less the cosine of that slope, the tailpiece's the cosine."""
    bridge = Placed("bridge", PostBridge(spread=52.5, saddle_low=13.0), Place(0.0))
    layout = bench(bridge, Placed("tail", Tailpiece(hole_pitch=10.5, held=9.5), Place(-60.0)))
    saddle = layout.instrument.saddle_points[0][0]
    slope = math.cos(math.atan(3.5 / (min(max(saddle, -5.0), 5.0) + 60.0 - 7.5)))
    found = crush(layout, "tail.post.1")
    assert found.value == pytest.approx(times(ALL / 2.0 * slope, 9.5, 20.0, 11.5), **NEAR)
    assert crush(layout, "bridge.post.1").value == pytest.approx(
        times(ALL / 2.0 * (1.0 - slope), 13.0, 20.0, 11.0), rel=0.05
    )


def own(post, **changes):
    """A part of a maker's own: one post 10 mm wide and 20 deep, and the strings over it."""
    wood = hole("p.post", -10.0, 0.0, 10.0, 20.0, "POST")
    spots = [(0.0, -26.25 + 10.5 * k, 8.0) for k in range(6)]
    saddles = [
        Saddle(part="p", id=f"s.{k}", at=at, along=(1, 0, 0), ahead=5, behind=9, low=8, high=9)
        for k, at in enumerate(spots)
    ]
    ends = Anchor(part="p", at=tuple((-20.0, y, 3.0) for _, y, _ in spots), strings=6, **changes)
    return bench(loose(wood, says=(post, ends, *saddles)))


@pytest.mark.parametrize("named", [(), ("p.post",)])
def test_a_post_of_a_makers_own(named):
    post = Post(part="p", hole="p.post", pull=(1.0, 0.0, 0.0))
    found = crush(own(post, posts=named), "p.post")
    assert found.value == pytest.approx(times(ALL, 8.0, 20.0, 10.0), **NEAR)


def test_a_post_that_no_string_pulls_passes():
    post = Post(part="p", hole="p.post", pull=(-1.0, 0.0, 0.0))
    assert crush(own(post), "p.post").value is None


def test_a_pivot_needs_springs():
    with pytest.raises(InputError, match="springs"):
        Post(part="p", hole="p.post", pull=(1.0, 0.0, 0.0), pivot=(0.0, 0.0, 3.0))
