"""`string-path` by hand: each string from its saddle to what holds its end."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.interface import Anchor, Saddle
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.layout.void import Room
from bodycad.parts.bridge import BassBridge, Hardtail, TopLoad
from bodycad.parts.bridge_posts import PostBridge, Tailpiece, WrapBar
from tests.checks.bench import ask, board, hardtail, holds, instrument, necked, none, one, pocket
from tests.sample import Loose

GAUGES = (0.254, 0.3302, 0.4318, 0.6604, 0.9144, 1.1684)
"""0.010 to 0.046 in."""
UP = (1.0, 0.0, 0.0)


def loose(end, *rooms, passes=None):
    """The first string on a saddle at the scale line, 10 mm high, its end held at `end`: the string
    bears 2 mm farther back at most, for the saddle does not travel."""
    y = instrument().lines[0].y_at(0.0)
    saddle = Saddle(
        part="own", id="own.saddle", at=(0.0, y, 10.0), along=UP, ahead=0.0, behind=0.0,
        low=10.0, high=10.0, string=1,
    )  # fmt: skip
    x, aside, z = end
    bar = Anchor(part="own", at=((x, y + aside, z),), strings=1, string=1, passes=passes)
    return board(Placed("own", Loose((), rooms, (saddle, bar))))


@pytest.mark.parametrize(
    "down, status", [(8.0, "pass"), (3.0, "warn"), (1.0, "fail"), (-2.0, "fail")]
)
def test_break_over_the_saddle(down, status):
    """Over 40 mm; without a neck the playing string is taken for level."""
    found = one(loose((-40.0, 0.0, 10.0 - down)), "string-path", "own", "own", text="bends down")
    holds(found, status, math.degrees(math.atan2(down, 40.0)), 1e-6)


def test_break_counts_the_playing_strings_own_slope():
    """A level pocket 13 mm deep: the crowns stand 13.6 mm over the body, and a string with 1.6 mm
    of action at the 12th fret rises by 2.2 mm over 635 from the nut; to an edge 4.5 mm high."""
    layout = board(necked(depth=13.0), Placed("bridge", TopLoad(52.5), Place(-24.0)))
    found = one(layout, "string-path", "bridge", "bridge", text="bends down")
    own, runs = layout.instrument, []
    for k, action in enumerate(own.actions12):
        rise = 2.0 * (action - 0.5) / own.lines[k].scale
        x, y = own.saddle_points[k]
        z = 13.6 + 0.5 + rise * (own.lines[k].nut[0] - x)
        far = math.hypot(x + 24.0, y - 10.5 * (k - 2.5))
        runs.append(math.degrees(math.atan2(z - 4.5, far) + math.atan(rise)))
    holds(found, "pass", min(runs), 0.01)


@pytest.mark.parametrize("aside, status", [(0.0, "pass"), (3.5, "warn"), (6.0, "fail")])
def test_bent_aside_over_the_saddle(aside, status):
    """The string comes from the nut 8.75 mm nearer the middle over 635 mm."""
    found = one(loose((-40.0, -aside, 2.0)), "string-path", "own", "own", text="aside")
    own = math.degrees(math.atan2(8.75, 635.0))
    holds(found, status, abs(math.degrees(math.atan2(aside, 40.0)) - own), 1e-6)


@pytest.mark.parametrize(
    "top, status", [(4.9, "pass"), (5.7, "warn"), (6.05, "fail"), (7.0, "fail")]
)
def test_the_string_over_the_bridges_rear(top, status):
    """The axis falls from 10.127 at 0 to 2 at -40; over the rear edge at -20 its height is 6.0635,
    square to it 0.98 of what is left under it, less half the gauge."""
    edge = Prism(rectangle(8.0, 60.0, 0.0, -16.0, 0.0), 0.0, top)
    layout = loose((-40.0, 0.0, 2.0), Room("own.edge", "own", "part", edge))
    found = one(layout, "string-path", "own.edge", "own")
    slope = (10.0 + 0.127 - 2.0) / 40.0
    free = (2.0 + 20.0 * slope - top) / math.hypot(1.0, slope) - 0.127
    holds(found, status, max(free, 0.0))


@pytest.mark.parametrize("hole, status", [(3.2, "pass"), (1.5, "warn"), (1.3, "fail")])
def test_a_string_must_pass_its_hole(hole, status):
    """The thickest is 0.046 in: 1.168 mm."""
    found = one(board(hardtail(string_hole=hole)), "string-path", "bridge", "strings")
    holds(found, status, hole - GAUGES[-1], 1e-6)


def test_a_bass_string_does_not_pass_a_guitars_hole():
    found = one(loose((-40.0, 0.0, 2.0), passes=0.3), "string-path", "own", "strings")
    holds(found, "fail", 0.3 - GAUGES[0], 1e-6)


@pytest.mark.parametrize(
    "gap, status", [(0.5, "pass"), (0.1, "warn"), (0.0, "fail"), (-1.0, "fail")]
)
def test_bridges_beside_each_other(gap, status):
    """Two plates 32 mm wide, their middles 32 mm and the gap apart."""
    far = 16.0 + gap / 2.0
    sizes = {"spread": 21.0, "strings": 3, "plate_width": 32.0, "screws": ((27.0, 0.0),)}
    parts = [
        Placed(name, Hardtail(**sizes), Place(-17.0, side * far))
        for name, side in (("one", -1.0), ("two", 1.0))
    ]
    holds(one(board(*parts), "string-path", "one", "two"), status, max(gap, 0.0), 1e-6)


def test_one_bridge_has_no_neighbour_and_none_no_question():
    assert none(board(hardtail()), "string-path", "bridge", "bridge.2")
    assert [f.status for f in ask(board(), "string-path")] == ["skip"]


def two_posts(left=False, tail=-44.0, **sizes):
    """A bridge on posts and a tailpiece behind it, in a pocket 13 mm deep."""
    return board(
        necked(depth=13.0),
        Placed("bridge", PostBridge(52.5), Place(-4.0)),
        Placed("tail", Tailpiece(**{"hole_pitch": 10.5, **sizes}), Place(tail)),
        left_handed=left,
    )


@pytest.mark.parametrize("left", [False, True])
@pytest.mark.parametrize(
    "held, tail, bad",
    [
        (12.0, -44.0, set()),
        (4.5, -30.0, {"string-path.clear"}),
        (16.0, -44.0, {"string-path.break"}),
    ],
)
def test_the_tailpieces_height(held, tail, bad, left):
    """Too low and near, and the strings lie on the bar's rear edge; too high, and they do not bear
    down."""
    found = ask(two_posts(left, tail, held=held), "string-path")
    assert {f.code for f in found if f.status == "fail"} == bad


def test_the_bar_goes_up_with_its_saddles():
    """Its rear edge is 7 mm behind the posts and 3.5 mm under the strings' points, wherever it is
    screwed to: the string bears z high and is held at 10."""
    layout = two_posts(held=10.0)
    found = one(layout, "string-path", "bridge.bar", "tail")
    own, clear = layout.instrument, []
    for k, action in enumerate(own.actions12):
        x, y = own.saddle_points[k]
        z = 14.1 + 2.0 * (action - 0.5) / own.lines[k].scale * (own.lines[k].nut[0] - x)
        r, far = GAUGES[k] / 2.0, math.hypot(x + 36.5, y - 10.5 * (k - 2.5))
        slope = (z + r - 10.0) / far
        behind = (x + 11.0) / (x + 36.5) * far
        clear.append((r + 3.5 - slope * behind) / math.hypot(1.0, slope) - r)
    holds(found, found.status, min(clear), 0.02)


def test_posts_toward_a_route():
    """A bush of 11 mm at x = -4 and a pickup's route that ends d mm before it."""
    for d, status in ((12.0, "pass"), (8.0, "warn"), (5.0, "fail")):
        route = pocket("route", -4.0 + 5.5 + d + 10.0, -37.0, 20.0, 40.0, 18.0)
        layout = board(Placed("bridge", PostBridge(52.5), Place(-4.0)), route)
        holds(one(layout, "post-web", "bridge.post.1", "route.cut"), status, d)


def test_a_joint_through_a_post_warns():
    layout = two_posts()
    blank = replace(layout.blank, joints=(37.0,))
    body = replace(layout.body, blank=blank)
    found = ask(replace(layout, pieces=(body, *layout.pieces[1:])), "glue-joint")
    assert [f.subjects[0] for f in found if f.status == "warn"] == ["bridge.post.2", "tail.post.2"]


@pytest.mark.parametrize("turn", [0.0, 2.0])
def test_a_bar_that_is_bridge_and_anchor(turn):
    """It goes up with its ridge: its strings leave it 5 mm lower, 8 mm behind its middle."""
    layout = board(
        necked(depth=13.0), Placed("bridge", WrapBar(52.5, adjust=6.0), Place(-3.0, 0.0, turn))
    )
    found = one(layout, "string-path", "bridge", "bridge", text="bends down")
    assert found.status == "pass" and 20.0 < found.value < 60.0
    assert not [f for f in ask(layout, "string-path") if f.status == "fail"]
    assert {f.status for f in ask(layout, "saddle-window")} <= {"pass", "warn"}
    assert not [f for f in ask(layout, "complete") if "saddle" in f.code or "anchor" in f.code]


@pytest.mark.parametrize("strings", [4, 5, 6, 7, 8])
def test_plates_follow_strings_and_spread(strings):
    """By the stated rules, for a spread of 10.5 mm a step: pitch 10.5, 13.75 mm beside the outer
    strings, screws 10 mm inside the sides before the saddles and 6 mm inside them behind."""
    spread = 10.5 * (strings - 1)
    for part in (Hardtail(spread, strings=strings), TopLoad(spread, strings=strings)):
        half = spread / 2.0 + 13.75
        assert part.hole_pitch == pytest.approx(10.5) and part.hole_pitch.origin == "default"
        assert part.plate_width == pytest.approx(2.0 * half)
        assert [v for _, v in part.screws] == pytest.approx(
            [10.0 - half, 0.0, half - 10.0, 6.0 - half, half - 6.0]
        )
        voids = part.voids("b", Place(), 44.0)
        assert len([v for v in voids if ".string." in v.id]) in (0, strings)
        assert len(part.saddle_offsets) == len(part.hole_offsets) == strings
        assert part.hole_offsets == pytest.approx(part.saddle_offsets)


@pytest.mark.parametrize("through", [False, True])
def test_a_basss_bridge_holds_its_strings_either_way(through):
    part = BassBridge(68.0, strings=5, through=through)
    voids, layout = part.voids("b", Place(), 44.0), board(Placed("b", part, Place(-30.0)))
    assert len(voids) == 5 + 10 * through
    assert len([i for i in layout.interfaces if isinstance(i, Anchor)]) == 1 - through
    holes = sorted({round(v.shape.start[0], 6) for v in voids if ".string." in v.id})
    assert holes == ([12.0] if through else [])
