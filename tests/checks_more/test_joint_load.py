"""`joint-load` by hand: six strings pull 435.14 N.

Pocket 17, heel 25.4, frets 1.2: the crowns run 9.6 mm over the body. At x = 647.7/4 the strings
stand 0.5 + 2 (1.7 - 0.5) * 3/4 = 2.3 mm over them: 11.9 over the body, 28.9 over the pocket floor,
so the moment is 435.14 * 28.9 = 12575.6 N mm. Screws 60 and 20 mm from the heel's end carry 12575.6
* 60/4000 = 188.63 N and 62.88 N.
"""

from dataclasses import replace

import numpy as np
import pytest

from bodycad.checks.rules.joint import joint_load, pulls
from bodycad.checks.rules.loads import neck_species, pull_lever, tipped
from bodycad.checks.rules.seated import necks
from bodycad.checks.runner import run
from bodycad.errors import InputError
from bodycad.instrument.load import total_tension
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.parts.neckjoint import Bolt, NeckFerrule
from bodycad.wood import Species
from tests.checks.bench import board, necked
from tests.checks_more.bench import bench, instrument, joint, loose, only

X = 647.7 / 4


def neck(*bolts, **changes):
    return bench(Placed("neck", joint(*bolts, **changes), Place(X)))


def test_pull_lever_and_shares():
    layout = neck()
    assert total_tension(layout.instrument) == pytest.approx(435.144, abs=0.01)
    assert pull_lever(layout, necks(layout)[0]) == pytest.approx(28.9, abs=1e-9)
    assert pulls(layout, necks(layout)[0]) == pytest.approx((188.63, 62.88), abs=0.01)


def test_shares_make_up_the_moment():
    """The law of the model: sum of share times lever is the moment; a screw beyond the edge carries
    none."""
    levers = np.array([48.0, 13.0, 0.0, -5.0])
    shares = tipped(1000.0, levers)
    assert shares @ levers == pytest.approx(1000.0, rel=1e-12)
    assert tuple(shares[2:]) == (0.0, 0.0)
    assert np.isinf(tipped(1000.0, np.array([0.0, -1.0]))).all()


@pytest.mark.parametrize(
    "length, grip, status", [(35.0, 15.0, "pass"), (25.0, 5.0, "warn"), (22.5, 2.5, "fail")]
)
def test_thread_in_the_neck(length, grip, status):
    """Sugar maple: 108.25 * 0.63^2 * 4.2 * grip = 180.45 N per mm; over 188.63 N: 14.35, 4.78 and
    2.39 times."""
    found = only(
        joint_load(neck(Bolt(60.0, 16.0, 18.0, length), Bolt(20.0, -16.0, 18.0))),
        "joint-load",
        "neck.bolt.1.hole",
        "neck.heel",
    )
    assert found.value == pytest.approx(180.45 * grip / 188.63, rel=1e-4)
    assert (found.status, found.unit, found.limit, found.warn) == (status, "times", 2.75, 5.5)


@pytest.mark.parametrize(
    "flange, bears, status",
    [
        (14.0, 407.53, "pass"),
        (10.0, 181.33, "fail"),
        (12.0, 285.01, "pass"),
        (11.0, 230.81, "warn"),
    ],
)
def test_wood_under_the_ferrule(flange, bears, status):
    """Alder dents at 3.0 MPa (from memory) over pi/4 (flange^2 - 4.8^2)."""
    found = only(
        joint_load(neck(ferrule=NeckFerrule(flange=flange))),
        "joint-load",
        "neck.bolt.1.seat",
        "neck.pocket",
        unit="times",
    )
    assert found.value == pytest.approx(bears / 188.63, rel=1e-3) and found.status == status


@pytest.mark.parametrize("pilot, status", [(3.1, "pass"), (3.5, "warn"), (4.0, "fail")])
def test_hole_in_the_neck(pilot, status):
    """3.1, 3.5 and 4.0 of a 4.2 mm thread: 0.738, 0.833, 0.952."""
    found = only(joint_load(neck(pilot=pilot)), "joint-load", "neck", "neck.heel")
    assert found.value == pytest.approx(pilot / 4.2) and found.status == status


@pytest.mark.parametrize(
    "flange, torque, status",
    [(14.0, 0.342, "pass"), (11.0, 0.194, "warn"), (8.5, 0.097, "fail")],
)
def test_what_a_screwdriver_does_to_the_wood(flange, torque, status):
    """T = K d F with K = 0.2 (Shigley, from memory) and d = 4.2 mm, F that which dents alder: 0.84
    N m a kN. A hand reaches 4.86 N m with a plastic handle (Ergonomics 50, 2007, 1404)."""
    found = only(
        joint_load(neck(ferrule=NeckFerrule(flange=flange))),
        "joint-load",
        "neck.bolt.1.seat",
        "neck.pocket",
        unit="N m",
    )
    assert found.value == pytest.approx(torque, abs=0.001) and found.status == status
    assert found.code == "joint-load.driver" and "4.86 N m" in found.text


def test_assumptions_are_said():
    texts = " ".join(f.text for f in joint_load(neck()))
    assert "taken as maple, sugar" in texts and "from memory" in texts


def test_a_screw_at_the_pivot_carries_nothing():
    found = list(joint_load(neck(Bolt(60.0, 16.0, 18.0), Bolt(0.0, 0.0, 18.0))))
    assert any("carries none" in f.text for f in found)
    assert only(found, "joint-load", "neck.bolt.2.hole", "neck.heel").value is None


def test_no_screw_inside_the_heel_fails():
    assert [f.status for f in joint_load(neck(Bolt(-1.0, 16.0, 18.0), Bolt(0.0, 0.0, 18.0)))] == [
        "fail"
    ]


def test_a_named_neck_wood_is_used():
    """By its name in the table, or as a Species of the maker's own; a wrong name is one line."""
    for named, wood in (("maple, red", 0.54), (Species("bog oak", 0.6), 0.6)):
        found, assumed = neck_species(necks(neck(species=named))[0].joint)
        assert found.gravity == wood and not assumed
    with pytest.raises(InputError, match="a wood species"):
        neck(species="maple, reed")


def test_no_neck_is_skipped():
    assert [f.status for f in joint_load(bench(loose()))] == ["skip"]


def test_tension_follows_the_strings():
    """A set an octave lower pulls a quarter (T goes with f squared), and so do the screws."""
    layout = neck()
    low = replace(
        layout.instrument, strings=tuple(replace(s, pitch="E3") for s in instrument().strings)
    )
    assert pulls(replace(layout, instrument=low), necks(layout)[0])[0] == pytest.approx(
        188.63 / 4, abs=0.01
    )


def test_a_pocket_too_deep_for_the_neck_breaks_no_check():
    """Deeper than the heel is thick: the strings still have a lever, and `stack` says what is
    wrong."""
    found = [f for f in run(board(necked(depth=40.0))).findings if f.status == "error"]
    assert not found, [f.text for f in found]
