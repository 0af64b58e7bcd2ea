"""Meetings of lines and arcs, splitting, and chaining pieces into regions."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from bodycad.geometry.plane.arrange import Region, halved, joined, loops, regions, split
from bodycad.geometry.plane.build import circle, rectangle, slot
from bodycad.geometry.plane.meet import SNAP, along, box_pairs, crossings, gaps, meetings
from bodycad.geometry.plane.profile import Profile, profile
from bodycad.geometry.plane.segments import Segments

lawful = settings(deadline=None, max_examples=60, derandomize=True)


def segments(*rows) -> Segments:
    """Segments from (ax, ay, bx, by, bulge) rows."""
    v = np.array(rows, float)
    return Segments(v[:, :2], v[:, 2:4], v[:, 4])


def points_of(s: Segments) -> set:
    return {(round(float(x), 9) + 0.0, round(float(y), 9) + 0.0) for x, y in meetings(s).points}


def test_lines_cross_touch_and_miss():
    assert points_of(segments((0, 0, 10, 0, 0), (5, -5, 5, 5, 0))) == {(5.0, 0.0)}
    assert points_of(segments((0, 0, 10, 0, 0), (5, 0, 5, 5, 0))) == {(5.0, 0.0)}
    assert points_of(segments((0, 0, 10, 0, 0), (5, 1e-6, 5, 5, 0))) == set()
    assert points_of(segments((0, 0, 10, 0, 0), (12, -5, 12, 5, 0))) == set()


def test_collinear_overlap_is_marked_by_its_ends():
    assert points_of(segments((0, 0, 10, 0, 0), (4, 0, 15, 0, 0))) == {(4.0, 0.0), (10.0, 0.0)}
    assert points_of(segments((0, 0, 10, 0, 0), (11, 0, 15, 0, 0))) == set()


def test_two_unit_circles_one_apart_meet_at_half_root_three():
    # The common chord of two circles lies (d^2 + r^2 - R^2) / 2d along their axis (CRC,
    # "Circle-Circle Intersection").
    both = joined([circle(2.0).segments, circle(2.0, 1.0).segments])
    found = points_of(both)
    assert {(0.5, round(math.sqrt(3) / 2, 9)), (0.5, round(-math.sqrt(3) / 2, 9))} <= found


@pytest.mark.parametrize("x, r", [(15.0, 5.0), (5.0, 5.0), (-20.0, 10.0)])
def test_tangent_circles_meet_once(x, r):
    turned = joined(
        [
            circle(20.0).moved(turn_deg=40).segments,
            circle(2 * r).moved(turn_deg=70).moved(x).segments,
        ]
    )
    m = meetings(turned)
    cross = m.points[(m.first < 2) != (m.second < 2)]
    assert len(cross) >= 1
    assert np.abs(np.abs(cross[:, 0]) - 10.0).max() < 1e-6 and np.abs(cross[:, 1]).max() < 1e-6


def test_line_tangent_to_an_arc_meets_once_and_near_misses_do_not():
    arc = (10, 0, -10, 0, 1)
    assert points_of(segments(arc, (-20, 10, 20, 10, 0))) == {(0.0, 10.0)}
    assert points_of(segments(arc, (-20, 10 + 1e-8, 20, 10 + 1e-8, 0))) == set()
    assert len(points_of(segments(arc, (-20, 10 - 1e-8, 20, 10 - 1e-8, 0)))) == 2


def test_line_through_an_arc_meets_only_the_arc_itself():
    # x = 6 on radius 10: y = +-8 (the 6-8-10 triangle); the lower point is not on the upper half
    # circle.
    assert points_of(segments((10, 0, -10, 0, 1), (6, -20, 6, 20, 0))) == {(6.0, 8.0)}


def test_arc_tangent_to_two_circles_touches_at_its_known_contacts():
    # Circle of radius 60 externally tangent to radius 30 at (0, 0) and radius 12 at (80, 0): centre
    # distances are the
    # sums of radii (elementary); centre (58.225, 68.6283424), contacts (19.4083333, 22.8761141),
    # (76.3708333, 11.4380571).
    x = (90.0**2 - 72.0**2 + 80.0**2) / 160.0
    y = math.sqrt(90.0**2 - x * x)
    assert (x, y) == pytest.approx((58.225, 68.6283424), abs=5e-8)
    s = joined([circle(120, x, y).segments, circle(60).segments, circle(24, 80, 0).segments])
    m = meetings(s)
    cross = m.points[(m.first // 2) != (m.second // 2)]
    for contact in [(19.4083333, 22.8761141), (76.3708333, 11.4380571)]:
        assert np.hypot(*(cross - contact).T).min() < 1e-6
    assert len({tuple(p) for p in np.round(cross, 5).tolist()}) == 2


segment = st.tuples(*[st.floats(-20, 20)] * 4, st.sampled_from([0.0, 0.3, -0.7, 1.0, 2.0]))


@lawful
@given(st.lists(segment, min_size=2, max_size=8))
def test_every_meeting_lies_on_both_segments_and_none_is_missed(rows):
    rows = [r for r in rows if math.hypot(r[2] - r[0], r[3] - r[1]) > 0.5]
    if len(rows) < 2:
        return
    s = segments(*rows)
    m = meetings(s)
    assert np.all(gaps(s, m.first, m.points) < 1e-6) and np.all(gaps(s, m.second, m.points) < 1e-6)
    # Second opinion: wherever shapely sees the flattened curves cross plainly, there is a meeting.
    t = np.linspace(0.0, 1.0, 801)
    flat = [shapely.LineString(s.take(np.full(801, k)).at(t)) for k in range(len(s))]
    for i in range(len(s)):
        for j in range(i):
            both = np.array([i, j])
            here = m.points[((m.first == i) & (m.second == j)) | ((m.first == j) & (m.second == i))]
            for hit in (
                part
                for part in shapely.get_parts(flat[i].intersection(flat[j]))
                if not part.is_empty
            ):
                p = np.array(hit.representative_point().coords[0])
                u, v = s.take(both).tangent(along(s, np.stack([p, p]), both))
                ends = np.concatenate([s.a[both], s.b[both]])
                if abs(u[0] * v[1] - u[1] * v[0]) > 0.1 and np.hypot(*(ends - p).T).min() > 0.1:
                    assert len(here) and np.hypot(*(here - p).T).min() < 0.02


@lawful
@given(segment, st.floats(0.0, 1.0))
def test_along_inverts_at(row, t):
    if math.hypot(row[2] - row[0], row[3] - row[1]) > 0.5:
        s = segments(row)
        assert along(s, s.at(np.array([t])), np.array([0]))[0] == pytest.approx(t, abs=1e-9)


@lawful
@given(
    st.lists(
        st.tuples(*[st.floats(-50, 50)] * 2, *[st.floats(0, 20)] * 2), min_size=1, max_size=40
    ),
    st.floats(0, 5),
)
def test_box_pairs_equal_the_plain_double_loop(rows, reach):
    v = np.array(rows)
    boxes = np.column_stack([v[:, :2], v[:, :2] + v[:, 2:]])
    got = {tuple(sorted(map(int, p))) for p in zip(*box_pairs(boxes, reach))}
    want = {
        (i, j)
        for i in range(len(v))
        for j in range(i + 1, len(v))
        if all(
            boxes[i, k] <= boxes[j, k + 2] + reach and boxes[j, k] <= boxes[i, k + 2] + reach
            for k in (0, 1)
        )
    }
    assert got == want


def test_split_keeps_uncut_segments_to_the_bit_and_the_total_length():
    s = joined(
        [rectangle(40, 20, 3).segments, circle(10, 0, 10).segments, circle(4, 100, 0).segments]
    )
    pieces = split(s)
    assert pieces.segments.length.sum() == pytest.approx(s.length.sum(), rel=1e-12)
    for k in range(len(s)):
        mine = np.flatnonzero(pieces.source == k)
        if len(mine) == 1:
            assert (
                np.array_equal(pieces.segments.a[mine[0]], s.a[k])
                and pieces.segments.bulge[mine[0]] == s.bulge[k]
            )
    assert len(pieces.start) > len(s)
    # The circle meets the top side at x = +-5, where both are cut.
    assert np.hypot(*(pieces.segments.a - [5.0, 10.0]).T).min() < 1e-12


def test_pieces_on_each_other_share_a_group_and_know_their_sense():
    pieces = split(segments((0, 0, 10, 0, 0), (8, 0, 2, 0, 0), (2, 0, 8, 0, 0), (2, 0, 8, 0, 0.2)))
    on = [
        k
        for k in range(len(pieces.start))
        if abs(pieces.segments.chord[k] - 6) < 1e-9 and not pieces.segments.arc[k]
    ]
    assert len(on) == 3 and len(set(pieces.group[on])) == 1
    assert sorted(pieces.forward[on]) == [False, True, True]
    assert len(pieces.leaders()) == 4


def test_halved_arcs_stay_on_their_circle():
    s, source = halved(profile([(10, 0, 3.0), (9, -4, 0.0)]).segments)
    assert len(s) == 3 and np.abs(s.bulge).max() <= 1.0 and list(source) == [0, 0, 1]
    assert s.radius[:2] == pytest.approx(
        [profile([(10, 0, 3.0), (9, -4, 0.0)]).segments.radius[0]] * 2
    )
    assert np.array_equal(s.b[:-1], s.a[1:])


def test_loose_ends_are_dropped_and_touching_loops_come_apart():
    square = [(0, 0, 10, 0, 0), (10, 0, 10, 10, 0), (10, 10, 0, 10, 0), (0, 10, 0, 0, 0)]
    corner = [(10, 10, 20, 10, 0), (20, 10, 20, 20, 0), (20, 20, 10, 20, 0), (10, 20, 10, 10, 0)]
    pieces = split(
        segments(*square, *corner, (20, 20, 30, 30, 0), (30, 30, 35, 30, 0), (-5, 0, 0, 0, 0))
    )
    assert sorted(len(loop) for loop in loops(pieces)) == [4, 4]
    assert [r.area for r in regions(pieces)] == pytest.approx([100.0, 100.0])


def test_holes_go_to_the_smallest_outer_round_them():
    frames = [rectangle(100, 100), rectangle(60, 60), rectangle(40, 40), rectangle(20, 20)]
    s = joined([f.segments for f in frames])
    pieces = split(s)
    ahead = (pieces.source // 4) % 2 == 0
    found = regions(pieces.oriented(np.arange(len(ahead)), ahead))
    assert [r.area for r in found] == pytest.approx([10000 - 3600, 1600 - 400])
    assert [len(r.holes) for r in found] == [1, 1]
    assert isinstance(found[0], Region) and found[0].holes[0].area == pytest.approx(3600)


def test_crossings_find_a_bow_tie_a_touch_and_a_fold():
    assert crossings(
        Profile(np.array([(0, 0, 0), (10, 10, 0), (10, 0, 0), (0, 10, 0)], float)).segments
    ) == pytest.approx(np.array([[5, 5]]))
    touch = Profile(
        np.array([(0, 0, 0), (10, 0, 0), (5, 5, 0), (10, 10, 0), (0, 10, 0), (5, 5, 0)], float)
    )
    assert (
        np.abs(crossings(touch.segments) - [5, 5]).max() < 1e-12
        and len(crossings(touch.segments)) > 0
    )
    fold = Profile(np.array([(0, 0, 0), (10, 0, 0), (10, 5, 0), (10, -5, 0), (0, -5, 0)], float))
    assert len(crossings(fold.segments)) > 0
    # The curve (sin t cos t, sin t) over a whole turn is a figure of eight; its loop 0..pi encloses
    # 2/3
    # (OpenStax Calculus vol. 3, section 6.4), so that the whole cancels to nil.
    t = np.arange(400) * math.pi / 200 + 0.001
    eight = Profile(np.column_stack([np.sin(t) * np.cos(t), np.sin(t), 0 * t]))
    assert np.abs(crossings(eight.segments)).max() < 1e-3 and len(crossings(eight.segments)) == 1
    assert abs(eight.area) < 1e-9
    for sound in (circle(10), slot(40, 10), rectangle(40, 20, 10.0), rectangle(40, 20, 3e-8)):
        assert len(crossings(sound.segments)) == 0


def test_ends_within_the_snap_are_one_point():
    pieces = split(segments((0, 0, 10, 0, 0), (10 + 0.4 * SNAP, 0, 10, 10, 0), (10, 10, 0, 0, 0)))
    assert len(loops(pieces)) == 1
    apart = split(segments((0, 0, 10, 0, 0), (10 + 20 * SNAP, 0, 10, 10, 0), (10, 10, 0, 0, 0)))
    assert loops(apart) == []
