"""The loads of a neck joint: the elastic bolt group against textbook examples, an independent
solution and sums by hand; the findings that judge them.

By hand: 635 mm scale, the heel's end at x = 124, its mouth at 200 flush with the board: the nut is
at u = 511, the mouth at 76, the sides at +-28. Four screws at u = 13 and 60, v = +-16, with 15 mm
of 4.2 mm thread in sugar maple (0.63): 108.25 * 0.63^2 * 4.2 * 15 = 2706.7 N each.
"""

from __future__ import annotations

import numpy as np
import pytest

from bodycad.checks.rules.joint import joint_load
from bodycad.checks.rules.loads import (
    HELD,
    Group,
    floor_box,
    loads,
    own_group,
    sheared,
    strengths,
    tipped,
)
from bodycad.checks.rules.seated import necks
from bodycad.errors import InputError
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.parts.neckjoint import Bolt
from bodycad.shop import Shop
from tests.checks.bench import board, necked, with_shop
from tests.checks_more import bench

OTHERS = ("joint-load.push", "joint-load.side", "joint-load.twist.bass", "joint-load.twist.treble")


def asked(layout):
    """The findings of the loads that are not the strings' pull, by code."""
    return {f.code: f for f in joint_load(layout) if f.code in OTHERS}


def test_a_group_in_its_plane():
    """Shigley's Mechanical Engineering Design, 9th ed., example 8-7: 16 kN, 425 mm from the middle
    of four bolts at (+-75, +-60) mm: 21.0 kN on the two near ones, 14.8 kN on the far ones."""
    u, v = np.array([75.0, 75.0, -75.0, -75.0]), np.array([60.0, -60.0, 60.0, -60.0])
    found = sheared(16.0, 16.0 * 425.0, u, v)
    assert found.round(1).tolist() == [21.0, 21.0, 14.8, 14.8]


def test_a_group_that_tips():
    """Bhandari, Design of Machine Elements, example 7.6: 25 kN, 500 mm out, on two bolts 550 mm and
    two 50 mm from the edge that the bracket tips over: P e l1 / (2 (l1^2 + l2^2)) = 11,270.5 N."""
    found = tipped(25_000.0 * 500.0, np.array([550.0, 550.0, 50.0, 50.0]))
    assert found[0] == found[1] == pytest.approx(11_270.49, abs=0.01)


@pytest.mark.parametrize("seed", range(5))
def test_equal_springs_share_with_the_least_effort(seed):
    """Of all forces in balance with a load, those of equal springs have the least sum of squares:
    the pseudo-inverse of the equations of balance finds the same."""
    rng = np.random.default_rng(seed)
    u, v = rng.uniform(-30.0, 60.0, (2, 2 + seed))
    force, at, moment = 70.0, 480.0, 9000.0
    zero = np.zeros_like(u)
    rows = np.vstack(
        [np.hstack([zero + 1.0, zero]), np.hstack([zero, zero + 1.0]), np.hstack([-v, u])]
    )
    each = (np.linalg.pinv(rows) @ np.array([0.0, force, force * at])).reshape(2, -1)
    assert sheared(force, force * at, u, v) == pytest.approx(np.hypot(*each))
    arms = np.abs(u)
    assert tipped(moment, arms) == pytest.approx(np.linalg.pinv(arms[None]) @ [moment])


def test_every_load_by_hand():
    """Push: 150 (511 - 76) = 65,250 N mm over arms 63 and 16: 486.5 N. Twist: 15 N m over arms 44
    and 12: 158.7 N. Side: 50 N, 474.5 mm from the group's middle, 808.25 mm2 a screw: 219.1 N,
    against 397.2 N (44.13 * 4.2^2 * 15 / 29.4 in the maple; the alder has 408.7)."""
    layout = board(necked(species="maple, sugar"))
    (neck,) = necks(layout)
    own = own_group(layout, neck)
    assert own.holds == pytest.approx([2706.7] * 4, abs=0.1)
    assert own.slips == pytest.approx([397.17] * 4, abs=0.01)
    most = {load.name: float(load.carried(own.u, own.v).max()) for load in loads(layout, neck)}
    assert most["push"] == pytest.approx(486.48, abs=0.01)
    assert most["twist.bass"] == most["twist.treble"] == pytest.approx(158.65, abs=0.01)
    assert most["side"] == pytest.approx(219.07, abs=0.01)
    found = asked(layout)
    assert {f.status for f in found.values()} == {"pass"} and set(found) == set(OTHERS)
    assert found["joint-load.push"].value == pytest.approx(2706.7 / 486.48, rel=1e-4)
    assert found["joint-load.side"].value == pytest.approx(397.17 / 219.07, rel=1e-4)
    assert found["joint-load.twist.bass"].value == pytest.approx(2706.7 / 158.65, rel=1e-4)
    assert all(f.limit_source and f.limit is not None for f in found.values())


@pytest.mark.parametrize(
    "field, code, figures",
    [
        ("neck_push", "joint-load.push", ((300.0, "pass"), (400.0, "warn"), (700.0, "fail"))),
        ("neck_side", "joint-load.side", ((90.0, "pass"), (100.0, "warn"), (200.0, "fail"))),
        ("neck_twist", "joint-load.twist.bass", ((80.0, "pass"), (100.0, "warn"), (300.0, "fail"))),
    ],
)
def test_harder_loads_warn_and_fail(field, code, figures):
    """At 300, 400 and 700 N the push is held 2.78, 2.09 and 1.19 times (2.75 and 1.4 are asked); at
    90, 100 and 200 N the side 1.007, 0.907 and 0.453 times (1.0 and 0.5); at 80, 100 and 300 N m
    the twist 3.20, 2.56 and 0.85 times (2.75 and 1.4)."""
    for load, status in figures:
        layout = with_shop(board(necked(species="maple, sugar")), Shop(**{field: load}))
        assert asked(layout)[code].status == status


def test_screws_crowded_at_the_mouth_hold_the_strings_and_not_a_push():
    """Three in a row, 10 mm from the mouth: 65,250 * 10 / 300 = 2175 N, 1.24 times; against the
    strings alone nothing is wrong with them."""
    layout = board(necked(*(Bolt(66.0, v, 18.0) for v in (-16.0, 0.0, 16.0))))
    found = list(joint_load(layout))
    pull = [f for f in found if f.code in ("joint-load", "joint-load.crush")]
    assert pull and all(f.status == "pass" for f in pull)
    push = asked(layout)["joint-load.push"]
    assert push.status == "fail" and push.value == pytest.approx(1.2445, abs=1e-3)


def test_a_heel_that_hangs_out_of_the_body_tips_over_the_bodys_edge():
    """The bench's heel reaches 37.9 mm past the board: it tips at 200 - 161.925 = 38.075 mm. The
    screw at 60 mm holds nothing of the push, the one at 20 mm all of it."""
    layout = bench.bench(Placed("neck", bench.joint(), Place(647.7 / 4)))
    (neck,) = necks(layout)
    assert floor_box(layout, neck)[2] == pytest.approx(38.075, abs=1e-6)
    push = next(load for load in loads(layout, neck) if load.name == "push")
    far, near = push.carried(np.array([60.0, 20.0]), np.array([16.0, -16.0]))
    assert far == 0.0 and near * (38.075 - 20.0) == pytest.approx(150.0 * (485.775 - 38.075))


def test_a_group_that_cannot_hold_a_load_fails_in_words():
    """Both screws beyond the body's edge hold nothing of a push."""
    bolts = Bolt(60.0, 16.0, 18.0), Bolt(50.0, -16.0, 18.0)
    layout = bench.bench(Placed("neck", bench.joint(*bolts), Place(647.7 / 4)))
    push = asked(layout)["joint-load.push"]
    assert (push.status, push.value) == ("fail", 0.0) and "no screw" in push.text


def test_no_load_is_held_by_any_screws():
    layout = with_shop(board(necked()), Shop(neck_push=0.0, neck_side=0.0, neck_twist=0.0))
    assert {f.value for f in asked(layout).values()} == {HELD}


def test_a_lone_place_cannot_take_a_turn_in_its_plane():
    """Two screws at one place have no lever between them."""
    u, v = np.array([20.0, 20.0]), np.array([5.0, 5.0])
    assert np.isinf(sheared(50.0, 9000.0, u, v)).all()
    assert (sheared(0.0, 0.0, u, v) == 0.0).all()


def test_left_handed_is_the_same_joint():
    right, left = (
        asked(bench.bench(Placed("neck", bench.joint(), Place(140.0)), left_handed=hand))
        for hand in (False, True)
    )
    assert {c: f.value for c, f in right.items()} == pytest.approx(
        {c: f.value for c, f in left.items()}
    )


def test_many_groups_at_once_are_those_groups_one_by_one():
    layout = board(necked())
    (neck,) = necks(layout)
    rng = np.random.default_rng(3)
    u, v = rng.uniform(5.0, 70.0, (7, 4)), rng.uniform(-20.0, 20.0, (7, 4))
    holds, slips = strengths(layout, neck, 4.2, 15.0)
    for load in loads(layout, neck):
        many = load.times(Group(u, v, np.full_like(u, holds), np.full_like(u, slips)))
        each = [
            float(load.times(Group(a, b, np.full(4, holds), np.full(4, slips))))
            for a, b in zip(u, v)
        ]
        assert many == pytest.approx(each)


@pytest.mark.parametrize("field", ["neck_push", "neck_side", "neck_twist"])
@pytest.mark.parametrize("value", [-1.0, float("nan"), "hard"])
def test_a_load_that_cannot_be_is_one_line(field, value):
    with pytest.raises(InputError):
        Shop(**{field: value})
