"""Necks on plates, in inserts, on shims, with slanted ends, open pockets and rods at the heel: each
passes for the right reason and fails by an amount that was worked out by hand.

The body is the bench's: a pocket 17 mm deep in 44 mm, so 27 mm of wood under it; a heel 25.4 mm
thick with 6.4 mm of fretboard, so 19 mm of maple to bite; 56 mm wide, 76 mm long.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bodycad import (
    Heel,
    InputError,
    Insert,
    Instrument,
    NeckJoint,
    NeckPlate,
    Place,
    Placed,
    PlateJoint,
    RodNotch,
    Roundover,
    Shim,
    Skin,
    Square,
    rounded,
    strings,
)
from bodycad.checks.rules.bolts import edge, grip, seat, tip
from bodycad.checks.rules.controls import cover_fit
from bodycad.checks.rules.joint import joint_load, pulls
from bodycad.checks.rules.land import land
from bodycad.checks.rules.loads import loads, own_group
from bodycad.checks.rules.neck import pocket_fit
from bodycad.checks.rules.pickups import ring_cover
from bodycad.checks.rules.place import neck_place
from bodycad.checks.rules.rod import rod_reach
from bodycad.checks.rules.seated import necks
from bodycad.checks.rules.strings import stack
from bodycad.checks.runner import run
from bodycad.exports.report.html import html_text
from bodycad.fasteners import lag_withdrawal
from bodycad.pattern.standing import screwed, standing_of
from tests.strangers.bench import (
    BOLTS,
    HEEL,
    HEEL_X,
    NECK,
    OUTLINE,
    THICKNESS,
    own_parts,
    quoin,
    skin,
)

FLAT = Skin(OUTLINE, THICKNESS, Square(), Roundover(5.0))
SET = strings((".010", ".013", ".017", ".026w", ".036w", ".046w"))
PLATE = PlateJoint(HEEL, 17.0, 6.4, 38.0, masked=True)
BOLTED = NeckJoint(HEEL, 17.0, 6.4, BOLTS, masked=True)
LET_IN = NeckPlate(recess=2.5, head=0.0)
SUNK = replace(LET_IN, recess=20.0)
DEEP = replace(PLATE, depth=19.0, plate=SUNK)


def body(neck, heel: Heel = HEEL, **changes):
    """The layout of the bench's body with that neck."""
    own = {"instrument": Instrument(replace(NECK, heel=heel), SET, bridge_spread=52.5)}
    placed = Placed("neck", neck, Place(HEEL_X))
    return quoin(swap={"neck": placed}, **(own | {"skin": FLAT} | changes)).layout()


def figure(check, layout, code: str, *subjects: str):
    """(figure, status) of the one finding of that code whose first subjects are those."""
    found = [f for f in check(layout) if f.code == code and f.subjects[: len(subjects)] == subjects]
    assert len(found) == 1, [(f.code, f.subjects) for f in found]
    return found[0].value, found[0].status


def near(value: float) -> object:
    return pytest.approx(value, abs=2e-3)


HOLE = "neck.bolt.1.hole"


@pytest.mark.parametrize(
    "mouth, end, code, value, status",
    [
        # The board is 43 wide at the nut, 56 on the last of 22 frets, 610 - 171.2 = 438.8 mm:
        # 0.029625 a mm. The heel ends 5 mm behind that fret, 71 mm from its mouth.
        (54.0, 56.0, "board.end", 0.148, "pass"),
        (54.0, 56.0, "board.mouth", 0.103, "pass"),
        (54.0, 56.0, "taper", 2.0, "pass"),
        (56.0, 54.0, "board.end", 2.148, "warn"),
        (56.0, 54.0, "board.mouth", 2.103, "warn"),
        (56.0, 54.0, "taper", -2.0, "fail"),
        (50.0, 51.0, "board.end", 5.148, "fail"),
        (50.0, 51.0, "board.mouth", 3.897, "fail"),
        (60.0, 61.0, "board.end", 4.852, "fail"),
    ],
)
def test_the_heel_is_as_wide_as_the_fretboard_over_it(mouth, end, code, value, status):
    """Its two widths mixed up, or misread, do not pass."""
    heel = replace(HEEL, width_mouth=mouth, width_end=end)
    layout = body(replace(BOLTED, heel=heel), heel)
    found = figure(neck_place, layout, f"neck-place.{code}")
    assert found == (near(value), status)


@pytest.mark.parametrize(
    "neck, check, code, value, status",
    [
        # 45 mm from the rim of the head, less 2.5 mm of plate and 27 mm of wood, is in the neck.
        (PLATE, grip, "bolt-grip", 15.5, "pass"),
        (replace(PLATE, length=41.0), grip, "bolt-grip", 11.5, "fail"),
        (replace(PLATE, plate=LET_IN, length=43.0), grip, "bolt-grip", 16.0, "pass"),
        # A thread of 4.2 mm falls through a hole of 4.8, and bites in one of its own size.
        (PLATE, grip, "bolt-grip.free", 0.6, "pass"),
        (replace(PLATE, hole=4.2), grip, "bolt-grip.free", 0.0, "fail"),
        (PLATE, tip, "bolt-tip", 3.5, "pass"),
        (replace(PLATE, length=48.0), tip, "bolt-tip", 0.5, "fail"),
        (PLATE, seat, "bolt-seat.wood", 27.0, "pass"),
        (DEEP, seat, "bolt-seat.wood", 5.0, "fail"),
        (PLATE, seat, "bolt-seat.proud", 0.0, "pass"),
    ],
)
def test_the_screws_of_a_plate(neck, check, code, value, status):
    assert figure(check, body(neck), code, HOLE) == (near(value), status)


def test_a_plate_over_a_carve_has_no_land_and_its_heads_stand_out():
    """The heel is carved up to 11 mm deep under the plate."""
    spoiled = body(PLATE, skin=skin(11.0))
    assert figure(land, body(PLATE), "land", "neck.plate")[1] == "pass"
    assert figure(land, spoiled, "land", "neck.plate")[1] == "fail"
    assert {f.status for f in seat(spoiled) if f.code == "bolt-seat"} == {"pass", "fail"}
    assert "fail" in {f.status for f in seat(spoiled) if f.code == "bolt-seat.proud"}


def test_a_plate_covers_its_holes():
    """Half of 51 mm less half of 38.1 is 6.45 mm, less the radius of the hole, 2.4: 4.05."""
    assert figure(ring_cover, body(PLATE), "ring-cover", "neck", HOLE) == (near(4.05), "pass")
    narrow = replace(PLATE, plate=NeckPlate(width=43.5))
    assert figure(ring_cover, body(narrow), "ring-cover", "neck", HOLE) == (near(0.3), "fail")


@pytest.mark.parametrize("gap, status", [(0.2, "pass"), (0.02, "fail")])
def test_a_plate_that_is_let_in_enters_its_recess(gap, status):
    layout = body(replace(PLATE, plate=replace(LET_IN, gap=gap)))
    assert figure(cover_fit, layout, "cover-fit.gap", "neck.plate") == (near(gap), status)


def test_a_plate_bears_round_each_screw():
    """Alder dents at 3.0 MPa (from memory) over pi/4 (12.9^2 - 4.8^2) mm2: 337.8 N. Screws 63.4 and
    12.6 mm from the heel's end share the pull's moment in proportion."""
    layout = body(PLATE)
    (neck,) = necks(layout)
    held = math.pi / 4.0 * (12.9**2 - 4.8**2) * 3.0
    moment = next(f for f in joint_load(layout) if f.code == "joint-load" and len(f.subjects) == 1)
    pull = float(moment.text.split("pull ")[1].split(" N")[0])
    share = pull * 28.85 * 63.4 / (2.0 * (63.4**2 + 12.6**2))
    value, status = figure(joint_load, layout, "joint-load.crush", HOLE)
    assert value == pytest.approx(held / share, rel=5e-3) and status == "pass"
    small = replace(PLATE, plate=NeckPlate(length=60.0, width=45.0))
    assert figure(joint_load, body(small), "joint-load.crush", HOLE)[1] == "fail"
    assert len({f.identity for f in seat(layout)}) == len(list(seat(layout)))


INSERT = replace(PLATE, screw=5.0, hole=5.5, length=42.0, insert=Insert())
INWARD = replace(INSERT, plate=NeckPlate(screw_width=28.0))


@pytest.mark.parametrize(
    "neck, check, code, value, status",
    [
        # 42 - 2.5 - 27 = 12.5 mm of a 5 mm thread are in the insert.
        (INSERT, grip, "bolt-grip.insert", 2.5, "pass"),
        (replace(INSERT, length=34.0), grip, "bolt-grip.insert", 0.9, "fail"),
        (INSERT, grip, "bolt-grip.bottom", 1.5, "pass"),
        (replace(INSERT, length=44.0), grip, "bolt-grip.bottom", -0.5, "fail"),
        # A hole of 7.5 mm, 14 deep at full diameter: its point is 3.75 / tan 59 = 2.25 mm more.
        (INSERT, tip, "bolt-tip", 5.0 - 3.75 / math.tan(math.radians(59.0)), "pass"),
        (replace(INSERT, insert=Insert(depth=16.0)), tip, "bolt-tip", 0.7467, "fail"),
        # The insert of 12.7 mm goes in to its end, but not into a hole 11.75 deep.
        (INSERT, grip, "bolt-grip.flush", 1.3, "pass"),
        (replace(INSERT, insert=Insert(depth=13.0)), grip, "bolt-grip.flush", 0.3, "warn"),
        (replace(INSERT, insert=Insert(depth=11.75)), grip, "bolt-grip.flush", -0.95, "fail"),
        # The axis is 28 - 19.05 mm from the heel's side, the insert's own side 4.5 mm less.
        (INSERT, edge, "bolt-edge", 4.45, "pass"),
        (replace(INSERT, plate=NeckPlate(screw_width=42.0)), edge, "bolt-edge", 2.5, "fail"),
        (INSERT, edge, "bolt-edge.insert", 8.95 / 9.0, "fail"),
        # Farther in, the heel's end is nearer: 38 - 25.4 mm.
        (INWARD, edge, "bolt-edge.insert", 12.6 / 9.0, "warn"),
    ],
)
def test_the_inserts_of_machine_screws(neck, check, code, value, status):
    subjects = (HOLE, "neck.heel") if code == "bolt-edge" else (HOLE,)
    assert figure(check, body(neck), code, *subjects) == (near(value), status)


@pytest.mark.parametrize(
    "plate, spare, status",
    [
        (NeckPlate(recess=2.5, head=1.0), 0.0, "pass"),
        (NeckPlate(recess=2.5, thickness=2.9, head=0.0), -0.4, "warn"),
        (NeckPlate(recess=2.5, thickness=4.0, head=0.0), -1.5, "fail"),
        (NeckPlate(thickness=4.0), 0.0, "pass"),
    ],
)
def test_a_plate_that_is_let_in_ends_flush(plate, spare, status):
    """The rounds of its heads may stand out of the back, and a plate that lies on it."""
    found = figure(seat, body(replace(PLATE, plate=plate)), "bolt-seat.proud", HOLE)
    assert found == (near(spare), status)


def test_two_inserts_leave_wood_between_them():
    """Screws 20 mm apart leave 11 mm between inserts of 9 mm, screws 11 mm apart 2 mm."""
    for apart, told in ((20.0, ("pass", 11.0)), (11.0, ("fail", 2.0))):
        spots = (20.0, 10.0), (20.0 - apart, 10.0), (-20.0, -10.0)
        made = replace(INSERT, plate=NeckPlate(screws=spots))
        found = [f for f in edge(body(made)) if f.subjects == (HOLE, "neck.bolt.2.hole")]
        assert [(f.status, f.value) for f in found] == [(told[0], near(told[1]))]


def test_what_an_insert_holds():
    """A lag screw of 1/4 in, 1 in deep in wood of gravity 0.63, holds 1432 lb (8100 G^1.5 D^0.75 L,
    Wood Handbook ch. 8; computed). An insert of 9 mm, 12.7 mm long, in maple: 125.4 x 0.63^1.5 x
    9^0.75 x 12.7 = 4138 N."""
    assert lag_withdrawal(0.63, 6.35, 25.4) == pytest.approx(1432 * 4.448222, rel=2e-3)
    text = [f.text for f in joint_load(body(INSERT)) if f.subjects[:1] == (HOLE,)]
    assert any(
        "the insert of neck screw 1 draws out of maple, sugar at about 4138 N" in t for t in text
    )
    wide = replace(INSERT, insert=Insert(outside=9.0, hole=8.7))
    assert figure(joint_load, body(wide), "joint-load.pilot.insert")[1] == "fail"
    assert figure(joint_load, body(INSERT), "joint-load.pilot.insert") == (near(7.5 / 9.0), "pass")


@pytest.mark.parametrize("end, angle", [(0.25, 0.1885), (0.5, 0.3769), (1.0, 0.7538)])
def test_a_shim_at_the_pockets_end_is_an_angle(end, angle):
    """Computed: atan(0.25 / 76) is 0.188 degrees, and so on. The strings over the saddles rise by D
    tan(angle), D being what lies between the mouth and the saddle line."""
    plain, shimmed = (body(replace(BOLTED, shim=s)) for s in (None, Shim(0.0, end)))
    (neck,), (before,) = necks(shimmed), necks(plain)
    assert neck.angle_deg == pytest.approx(angle, abs=1e-4) and before.angle_deg == 0.0
    assert neck.depth == pytest.approx(17.0) and neck.end[2] == pytest.approx(end - 17.0)
    rise = neck.seat(shimmed).height(0.0) - before.seat(plain).height(0.0)
    assert rise == pytest.approx((HEEL_X + 76.0) * math.tan(math.radians(angle)), rel=2e-3)


def test_a_flat_shim_raises_all_and_takes_thread():
    """1 mm under all of the heel: the strings rise by 1 mm, each screw bites 1 mm less, and a
    saddle that travels to 14 mm has 1 mm less above it."""
    plain, raised = body(BOLTED), body(replace(BOLTED, shim=Shim(1.0, 1.0)))
    one, two = (figure(grip, layout, "bolt-grip", HOLE)[0] for layout in (plain, raised))
    assert one - two == pytest.approx(1.0)
    heights = [necks(layout)[0].seat(layout).height(0.0) for layout in (plain, raised)]
    assert heights[1] - heights[0] == pytest.approx(1.0)
    spoiled = body(replace(BOLTED, shim=Shim(3.5, 3.5)))
    assert figure(stack, plain, "stack.bass")[1] == "pass"
    assert figure(stack, spoiled, "stack.bass")[1] == "fail"
    sizes = {f.code: f.status for f in neck_place(raised)}
    assert sizes["neck-place.size.thickness"] == "pass"  # a shim is none of the heel


SLANT = replace(HEEL, width_mouth=54.0, slant_deg=6.0)


@pytest.mark.parametrize("left", [False, True])
def test_a_slanted_end(left):
    """6 degrees over half of 56 mm: its corners lie 2.943 mm ahead of and behind the middle."""
    right = body(replace(BOLTED, heel=SLANT), SLANT, left_handed=left)
    assert necks(right)[0].slant == pytest.approx(math.tan(math.radians(6.0)))
    assert figure(neck_place, right, "neck-place.end")[0] == pytest.approx(0.3)
    assert {f.status for f in neck_place(right)} == {"pass"}
    assert {f.status for f in pocket_fit(right)} == {"pass"}
    wrong = body(replace(BOLTED, heel=SLANT), HEEL, left_handed=left)
    off = [f for f in neck_place(wrong) if f.code == "neck-place.size.slant"]
    assert [(f.status, f.value) for f in off] == [
        ("fail", near(28.0 * math.tan(math.radians(6.0))))
    ]


def test_a_slanted_end_is_tipped_over_its_own_line():
    """Its screws on the bass side, whose corner lies nearer the bridge, are farther from the line
    and carry more of the part of the moment that turns about it."""
    layout = body(replace(BOLTED, heel=SLANT), SLANT)
    (neck,) = necks(layout)
    turn = math.radians(6.0)
    own, pull = own_group(layout, neck), loads(layout, neck)[0]
    levers = own.u * math.cos(turn) + own.v * math.sin(turn)
    assert sum(levers * pulls(layout, neck)) == pytest.approx(pull.moment)
    square = loads(body(BOLTED), necks(body(BOLTED))[0])[0].moment
    assert pull.moment == pytest.approx(square * math.cos(turn), rel=1e-3)


@pytest.mark.parametrize(
    "shape", [{"corner": 0.0}, {"corner": 27.9}, {"width_mouth": 54.0}, {"width_mouth": 58.0}]
)
def test_square_round_and_tapered_ends(shape):
    """The room behind the end is the end clearance, whatever the end's shape; a round pocket behind
    a square end has its corners in the way."""
    heel = replace(HEEL, **shape)
    round_ = heel.corner + 0.1 if heel.corner else 0.0
    layout = body(replace(BOLTED, heel=heel, corner=round_), heel)
    assert figure(neck_place, layout, "neck-place.end") == (pytest.approx(0.3, abs=0.05), "pass")
    fouled = body(replace(BOLTED, heel=replace(HEEL, corner=0.0)), replace(HEEL, corner=0.0))
    # A square corner in a round one of 6.35 mm, 0.15 mm beside it and 0.3 mm before it.
    off = 6.35 - math.hypot(6.35 - 0.15, 6.35 - 0.3)
    value, status = figure(pocket_fit, fouled, "pocket-fit.least.corners")
    assert value == pytest.approx(2.0 * off, abs=0.02) and status == "fail"


CUTAWAY = Skin(
    rounded(
        [(-200, -135), (150, -135), (150, -27), (240, -27), (240, 135), (-200, 135)],
        (40.0, 20.0, 15.0, 5.0, 40.0, 40.0),
    ),
    THICKNESS,
    Square(),
    Roundover(5.0),
)


def test_a_pocket_that_is_open_at_the_cutaway_says_so():
    """The cutaway runs 27 mm beside the centreline, inside the pocket's own side at 28.15."""
    shut = body(BOLTED, skin=CUTAWAY)
    assert figure(pocket_fit, shut, "pocket-fit.wall.treble")[1] == "fail"
    open_ = body(replace(BOLTED, open_treble=14.0), skin=CUTAWAY)
    found = {f.code: f.status for f in pocket_fit(open_)}
    assert found["pocket-fit.open.treble"] == found["pocket-fit.least"] == "pass"
    assert "pocket-fit.wall.treble" not in found and found["pocket-fit.wall.bass"] == "pass"
    # Without that wall the screws alone hold a knock from the side.
    side = next(f for f in joint_load(open_) if f.code == "joint-load.side")
    assert side.limit == 1.0 and side.status == "pass"
    # In a body without that cutaway the opening is a pocket that is too wide.
    blind = body(replace(BOLTED, open_treble=14.0))
    assert figure(pocket_fit, blind, "pocket-fit.open.treble")[1] == "fail"
    left = body(replace(BOLTED, open_treble=14.0), skin=CUTAWAY, left_handed=True)
    assert {f.code: f.status for f in pocket_fit(left)} == found


ROD = replace(HEEL, rod_at_heel=True)


@pytest.mark.parametrize(
    "rod, code, status",
    [
        (None, "rod-reach.none", "fail"),
        (RodNotch(), "rod-reach", "pass"),
        # 13 mm of notch and 0.3 of clearance, less the pin's place at 12 and its radius of 2.
        (RodNotch(nut_length=12.0, tool_deg=0.0, tool_length=20.0), "rod-reach", "fail"),
        (RodNotch(width=8.2, tool=8.0, corner=0.0), "rod-reach", "fail"),
        (RodNotch(nut_length=1.0), "rod-reach.part", "fail"),
    ],
)
def test_the_tool_reaches_a_rod_at_the_heel(rod, code, status):
    layout = body(replace(BOLTED, heel=ROD, rod=rod), ROD)
    assert status in {f.status for f in rod_reach(layout) if f.code == code}


def test_a_pickup_in_the_way_of_the_rods_tool():
    """The ring of a pickup 30 mm from the heel's end reaches 23.25 mm: a key that stands 30 degrees
    to the rod passes over it by less than a pin does."""
    neck = replace(BOLTED, heel=ROD, rod=RodNotch(tool_deg=20.0, nut_length=6.0))
    placed = Placed("neck", neck, Place(HEEL_X))
    pickup = replace(own_parts()["pickup"], place=Place(HEEL_X - 32.0))
    own = Instrument(replace(NECK, heel=ROD), SET, bridge_spread=52.5)
    layout = quoin(swap={"neck": placed, "pickup": pickup}, instrument=own, skin=FLAT).layout()
    near_ring = [f for f in rod_reach(layout) if f.code == "rod-reach.part"]
    assert "fail" in {f.status for f in near_ring if f.subjects[1].startswith("pickup.")}


@pytest.mark.parametrize(
    "make, words",
    [
        (lambda: RodNotch(nut=12.0), "the nut of the truss rod"),
        (lambda: RodNotch(nut_length=20.0), "the truss rod's nut in its notch"),
        (lambda: replace(BOLTED, rod=RodNotch(depth=18.0)), "the depth of the notch"),
        (lambda: replace(BOLTED, rod=RodNotch(under=12.0)), "the truss rod's axis"),
        (lambda: replace(BOLTED, open_treble=10.0, overrun=0.0), "the overrun of a pocket"),
        (lambda: Insert(hole=9.5), "a threaded insert's hole"),
        (lambda: replace(INSERT, screw=7.8, hole=8.0), "the neck screw in an insert"),
        (lambda: NeckPlate(screw_length=70.0), "the u of a neck plate's screw"),
        (lambda: replace(PLATE, plate=NeckPlate(width=42.0)), "the neck screw's body hole"),
        (
            lambda: body(replace(PLATE, plate=replace(LET_IN, recess=20.0), depth=30.0)),
            "the recess",
        ),
    ],
)
def test_sizes_that_clash_are_named(make, words):
    with pytest.raises(InputError, match=words):
        make()


def test_a_plate_and_inserts_are_left_out_of_the_patterns():
    """A plate says where its screws stand: no report looks for other places, and whoever asks for
    some is told so."""
    for neck in (PLATE, INSERT):
        layout = body(neck)
        assert screwed(layout) == () and "heel" in html_text(run(layout))
        with pytest.raises(InputError, match="held by screws on ferrules of their own"):
            standing_of(layout)
    assert [neck.id for neck in screwed(body(BOLTED))] == ["neck"]
