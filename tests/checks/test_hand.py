"""`heel-hand`: the heel under the hand at the last frets, by hand.

Bench: 635 mm, 22 frets, board 44 mm, pocket 17 deep under a heel 25.4 thick, so that the board's
face stands 8.4 mm over the front. The last fret is 635 / 2^(22/12) = 178.19 mm from the scale line,
the body ends at x = 200.
"""

import numpy as np
import pytest

from bodycad.checks.rules.hand import HAND, STEP, grasp
from bodycad.checks.rules.seated import necks
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.profile import profile
from bodycad.shop import LIMITS
from tests.checks.bench import ask, bevel, board, looser, necked

LAST = 635.0 / 2.0 ** (22.0 / 12.0)
PROUD = 25.4 - 17.0


def hand(layout, code="heel-hand"):
    (found,) = [f for f in ask(layout, "heel-hand") if f.code == code]
    return found


def horned(beside, tip=330.0, **changes):
    """The bench with a horn 34 mm wide on the treble side, from the body's end at 200 to `tip`, its
    inner edge `beside` mm off the centreline."""
    corners = [(-200.0, -150.0), (200.0, -150.0), (200.0, -beside - 34.0), (tip, -beside - 34.0)]
    corners += [(tip, -beside), (200.0, -beside), (200.0, 150.0), (-200.0, 150.0)]
    return board(necked(), outline=profile(corners), **changes)


def test_a_plain_heel_is_the_body_and_what_the_neck_stands_proud():
    found = hand(board(necked()))
    assert found.status == "pass" and found.value == pytest.approx(44.0 + PROUD)
    assert found.limit is None and found.margin is None, "advice never fails"
    assert "52.4 at fret 22" in found.text and "52.4 at fret 21" in found.text


def test_a_carve_thins_it_along_the_treble_edge():
    """A bevel on the back that falls 0.25 mm a mm from x = 185 toward the nut: 0 at the last fret,
    the mean over the body that is left there."""
    found = hand(board(necked(), contours=(bevel("back", (185.0, 0.0), 0.0),)))
    places = np.arange(LAST, LAST + HAND, STEP)
    places = places[places < 200.0]
    thick = 44.0 + PROUD - 0.25 * np.maximum(places - 185.0, 0.0)
    assert found.value == pytest.approx(float(thick.mean()), abs=1e-6)
    assert found.value < 44.0 + PROUD - 0.5
    top, under = found.at
    assert top[2] == pytest.approx(PROUD) and top[2] - under[2] == pytest.approx(found.value)
    assert top[1] < 0.0, "the treble side of a right-handed body"


def test_each_fret_has_its_own_figure():
    """Fret 21 stands at 635 / 2^(21/12) = 188.79: 0.25 x 3.79 mm are gone there."""
    layout = board(necked(), contours=(bevel("back", (185.0, 0.0), 0.0),))
    held = grasp(layout, necks(layout)[0].seat(layout))
    at = dict(held.frets)
    assert set(at) == {22, 21} and at[22] == pytest.approx(44.0 + PROUD)
    there = 635.0 / 2.0 ** (21.0 / 12.0)
    assert at[21] == pytest.approx(44.0 + PROUD - 0.25 * (there - 185.0))


def test_a_left_hand_has_the_same_heel_on_the_other_side():
    contours = (bevel("back", (185.0, -10.0), -30.0),)
    right = hand(board(necked(), contours=contours))
    left = hand(board(necked(), contours=contours, left_handed=True))
    assert left.value == pytest.approx(right.value) and left.at[0][1] == -right.at[0][1]


def test_a_thick_heel_warns_and_never_fails():
    found = hand(board(necked(), thickness=95.0))
    assert LIMITS["heel-hand"].warn < 95.0 and found.status == "warn" and found.cure
    strict = hand(board(necked(), shop=looser("heel-hand", 50.0, 40.0, most=True)))
    assert strict.status == "warn"


def test_it_says_why_it_is_not_asked():
    assert [f.status for f in ask(board(), "heel-hand")] == ["skip"]
    away = rectangle(160.0, 300.0, 0.0, 80.0)  # the body ends at x = 160, before the last fret
    found = hand(board(necked(x=84.0), outline=away))
    assert found.status == "skip" and "last frets" in found.text


@pytest.mark.parametrize("left_handed", [False, True])
@pytest.mark.parametrize(
    "beside, status", [(29.0, "fail"), (46.0, "fail"), (57.0, "warn"), (63.0, "pass")]
)
def test_a_horn_beside_the_neck_leaves_no_room_for_the_fingers(beside, status, left_handed):
    """Asked from 20 mm past the body's end at 200: there the board's edge stands 28 mm at the last
    fret less 6.5 mm a (635 - 178.19) mm off the centreline, and comes in from there."""
    half = 28.0 - 6.5 * (220.0 - LAST) / (635.0 - LAST)
    found = hand(horned(beside, left_handed=left_handed), "heel-hand.fingers")
    assert (found.status, found.value) == (status, pytest.approx(beside - half))
    assert "fret 19" in found.text


def test_a_horn_that_comes_in_at_its_tip_is_found_there():
    """A bump of the horn that touches the board's edge from 300 to 330 is no body that the neck
    leaves later: the hand has no room before it."""
    corners = [(-200.0, -150.0), (200.0, -150.0), (200.0, -90.0), (330.0, -90.0), (330.0, -20.0)]
    corners += [(300.0, -20.0), (300.0, -80.0), (200.0, -80.0), (200.0, 150.0), (-200.0, 150.0)]
    found = hand(board(necked(), outline=profile(corners)), "heel-hand.fingers")
    assert (found.status, found.value) == ("fail", pytest.approx(0.0, abs=1e-9))


def test_the_bottom_of_a_cutaway_is_no_horn():
    """A horn that ends 20 mm past the body's end is beside no hand; the thumb has room."""
    assert hand(horned(30.0, tip=219.9), "heel-hand.fingers").value is None
    assert hand(horned(30.0), "heel-hand.thumb").value is None


def test_the_thumb_wants_less():
    """The same horn on the bass side: the skin alone is mirrored."""
    layout = horned(46.0)
    turned = layout.with_body(skin=layout.skin.mirrored())
    assert hand(turned, "heel-hand.thumb").status == "warn"
    assert hand(turned, "heel-hand.fingers").value is None
