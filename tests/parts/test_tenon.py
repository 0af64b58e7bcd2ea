"""A glued tenon: its glue, its mortise, and what is left of a long one under the neck pickup.

The tenon is 42 mm wide, 76 mm long from the body's end, its far corners round by 7 mm; it stands in
a mortise 17 mm deep. The strings pull 412 N.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bodycad import (
    Depth,
    Heel,
    Humbucker,
    InputError,
    Instrument,
    Place,
    Placed,
    Roundover,
    Seat,
    Skin,
    Square,
    TenonJoint,
    Tongue,
    arched_top,
    circle,
    strings,
)
from bodycad.checks.rules.assembly import assembly
from bodycad.checks.rules.bolts import grip
from bodycad.checks.rules.joint import joint_load
from bodycad.checks.rules.neck import pocket_fit
from bodycad.checks.rules.place import neck_place
from bodycad.checks.rules.seated import necks
from bodycad.checks.rules.walls import wall
from bodycad.instrument.load import total_tension
from bodycad.layout.interface import Joint
from tests.strangers.bench import NECK, OUTLINE, THICKNESS, quoin

HEEL = Heel(42.0, 42.0, 76.0, 25.4, 7.0, board_overlap=8.0)
FLAT = Skin(OUTLINE, THICKNESS, Square(), Roundover(5.0))
SET = strings((".010", ".013", ".017", ".026w", ".036w", ".046w"))
SHORT = TenonJoint(HEEL, 17.0, 6.4)
CUT = ("pickup.route", "pickup.ears")
LONG = TenonJoint(HEEL, 19.0, 6.4, Tongue(cut_by=CUT))
ROUND = 7.0**2 * (1.0 - math.pi / 4.0)
FLOOR = 76.0 * 42.0 - 2.0 * ROUND


def body(neck, route: float = 13.0, heel: Heel = HEEL, **changes):
    """The layout of the bench's body with that tenon, its pickup 35 mm before the heel's end."""
    own = Instrument(replace(NECK, heel=heel), SET, bridge_spread=52.5)
    pickup = Humbucker(50.5, rest_height=9.0, route=Depth(route), ears=Depth(route), travel=0.0)
    swap = {
        "neck": Placed("neck", neck, Place(Seat(own, neck.depth, neck.angle_deg).end[0])),
        "pickup": Placed("pickup", pickup, Place(139.0)),
    }
    return quoin(swap=swap, **({"skin": FLAT, "instrument": own} | changes)).layout()


def of(check, layout) -> dict[tuple[str, str], tuple[float | None, str]]:
    """Figure and status of every finding by its code and its first subject."""
    return {(f.code, "".join(f.subjects[:1])): (f.value, f.status) for f in check(layout)}


def test_the_glue_of_a_short_tenon():
    """Floor 3171 mm2, and two sides of 69 mm by 17: 5517 mm2. Alder shears at 21.9 x 0.41^1.13 MPa
    and tears at 10.1 x 0.41^1.3 (laws of the Wood Handbook, from memory); the strings run 28.85 mm
    over the floor."""
    layout = body(SHORT)
    (joint,), pull = layout.stated(Joint), total_tension(layout.instrument)
    assert joint.glue == pytest.approx(FLOOR + 2.0 * 69.0 * 17.0)
    found = of(joint_load, layout)
    shear = 21.9 * 0.41**1.13 / (pull / joint.glue)
    peel = 10.1 * 0.41**1.3 * FLOOR * 76.0 / (6.0 * pull * 28.85)
    assert found["joint-load.glue", "neck.pocket"] == (pytest.approx(shear, rel=2e-3), "pass")
    assert found["joint-load.glue.peel", "neck.pocket"] == (pytest.approx(peel, rel=2e-3), "pass")
    stub = replace(HEEL, length=24.0, board_overlap=8.0)
    weak = of(joint_load, body(replace(SHORT, heel=stub, overrun=60.0), heel=stub))
    assert weak["joint-load.glue.push", "neck.pocket"][1] == "fail"


def test_the_glue_on_a_tenons_sides_ends_at_the_arched_front():
    """The heel stands in the rim, 5 mm under the crown: its sides are glued for 12 mm."""
    top = arched_top("top", "front", THICKNESS, circle(40.0, -60.0, 0.0), 60.0, 5.0)
    (joint,) = body(SHORT, skin=replace(FLAT, contours=(top,))).stated(Joint)
    assert joint.glue == pytest.approx(FLOOR + 2.0 * 69.0 * 12.0)


def test_no_screw_is_asked_for_and_all_else_is():
    layout = body(SHORT)
    assert [(f.status, f.text) for f in grip(layout)] == [("skip", "neck is glued")]
    assert {f.status for f in neck_place(layout)} == {"pass"}
    assert {f.status for f in pocket_fit(layout)} == {"pass"}


@pytest.mark.parametrize("play, status", [(0.2, "pass"), (0.3, "warn"), (0.5, "fail")])
def test_a_thick_glue_line_is_weak(play, status):
    found = of(pocket_fit, body(replace(LONG, side_clearance=play)))
    assert found["pocket-fit.most.glue", "neck.pocket"] == (pytest.approx(play), status)
    assert found["pocket-fit.most.glue.tongue", "neck.slot"] == (pytest.approx(play), status)


@pytest.mark.parametrize(
    "route, left, status",
    [(13.0, 6.0, "pass"), (15.0, 4.0, "warn"), (16.5, 2.5, "fail"), (20.0, -1.0, "fail")],
)
def test_what_a_pickups_route_leaves_of_a_long_tenon(route, left, status):
    """The mortise is 19 mm deep: a route of 13 mm leaves 6 mm of the tongue."""
    found = of(pocket_fit, body(LONG, route))
    assert found["pocket-fit.tongue", "pickup.route"] == (pytest.approx(left), status)


def test_the_glue_of_a_tongue_is_what_its_cuts_leave():
    """Its floor is 34.7 by 38 mm less two corners of 6.35; its sides, 28.35 mm long, are glued up
    to the route's floor alone: 6 mm. A route that goes through takes the floor with it."""
    tongue = 34.7 * 38.0 - 2.0 * 6.35**2 * (1.0 - math.pi / 4.0)
    block = FLOOR + 2.0 * 69.0 * 19.0
    (left,) = body(LONG).stated(Joint)
    assert left.glue == pytest.approx(block + tongue + 2.0 * 28.35 * 6.0, abs=0.5)
    (through,) = body(LONG, 20.0).stated(Joint)
    assert block < through.glue < block + tongue / 2.0


def test_a_route_through_the_tongue_is_declared_or_it_is_a_fault():
    assert "fail" not in {s for _, s in of(wall, body(LONG)).values()}
    undeclared = replace(LONG, tongue=Tongue())
    assert of(wall, body(undeclared))["wall", "neck.slot"][1] == "fail"


@pytest.mark.parametrize("neck", [SHORT, LONG, replace(LONG, angle_deg=1.0)])
def test_it_stands_where_it_is_drawn(neck):
    """Put together, nothing of neck or pickup stands in wood or in each other, on either hand."""
    right, left = (of(assembly, body(neck, left_handed=hand)) for hand in (False, True))
    assert right["assembly.neck", "neck"][1] == "pass"
    assert not [k for k, (_, status) in right.items() if status == "fail" and k[1] == "neck"]
    assert {k: s for k, (_, s) in right.items()} == {k: s for k, (_, s) in left.items()}


def test_an_angle_in_the_mortises_floor():
    """Computed: with 2 degrees the floor rises 76 tan 2 = 2.654 mm from the mouth to the end."""
    (neck,) = necks(body(replace(SHORT, angle_deg=2.0)))
    assert neck.end[2] == pytest.approx(-17.0 + 76.0 * math.tan(math.radians(2.0)))
    assert neck.angle_deg == pytest.approx(2.0)


@pytest.mark.parametrize(
    "make, words",
    [
        (lambda: Tongue(width=10.0, corner=8.0), "the corner radius of a tenon's tongue"),
        (lambda: replace(LONG, tongue=Tongue(width=50.0)), "the width of a tenon's tongue"),
        (lambda: replace(LONG, tongue=Tongue(under=18.5)), "the top of a tenon's tongue"),
        (lambda: replace(LONG, species="maple, reed"), "a wood species"),
    ],
)
def test_sizes_that_clash_are_named(make, words):
    with pytest.raises(InputError, match=words):
        make()
