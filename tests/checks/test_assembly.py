"""The net under all checks: each fault here is seen by `assembly` alone, with every other check
switched off. Each figure is summed by hand beside it."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bodycad import (
    Contour,
    Hardtail,
    Humbucker,
    NeckJoint,
    Place,
    Placed,
    Roundover,
    Skin,
    Square,
    StrapButton,
    bore,
    fall_away,
    on_edge,
    profile,
)
from bodycad.checks.runner import run
from bodycad.checks.table import CHECKS
from bodycad.geometry.solids.carve import Carve
from bodycad.layout.void import Room
from bodycad.script import load_design
from tests.sample import Loose
from tests.strangers.bench import (
    BOLTS,
    HEEL,
    HEEL_X,
    NECK,
    OUTLINE,
    THICKNESS,
    instrument,
    quoin,
)

NET = [check for check in CHECKS if check.name == "assembly"]


def asked(design) -> dict:
    """Findings of the net alone, by code and subject."""
    found = run(design.layout(), NET).findings
    assert len({f.identity for f in found}) == len(found)
    return {(f.code, *f.subjects): f for f in found}


def joint(place: Place | None = None, **changes) -> dict:
    given = {"heel": HEEL, "depth": 17.0, "board_thickness": 6.4, "bolts": BOLTS, **changes}
    return {"neck": Placed("neck", NeckJoint(**given), place or Place(HEEL_X))}


def plain(**changes) -> dict:
    """The bench's body without its carve."""
    return {"skin": Skin(OUTLINE, THICKNESS, Square(), Roundover(5.0)), **changes}


def test_a_sound_body_passes():
    found = asked(quoin(**plain()))
    assert {f.status for f in found.values()} == {"pass"}
    assert found["assembly.wood", "neck"].value == pytest.approx(0.075)  # half the ferrules' fit
    assert found["assembly.rest", "neck"].value == pytest.approx(0.3)  # the end clearance
    assert found["assembly.neck", "neck"].value == pytest.approx(0.0, abs=1e-9)


def test_the_demo_passes():
    found = asked(load_design("designs/teasel.py"))
    bad = [f.text for f in found.values() if f.status in ("fail", "error")]
    assert not bad


def test_a_contour_that_ends_in_a_cliff():
    """A bevel of 30 degrees over 45 mm: 26 mm deep where its section ends, well inside."""
    rows = [(0.0, 0.0), (45.0, -45.0 * math.tan(math.radians(30.0))), (45.0, 5.0), (0.0, 5.0)]
    bevel = Contour("bevel", "front", Carve(profile(rows), (-150.0, 60.0), 45.0, (-30.0, 30.0)))
    found = asked(quoin(skin=Skin(OUTLINE, THICKNESS, Square(), Roundover(5.0), (bevel,))))
    step = found["assembly.step", "bevel"]
    assert step.status == "fail"
    assert step.value == pytest.approx(45.0 * math.tan(math.radians(30.0)), abs=0.02)


@pytest.mark.parametrize("deep, status", [(0.15, "pass"), (0.4, "warn"), (0.55, "fail")])
def test_how_high_a_step_may_be(deep, status):
    """A plane that falls so deep over 45 mm and ends there, well inside."""
    rows = [(0.0, 0.0), (45.0, -deep), (45.0, 5.0), (0.0, 5.0)]
    flat = Contour("flat", "front", Carve(profile(rows), (-100.0, 60.0), 45.0, (-30.0, 30.0)))
    found = asked(quoin(skin=Skin(OUTLINE, THICKNESS, Square(), Roundover(5.0), (flat,))))
    assert found["assembly.step", "flat"].value == pytest.approx(deep, abs=0.01)
    assert found["assembly.step", "flat"].status == status


@pytest.mark.parametrize("toward", [0.0, 90.0, 180.0])
def test_a_contour_that_runs_out_of_the_edge_leaves_no_step(toward):
    """The end of its section and both ends of its sweep lie outside the outline."""
    x = {0.0: 190.0, 90.0: 0.0, 180.0: -190.0}[toward]
    y = 125.0 if toward == 90.0 else 0.0
    fall = fall_away("fall", "front", THICKNESS, (x, y), toward, run=10.0, drop=2.0)
    found = asked(quoin(skin=Skin(OUTLINE, THICKNESS, Square(), Square(), (fall,))))
    step = found.get(("assembly.step", "fall"))
    assert step is None or step.value < 0.02


@pytest.mark.parametrize(
    "place, code, value",
    [
        (Place(HEEL_X - 3.0), "assembly.rest", 3.3),  # 0.3 mm of end clearance behind it
        (Place(HEEL_X - 3.0), "assembly.neck", 3.0),
        (Place(HEEL_X + 3.0), "assembly.wood", -2.7),
        (Place(HEEL_X, 2.0), "assembly.wood", -1.85),  # 0.15 mm of air at each side
    ],
)
def test_a_pocket_beside_its_place(place, code, value):
    finding = asked(quoin(swap=joint(place), **plain()))[code, "neck"]
    assert finding.status == "fail"
    assert finding.value == pytest.approx(value, abs=0.05)


def test_a_pocket_turned_by_half_a_degree():
    """The heel turns in the pocket about its end: 76 sin 0.5 - 0.15 mm into the side at the mouth,
    and what is shared is about half as wide as it is deep there."""
    found = asked(quoin(swap=joint(Place(HEEL_X, 0.0, 0.5)), **plain()))
    assert found["assembly.wood", "neck"].status == "fail"
    deepest = 76.0 * math.sin(math.radians(0.5)) - 0.15
    assert 0.3 * deepest < -found["assembly.wood", "neck"].value < deepest + 0.05


@pytest.mark.parametrize("changes", [{"scale": 628.0}, {"frets": 21}, {"frets": 24}])
def test_a_pocket_for_another_scale_or_fret_count(changes):
    other = replace(NECK, **changes)
    own = instrument()
    found = asked(quoin(instrument=replace(own, neck=other), **plain()))
    assert found["assembly.neck", "neck"].status == "fail"
    worst = {found["assembly.rest", "neck"].status, found["assembly.wood", "neck"].status}
    assert "fail" in worst


def test_a_pocket_drawn_for_a_thicker_heel():
    thicker = replace(HEEL, thickness=HEEL.thickness + 2.0)
    found = asked(quoin(swap=joint(heel=thicker), **plain()))
    assert found["assembly.neck", "neck"].value == pytest.approx(2.0)
    assert found["assembly.neck", "neck"].status == "fail"


def test_a_pilot_that_comes_out_on_the_far_side_of_a_horn():
    """A horn 23 mm thick with a button's pilot of 26 mm through it: the screw stands out by 3 mm,
    and its thread by its radius more."""
    horn = [(-200, -135), (200, -135), (200, 100), (240, 100), (240, 123), (-200, 123)]
    outline = profile(horn)
    body = Skin(outline, THICKNESS, Square(), Square())
    swap = {
        "strap.horn": Placed("strap.horn", StrapButton(-22.0), on_edge(outline, 220.0, 123.0)),
        "strap.tail": Placed("strap.tail", StrapButton(-22.0), on_edge(outline, -200.0, 0.0)),
        "jack": None,
    }
    found = asked(quoin(swap=swap, skin=body, links=()))
    screw = found["assembly.screw", "strap.horn"]
    assert screw.status == "fail" and screw.value < -3.0
    assert found["assembly.fin", "strap.horn.screw"].status == "fail"
    assert ("assembly.screw", "strap.tail") not in found


def test_a_fin_between_a_void_and_a_contour_of_the_same_face():
    """A shelf 15 mm deep in the front leaves 1 mm of wood beside the pickup's route, whose side
    lies at x = 50 - 20."""
    rows = [(0.0, 0.0), (0.0, -15.0), (60.0, -15.0), (60.0, 5.0), (0.0, 5.0)]
    shelf = Contour("shelf", "front", Carve(profile(rows), (29.0, 0.0), 180.0, (-40.0, 40.0)))
    body = Skin(OUTLINE, THICKNESS, Square(), Square(), (shelf,))
    found = asked(quoin(skin=body, swap={"bridge": None}))
    fin = found["assembly.fin", "pickup.route"]
    assert fin.value == pytest.approx(1.0, abs=0.02)
    assert fin.status == "warn"
    nearer = replace(shelf, carve=shelf.carve.moved(0.5, 0.0))
    found = asked(quoin(skin=replace(body, contours=(nearer,)), swap={"bridge": None}))
    assert found["assembly.fin", "pickup.route"].status == "fail"


def test_a_fretboard_that_stands_in_uncut_wood():
    """The board's underside lies 25.4 - 6.4 - 21 mm over the front, 2 mm under it, and runs on
    6 mm past the heel over uncut wood."""
    heel = replace(HEEL, board_overlap=6.0)
    neck = replace(NECK, heel=heel)
    place = Place(HEEL_X + 6.0)
    swap = joint(place, heel=heel, depth=21.0)
    found = asked(quoin(swap=swap, instrument=replace(instrument(), neck=neck), **plain()))
    assert found["assembly.wood", "neck"].status == "fail"
    assert found["assembly.wood", "neck"].value == pytest.approx(-2.0, abs=0.05)


def test_a_slanted_pickup_whose_poles_stand_beside_the_strings():
    """Poles are drawn on the coil 9.5 mm nearer the neck: turned by 20 degrees they move sideways
    by 9.5 sin 20 = 3.2 mm, more than their radius of 2.4."""
    swap = {"pickup": Placed("pickup", Humbucker(50.5, rest_height=7.0), Place(50.0, 0.0, 20.0))}
    found = asked(quoin(swap=swap, **plain()))
    assert found["assembly.pole", "pickup"].status == "fail"


def test_a_pickup_above_the_strings():
    swap = {"pickup": Placed("pickup", Humbucker(50.5, rest_height=30.0), Place(50.0))}
    found = asked(quoin(swap=swap, **plain()))
    assert found["assembly.string", "pickup"].status == "fail"
    assert found["assembly.string", "pickup"].value < -15.0
    number = int(found["assembly.string", "pickup"].text.split()[1].rstrip(","))
    (x, y, z), (*spot, low) = found["assembly.string", "pickup"].at
    assert y == pytest.approx(instrument().lines[number - 1].y_at(x), abs=0.05)
    assert spot == [x, y] and low - z == pytest.approx(found["assembly.string", "pickup"].value)


def test_a_ferrule_proud_of_the_back():
    """Its seat lies 17 + 23.5 mm under the front and it is 6 mm high: 46.5 in 44 mm of wood."""
    bolts = (replace(BOLTS[0], wood=23.5), *BOLTS[1:])
    found = asked(quoin(swap=joint(bolts=bolts), **plain()))
    assert found["assembly.sunk", "neck"].value == pytest.approx(-2.5)
    assert found["assembly.sunk", "neck"].status == "fail"


def test_a_ferrule_proud_of_a_carve():
    """The bench's carve, begun on the bass side, lowers the back over every seat."""
    carve = fall_away("heel", "back", THICKNESS, (215.0, 20.0), -90.0, 33.0, 12.0)
    body = Skin(OUTLINE, THICKNESS, Square(), Square(), (carve,))
    found = asked(quoin(skin=body))
    assert found["assembly.sunk", "neck"].status == "fail"


def test_a_pickup_that_strikes_the_floor_when_it_is_lowered():
    """27 mm of feet under a cover at 7, let down by 7: 27 mm under the front in ears of 26."""
    low = Humbucker(50.5, rest_height=7.0, travel=7.0)
    found = asked(quoin(swap={"pickup": Placed("pickup", low, Place(50.0))}, **plain()))
    assert found["assembly.wood", "pickup"].status == "fail"
    assert found["assembly.wood", "pickup"].value == pytest.approx(-1.0, abs=0.05)


def test_a_part_of_a_makers_own_is_held_against_the_wood():
    """A box with no class known, 10 mm long, that stands 2 mm deeper than its void."""
    from bodycad import Void

    void = Void(
        "box.pit",
        "box",
        "front",
        "POCKET",
        bore((-150.0, 90.0, 0.0), (0, 0, -1), 20.0, 12.0),
        frozenset({"front"}),
    )
    solid = bore((-150.0, 90.0, 1.0), (0, 0, -1), 18.0, 15.0)
    box = Placed("box", Loose((void,), (Room("box.can", "box", "part", solid),)))
    found = asked(quoin(box, **plain()))
    assert found["assembly.wood", "box"].value == pytest.approx(-2.0, abs=0.05)
    assert found["assembly.wood", "box"].status == "fail"


def test_parts_that_stand_in_each_other():
    """Two boxes of different parts that share 3 mm over the front."""
    boxes = [
        Placed(name, Loose((), (Room(f"{name}.box", name, "part", solid),)))
        for name, solid in (
            ("one", bore((-150.0, 90.0, 1.0), (0, 0, 1), 20.0, 10.0)),
            ("two", bore((-133.0, 90.0, 1.0), (0, 0, 1), 20.0, 10.0)),
        )
    ]
    found = asked(quoin(*boxes, **plain()))
    assert found["assembly.parts", "one"].value == pytest.approx(-3.0)
    assert found["assembly.parts", "one"].status == "fail"


def test_a_plate_over_a_carve_does_not_rest():
    """The bridge's plate reaches 16 mm behind its row over a face that has fallen there."""
    fall = fall_away("fall", "front", THICKNESS, (-10.0, 0.0), 180.0, run=30.0, drop=6.0)
    body = Skin(OUTLINE, THICKNESS, Square(), Square(), (fall,))
    found = asked(quoin(skin=body))
    assert found["assembly.rest", "bridge"].status == "fail"


def test_a_bridge_beside_the_strings():
    found = asked(
        quoin(
            swap={
                "bridge": Placed(
                    "bridge", Hardtail(52.5, hole_pitch=10.5, plate_front=30.0), Place(-17.0, 4.0)
                )
            },
            **plain(),
        )
    )
    assert found["assembly.saddle", "bridge"].status == "fail"
    assert found["assembly.saddle", "bridge"].value == pytest.approx(4.0, abs=0.1)


def test_a_cover_too_large_for_its_recess():
    """Cut for 0.3 mm of gap, fitted 0.5 mm too wide all round: a maker's own room says so."""
    layout = quoin(**plain()).layout()
    wide = replace(
        layout.rooms_by_id["control.cover"],
        shape=layout.rooms_by_id["control.cover"].shape.widened(0.5),
    )
    rooms = tuple(wide if r.id == "control.cover" else r for r in layout.rooms)
    found = {(f.code, *f.subjects): f for f in run(replace(layout, rooms=rooms), NET).findings}
    assert found["assembly.wood", "control"].value == pytest.approx(-0.2, abs=0.02)
    assert found["assembly.wood", "control"].status == "fail"


def test_a_pocket_that_stops_in_front_of_the_end_of_the_body():
    """The bench's body reaches 7.8 mm past the block's mouth: a pocket that runs on 3 mm leaves a
    wall in the way of the neck's shaft, and one that runs on 15 mm none."""
    found = asked(quoin(swap=joint(overrun=3.0), **plain()))
    assert found["assembly.wood", "neck"].status == "fail"
    assert asked(quoin(swap=joint(overrun=15.0), **plain()))["assembly.wood", "neck"].value > 0.0


def test_a_button_that_is_turned_on_the_side():
    """Turned by 10 degrees, one end of its 14 mm foot stands off by 7 sin 10 = 1.2 mm and the other
    digs in by as much."""
    place = Place(-150.0, 0.0, 10.0)
    found = asked(quoin(swap={"strap.tail": Placed("strap.tail", StrapButton(-22.0), place)}))
    rest = found["assembly.rest", "strap.tail"]
    assert rest.value == pytest.approx(14.0 * math.sin(math.radians(10.0)), abs=0.02)
    assert rest.status == "fail"


def test_a_scale_far_too_long_is_judged():
    """The whole fretboard then lies past the body; the checks say so and none breaks."""
    given = replace(instrument(), neck=replace(NECK, scale=2900.0))
    found = run(replace(quoin(), instrument=given).layout()).findings
    assert not [f.text for f in found if f.status == "error"]
    assert any(f.check == "neck-place" and f.status == "fail" for f in found)
