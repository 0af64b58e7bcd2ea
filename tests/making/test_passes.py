"""Passes end at the depth, and none is deeper than the shop's rule."""

import pytest

from bodycad import InputError, Pace, Shop
from bodycad.making.passes import passes


@pytest.mark.parametrize(
    "start, depth, diameter, wanted",
    [
        (0.0, 17.0, 12.7, (17.0 / 3.0, 34.0 / 3.0, 17.0)),  # 6.35 at once: 17 / 6.35 = 2.7
        (0.0, 6.35, 12.7, (6.35,)),
        (2.5, 38.0, 6.35, tuple(2.5 + 35.5 * k / 12.0 for k in range(1, 13))),  # 35.5 / 3.175
        (19.0, 19.0, 9.5, ()),
    ],
)
def test_equal_steps_no_deeper_than_half_the_cutter(wanted, start, depth, diameter):
    found = passes(start, depth, diameter, Shop())
    assert found == pytest.approx(wanted)
    assert not found or found[-1] == depth


def test_a_shop_that_cuts_deeper_at_once_needs_fewer():
    assert len(passes(0.0, 20.0, 10.0, Shop(pass_depth=1.0))) == 2


def test_a_pace_that_no_shop_has_is_refused():
    with pytest.raises(InputError, match="the shop's pace"):
        Pace(feed=0.0)
