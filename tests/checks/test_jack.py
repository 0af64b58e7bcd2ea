"""`jack-path` by hand: a jack in the board's end at x = -200 and a cavity whose wall is at x =
-150. Cup 20 mm deep, bore 17, plug 30 mm long in a way 14 mm wide (common practice, no source)."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bodycad.errors import InputError
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.blank import on_edge
from bodycad.layout.interface import Sweep
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.parts.control import Pot
from bodycad.parts.jack import EndJack
from tests.checks.bench import ask, board, controls, holds, one
from tests.sample import Loose

OUTLINE = board().skin.outline


def end_jack(outline=OUTLINE, at=(-200.0, 0.0), **changes) -> Placed:
    return Placed(
        "jack",
        EndJack("control", changes.pop("z", -22.0), **{"reach": 60.0, **changes}),
        on_edge(outline, *at),
    )


def holed(x: float = -120.0, **changes):
    return controls(x=x, y=0.0, **changes)


@pytest.mark.parametrize("reach, status", [(60.0, "pass"), (45.0, "fail")])
def test_the_bore_reaches_the_cavity(reach, status):
    found = one(board(holed(), end_jack(reach=reach)), "jack-path", "jack.bore", "control.cavity")
    assert found.status == status


@pytest.mark.parametrize(
    "hole, spare, status", [(17.0, 1.5, "pass"), (14.6, 0.3, "warn"), (13.0, -0.5, "fail")]
)
def test_the_plug_in_its_bore(hole, spare, status):
    found = one(board(holed(), end_jack(hole=hole)), "jack-path", "jack.plug", "wood")
    holds(found, status, spare, 0.01)
    assert math.dist(*found.at) == pytest.approx(abs(found.value), abs=1e-6)


@pytest.mark.parametrize("reach", [50.6, 52.0, 60.0])
def test_the_plug_may_run_on_into_the_cavity(reach):
    """The bore ends just inside the cavity and the plug runs 18 mm on: all that is near it is the
    bore's wall, for the bore's end is no wall."""
    holds(
        one(board(holed(), end_jack(reach=reach, plug=48.0)), "jack-path", "jack.plug", "wood"),
        "pass",
        1.5,
        0.01,
    )


@pytest.mark.parametrize(
    "plug, spare, status", [(89.0, 1.0, "pass"), (89.8, 0.2, "warn"), (91.0, -1.0, "fail")]
)
def test_the_plugs_tip_against_the_far_wall(plug, spare, status):
    """The far wall at x = -90; the way begins at -180. A tip in the wood is short by more: its
    way's side cuts wood too, by the whole radius of 7 mm less nothing."""
    found = one(board(holed(), end_jack(plug=plug)), "jack-path", "jack.plug", "wood")
    if spare > 0:
        holds(found, status, spare, 0.01)
    else:
        assert found.status == "fail" and found.value <= spare


def test_a_bore_too_short_for_the_plug_fails():
    """Ending in wood at x = -155 with the plug running on to -150."""
    assert (
        one(board(holed(), end_jack(reach=45.0)), "jack-path", "jack.plug", "wood").status == "fail"
    )


@pytest.mark.parametrize(
    "x, clear, status", [(-130.0, 8.0, "pass"), (-136.0, 2.0, "warn"), (-140.0, -2.0, "fail")]
)
def test_plug_against_a_pot(x, clear, status):
    """The plug's tip at x = -150, the can's radius 12. Where they overlap, the figure is the plug's
    radius less its axis's distance from the can: at x = -140 the can's edge reaches -152, so the
    axis runs in it."""
    layout = board(holed(), end_jack(z=-15.0), Placed("pot", Pot("control", 6.0), Place(x, 0.0)))
    found = one(layout, "jack-path", "jack.plug", "pot.can")
    if clear > 0:
        holds(found, status, clear, 0.011)
    else:
        holds(found, status, -7.0, 0.011)
        assert "into" in found.text


def test_the_nearest_of_several_controls_counts():
    layout = board(
        controls(x=-120.0, y=0.0, length=60.0, width=90.0),
        end_jack(z=-15.0),
        Placed("far", Pot("control", 6.0), Place(-112.0, 25.0)),
        Placed("near", Pot("control", 6.0), Place(-130.0, 0.0)),
    )
    found = [f for f in ask(layout, "jack-path") if f.subjects[1].endswith(".can")]
    assert [f.subjects for f in found] == [("jack.plug", "near.can")]
    holds(found[0], "pass", 8.0, 0.011)


@pytest.mark.parametrize("radius, status", [(400.0, "pass"), (150.0, "warn"), (90.0, "fail")])
def test_a_lip_on_a_round_edge(radius, status):
    """A 28 mm lip on an edge of radius r: r - sqrt(r^2 - 14^2)."""
    outline = circle(2.0 * radius, radius - 200.0, 0.0)
    found = one(board(holed(), end_jack(outline), outline=outline), "jack-path", "jack.lip", "edge")
    holds(found, status, radius - math.sqrt(radius**2 - 196.0), 0.01)


def test_a_lip_on_a_straight_edge():
    holds(one(board(holed(), end_jack()), "jack-path", "jack.lip", "edge"), "pass", 0.0)


def test_a_lip_round_the_corner():
    """4 mm from the corner of the end the edge falls away along the whole of the board."""
    assert (
        one(board(holed(), end_jack(at=(-200.0, 146.0))), "jack-path", "jack.lip", "edge").status
        == "fail"
    )


def test_no_jack_no_question():
    assert [f.status for f in ask(board(), "jack-path")] == ["skip"]


def test_a_battery_counts_like_a_control():
    """A block whose side stands 4 mm beyond the plug's tip at x = -150."""
    block = Room(
        "own.block", "own", "battery", Prism(rectangle(20.0, 30.0, 0.0, -136.0), -30.0, -12.0)
    )
    layout = board(holed(), end_jack(), Placed("own", Loose((), (block,))))
    holds(one(layout, "jack-path", "jack.plug", "own.block"), "pass", 4.0, 0.011)


def test_a_plug_without_a_way_in_is_refused_and_one_that_is_no_bore_is_named():
    with pytest.raises(InputError, match="the bore of a Sweep of jack"):
        Sweep(part="jack", kind="plug", room="jack.plug")
    square = Room(
        "own.plug", "own", "plug", Prism(rectangle(20.0, 10.0, 0.0, -160.0), -26.0, -18.0)
    )
    sweep = Sweep(part="own", kind="plug", room=square.id, bore="jack.bore", into="control.cavity")
    own = Placed("own", Loose((), (square,), (replace(sweep, bore="own.bore"),)))
    cut_in = Void(
        "own.bore",
        "own",
        "edge",
        "BORE",
        Prism(rectangle(60.0, 10.0, 0.0, -175.0), -26.0, -18.0),
        frozenset({"edge"}),
        frozenset({"control.cavity"}),
    )
    layout = board(holed(), replace(own, part=replace(own.part, cut=(cut_in,))))
    assert one(layout, "jack-path", "own.bore", "control.cavity").status == "pass"
    assert one(layout, "jack-path", "own.plug").code == "jack-path.plug-shape"
