"""The strings in upright sections, by hand: bench body, 610 mm scale, crowns 9.6 mm over the
front."""

from __future__ import annotations

import re

import pytest

from bodycad.exports.sections.drawing import section_svg
from bodycad.exports.sections.strings import traces
from tests.strangers.bench import instrument, quoin

LAYOUT = quoin().layout()
FRET = 610.0 * 2.0 ** (-22.0 / 12.0)


def test_across_the_strings_each_is_cut_once_open_and_once_pressed():
    """At x = 50: string 1 is 0.5 + 2.2 (1 - 50 / 610) over the crowns, and y on the way from the
    nut's 17.5 to its saddle's 26.25."""
    found = traces(LAYOUT, (50.0, -60.0), (50.0, 60.0))
    assert [(t.number, t.pressed) for t in found] == [(k, p) for k in range(1, 7) for p in (0, 1)]
    back = instrument().saddle_points[0][0]
    y = -26.25 + 8.75 * (50.0 - back) / (610.0 - back)
    (s, z), (same, low) = found[0].points[0], found[1].points[0]
    assert s == pytest.approx(60.0 + y) == same
    assert z == pytest.approx(9.6 + 0.5 + 2.2 * (1.0 - 50.0 / 610.0))
    bears = 0.5 + 2.2 * (1.0 - back / 610.0)
    assert low == pytest.approx(9.6 + bears * (FRET - 50.0) / (FRET - back))
    assert found[0].radius == pytest.approx(0.127)


def test_along_the_strings_the_nearest_on_each_side_run_to_their_saddles():
    found = traces(LAYOUT, (-155.0, 0.0), (255.0, 0.0))
    assert [(t.number, t.pressed) for t in found] == [(3, False), (3, True), (4, False), (4, True)]
    open_, pressed = found[0].points, found[1].points
    back = instrument().saddle_points[2][0]
    assert open_[0][0] == pytest.approx(155.0 + back) and open_[0] == pytest.approx(pressed[0])
    assert open_[-1][0] == pytest.approx(410.0)
    assert pressed[1] == pytest.approx((155.0 + FRET, 9.6)) and pressed[-1][1] == pytest.approx(9.6)


@pytest.mark.parametrize(
    "one, two",
    [
        ((-120.0, -60.0), (-120.0, 60.0)),
        ((50.0, 40.0), (50.0, 90.0)),
        ((8.0, -80.0), (96.0, -80.0)),  # along the strings, but far beside them
    ],
)
def test_where_no_string_runs_none_is_drawn(one, two):
    assert traces(LAYOUT, one, two) == ()


def test_without_a_joint_no_string_has_a_height():
    assert traces(quoin(swap={"neck": None}).layout(), (50.0, -60.0), (50.0, 60.0)) == ()


def test_a_left_hand_has_the_same_strings_on_the_other_side():
    twin = traces(LAYOUT.mirrored(), (50.0, 60.0), (50.0, -60.0))
    for mine, theirs in zip(twin, traces(LAYOUT, (50.0, -60.0), (50.0, 60.0)), strict=True):
        assert mine.points[0] == pytest.approx(theirs.points[0])


def test_the_drawing_shows_them():
    across = section_svg(LAYOUT, (50.0, -60.0), (50.0, 60.0), "across")
    assert len(re.findall(r'<circle[^>]*class="string"', across)) == 12
    assert across.count("string 1, open") == 1 == across.count("string 1, pressed at the last fret")
    along = section_svg(LAYOUT, (-155.0, 0.0), (255.0, 0.0), "along")
    assert len(re.findall(r'<path[^>]*class="string"', along)) == 4
