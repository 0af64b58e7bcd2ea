"""What every part keeps: ids, faces, sizes with their origins, and a mirrored twin of the same
volume."""

from __future__ import annotations

import importlib
import math
import pkgutil
from dataclasses import fields, is_dataclass, replace
from inspect import isabstract

import numpy as np
import pytest

import bodycad
from bodycad import parts
from bodycad.checks.runner import run, sizes
from bodycad.errors import InputError
from bodycad.fasteners import Insert
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.prism import Prism
from bodycad.instrument.neck import Heel
from bodycad.layout.layout import Layout, Link, Placed
from bodycad.layout.place import Depth, Place
from bodycad.parts.battery import Battery, BatteryBox, Capacitor, WireRoom
from bodycad.parts.blade import BladeSwitch
from bodycad.parts.bridge import BassBridge, Ferrule, Hardtail, TopLoad
from bodycad.parts.bridge_pickup import PickupBridge
from bodycad.parts.bridge_posts import PostBridge, Tailpiece, WrapBar
from bodycad.parts.bridge_single import GroundFoil, SingleBridge
from bodycad.parts.bridge_tail import TailBlock
from bodycad.parts.bridge_vibrato import PostVibrato, ScrewVibrato
from bodycad.parts.cased import Blade
from bodycad.parts.cavity import Cavity, Cover
from bodycad.parts.channel import Channel
from bodycad.parts.control import MiniToggle, Pot, PushPull, Rotary, SmallPot, Toggle
from bodycad.parts.guard import Guard
from bodycad.parts.jack import AngledJack, EndJack
from bodycad.parts.mount import DirectMount, Ears, GuardMount, Ring
from bodycad.parts.neckjoint import Bolt, NeckFerrule, NeckJoint
from bodycad.parts.neckplate import NeckPlate, PlateJoint
from bodycad.parts.neckthrough import NeckThrough
from bodycad.parts.pickup import Humbucker, SingleCoil, SmallHumbucker, Soapbar, SplitPair
from bodycad.parts.pocket import RodNotch, Shim
from bodycad.parts.sidejack import BarrelJack, SideJack
from bodycad.parts.strap import StrapButton, StrapLock
from bodycad.parts.tenon import TenonJoint, Tongue
from bodycad.units import Size, claimed, measured
from bodycad.words import Face, Operation
from tests.checks.bench import T, board, instrument

HEEL = Heel(width_mouth=54.0, width_end=56.0, length=70.0, corner=7.0)
BOLTS = (Bolt(13.0, 16.0, 18.0), Bolt(50.0, -12.0, 16.0, 33.0))
PARTS = {
    "neck": NeckJoint(HEEL, 17.0, 6.4, BOLTS, angle_deg=1.0),
    "plate": PlateJoint(
        HEEL,
        17.0,
        6.4,
        35.0,
        plate=NeckPlate(recess=2.5),
        screw=5.0,
        hole=5.5,
        insert=Insert(),
        open_treble=20.0,
        shim=Shim(0.2, 0.6),
        rod=RodNotch(),
    ),
    "through": NeckThrough(HEEL, 6.4, angle_deg=1.0, rise=1.0, rod=RodNotch()),
    "tenon": TenonJoint(HEEL, 17.0, 6.4, Tongue(), angle_deg=2.0, rod=RodNotch(width=9.0)),
    "pickup": Humbucker(52.0),
    "humbucker.direct": Humbucker(52.0, ring=None, mount=DirectMount()),
    "small": SmallHumbucker(52.0, blade=Blade()),
    "single": SingleCoil(52.0, mount=GuardMount()),
    "soapbar": Soapbar(52.0),
    "soapbar.ears": Soapbar(52.0, mount=Ears()),
    "split": SplitPair(57.0),
    "bridge": Hardtail(52.5),
    "bridge.top": TopLoad(52.5),
    "bridge.bass": BassBridge(57.0),
    "bridge.posts": PostBridge(52.0, grounded=True),
    "tailpiece": Tailpiece(),
    "tail.block": TailBlock(52.5),
    "bridge.pickup": PickupBridge(54.0),
    "bridge.pickup.top": PickupBridge(54.0, through=False),
    "lone": SingleBridge(grounded=True),
    "lone.edge": SingleBridge(through=False, foil=0.1),
    "foil": GroundFoil(70.0),
    "vibrato": ScrewVibrato(52.5),
    "vibrato.posts": PostVibrato(52.5),
    "bridge.wrap": WrapBar(52.0),
    "bridge.bass.through": BassBridge(68.0, strings=5, through=True),
    "control": Cavity(
        rectangle(60.0, 50.0, 8.0), Depth(leave=6.0), Cover(screws=((30.0, 0.0), (-30.0, 5.0)))
    ),
    "pot": Pot("control", 6.0),
    "toggle": Toggle("control", 6.0),
    "small.pot": SmallPot("control", 6.0),
    "pull": PushPull("control", 6.0),
    "rotary": Rotary("control", 6.0),
    "mini": MiniToggle("control", 6.0),
    "blade": BladeSwitch("control", 6.0),
    "guard": Guard(rectangle(120.0, 60.0, 6.0), ((54.0, 24.0), (-54.0, -24.0))),
    "route": Cavity(rectangle(60.0, 50.0, 8.0), Depth(34.0), None, face="front"),
    "hung": Pot("route", 2.4, guard="guard"),
    "hung.blade": BladeSwitch("route", 2.4, guard="guard"),
    "jack": EndJack("control", -22.0, 60.0),
    "side": SideJack("control", -22.0, 45.0),
    "barrel": BarrelJack("control", -22.0, 30.0),
    "angled": AngledJack("control"),
    "blind": AngledJack(),
    "battery": Battery("control", 6.0),
    "battery.box": BatteryBox(),
    "capacitor": Capacitor("route", 34.0, face="front"),
    "wires": WireRoom("control", 6.0),
    "strap": StrapButton(-22.0),
    "lock": StrapLock(-22.0),
    "wire": Channel((0.0, -30.0, -10.0), (0.0, -70.0, -30.0), ("pickup.route",)),
    "ground": Channel(
        (0.0, -30.0, 0.0), (0.0, -70.0, -30.0), ("control.cavity",), 3.2, "front", "ground"
    ),
}
"""How to make one of every shipped part; the ids are those by which some of them name others."""
PLACE = Place(12.0, -7.0, 20.0)


def shipped() -> dict[str, type]:
    """Every dataclass of `bodycad.parts` that answers voids, by name."""
    found = {}
    for info in pkgutil.iter_modules(parts.__path__):
        module = importlib.import_module(f"{parts.__name__}.{info.name}")
        for name, kind in vars(module).items():
            own = isinstance(kind, type) and kind.__module__ == module.__name__
            if own and is_dataclass(kind) and hasattr(kind, "voids") and not isabstract(kind):
                found[name] = kind
    return found


@pytest.mark.parametrize("name", shipped())
def test_every_shipped_part_is_tested_and_public(name):
    kind = shipped()[name]
    made = [one for one in PARTS.values() if type(one) is kind]
    assert made, f"{name} has no row in PARTS of {__file__}: say there how to make one"
    assert getattr(bodycad, name, None) is kind, f"{name} is not in NAMES of bodycad/__init__.py"


def laid_out(place: Place) -> Layout:
    """All parts on one board, whatever they run into: only what they state is asked. Under a
    mirrored place the strings are mirrored too."""
    played = instrument().mirrored() if place.flipped else None
    return board(*(Placed(name, part, place) for name, part in PARTS.items()), played=played)


def alike(one, two) -> bool:
    """Whether two fields of a record say the same, to 1e-9."""
    if isinstance(one, Profile):
        one, two = (*one.box, one.area, *one.centroid), (*two.box, two.area, *two.centroid)
    elif isinstance(one, (Prism, Bore)):
        one, two = one.box, two.box
    rows = isinstance(one, tuple) and one and isinstance(one[0], tuple)
    worded = isinstance(one, tuple) and one and isinstance(one[0][0] if rows else one[0], str)
    if isinstance(one, tuple) and one and not worded:
        return np.allclose(np.array(one, float), np.array(two, float), rtol=0.0, atol=1e-9)
    return one == two


@pytest.fixture(scope="module")
def layouts() -> tuple[Layout, Layout]:
    """All parts at their place, and at the mirrored one."""
    return laid_out(PLACE), laid_out(PLACE.mirrored())


@pytest.mark.parametrize("name", PARTS)
def test_a_mirrored_place_states_the_mirrored_records(name, layouts):
    """What a part states for a left-handed body is what it states, reflected; and it states
    something."""
    twins = layouts[0].mirrored().interfaces, layouts[1].interfaces
    mine, its = ([r for r in twin if r.part == name] for twin in twins)
    assert mine and [type(r) for r in mine] == [type(r) for r in its]
    for one, two in zip(mine, its):
        off = [f.name for f in fields(one) if not alike(getattr(one, f.name), getattr(two, f.name))]
        assert not off, (one, two)


@pytest.mark.parametrize("name", PARTS)
def test_nothing_is_cut_that_no_record_speaks_of(name, layouts):
    """Every void of a shipped part is named by a record of some part."""
    layout, _ = layouts
    spoken = {i for record in layout.interfaces for i in record.names("void")}
    assert not {v.id for v in layout.voids_of(name)} - spoken


@pytest.mark.parametrize("name", PARTS)
def test_ids_begin_with_the_parts_own(name):
    part = PARTS[name]
    voids, rooms = part.voids(name, PLACE, T), part.rooms(name, PLACE, T)
    ids = [v.id for v in voids] + [r.id for r in rooms]
    assert ids and len(set(ids)) == len(ids)
    assert all(i == name or i.startswith(f"{name}.") for i in ids)
    for void in voids:
        assert void.part == name and void.face in Face and void.opens <= set(Face)
        assert void.operation in Operation
        assert void.id not in void.meets
    assert all(r.part == name for r in rooms)


@pytest.mark.parametrize("name", PARTS)
def test_every_cut_takes_wood_and_every_room_has_size(name):
    part = PARTS[name]
    for thing in (*part.voids(name, PLACE, T), *part.rooms(name, PLACE, T)):
        assert isinstance(thing.shape, (Prism, Bore)) and thing.shape.volume > 0.0, thing.id
        assert all(map(math.isfinite, thing.shape.box)), thing.id


@pytest.mark.parametrize("name", PARTS)
def test_a_mirrored_place_makes_the_mirrored_twin(name):
    """Left-handed twin: same volumes, and the same solid as the reflected one."""
    part = PARTS[name]
    for answer in (part.voids, part.rooms):
        for one, two in zip(answer(name, PLACE, T), answer(name, PLACE.mirrored(), T)):
            assert one.id == two.id and two.shape.volume == pytest.approx(
                one.shape.volume, rel=1e-12
            )
            mirrored = one.shape.mirrored()
            assert two.shape.box == pytest.approx(mirrored.box, abs=1e-9), one.id
            if isinstance(mirrored, Prism):
                spot = mirrored.profile.centroid
                assert two.shape.profile.centroid == pytest.approx(spot, abs=1e-9)
                assert two.shape.floor(*spot) == pytest.approx(mirrored.floor(*spot), abs=1e-9)


@pytest.mark.parametrize("name", PARTS)
def test_a_part_stays_itself_when_its_stock_changes(name):
    """Voids from the front keep their depth, those from the back theirs, whatever the thickness."""
    part = PARTS[name]
    for thick, thin in zip(part.voids(name, PLACE, T), part.voids(name, PLACE, 40.0)):
        if (
            name in ("neck", "plate", "control")
            and thick.operation in ("BORE", "POCKET")
            and thick.face == "back"
        ):
            continue  # set by the wood they leave
        if thick.id.endswith(".slot"):
            continue  # leads into the cavity at the back, wherever that ends
        if "front" in thick.opens and "back" not in thick.opens:
            assert thin.shape.box == pytest.approx(thick.shape.box)
        elif thick.face == "back":
            assert thin.low - thick.low == pytest.approx(4.0)
            assert thin.high - thick.high == pytest.approx(4.0)


BAD = [
    (lambda: NeckFerrule(flange=0.0), "flange"),
    (lambda: NeckFerrule(height=-1.0), "height"),
    (lambda: NeckFerrule(web=9.0), "web"),
    (lambda: NeckFerrule(fit=-0.1), "fit"),
    (lambda: Bolt(math.nan, 0.0, 10.0), "screw's u"),
    (lambda: Bolt(0.0, math.inf, 10.0), "screw's v"),
    (lambda: Bolt(0.0, 0.0, 0.0), "wood"),
    (lambda: Bolt(0.0, 0.0, 10.0, 0.0), "length"),
    (lambda: NeckJoint(HEEL, 0.0, 6.4, BOLTS), "depth"),
    (lambda: NeckJoint(HEEL, 17.0, 6.4, BOLTS[:1]), "bolts"),
    (lambda: NeckJoint(HEEL, 17.0, 40.0, BOLTS), "board_thickness"),
    (lambda: NeckJoint(HEEL, 17.0, 6.4, BOLTS, angle_deg=20.0), "angle"),
    (lambda: NeckJoint(HEEL, 17.0, 6.4, BOLTS, side_clearance=-1.0), "side_clearance"),
    (lambda: NeckJoint(HEEL, 17.0, 6.4, BOLTS, end_clearance=-1.0), "end_clearance"),
    (lambda: NeckJoint(HEEL, 17.0, 6.4, BOLTS, overrun=-1.0), "overrun"),
    (lambda: NeckJoint(HEEL, 17.0, 6.4, BOLTS, hole=4.0), "body hole"),
    (lambda: NeckJoint(HEEL, 17.0, 6.4, BOLTS, hole=15.0), "body hole"),
    (lambda: NeckJoint(HEEL, 17.0, 6.4, BOLTS, pilot=4.5), "pilot"),
    (lambda: NeckJoint(HEEL, 17.0, 6.4, BOLTS, screw=0.0), "screw"),
    (lambda: NeckJoint(HEEL, 17.0, 6.4, BOLTS, corner=-1.0), "corner"),
    (lambda: Ring(length=0.0), "length"),
    (lambda: Ring(screw_length=95.0), "screw_length"),
    (lambda: Ring(screw_width=50.0), "screw_width"),
    (lambda: Ring(pilot_depth=0.0), "pilot_depth"),
    (lambda: Humbucker(0.0), "pole_spacing"),
    (lambda: Humbucker(52.0, poles=1), "poles"),
    (lambda: Humbucker(52.0, poles=6.5), "poles"),
    (lambda: Humbucker(52.0, gap=-1.0), "gap"),
    (lambda: Humbucker(52.0, travel=-1.0), "travel"),
    (lambda: Humbucker(52.0, frame_length=0.0), "frame_length"),
    (lambda: Humbucker(52.0, rest_height=math.nan), "rest_height"),
    (lambda: Humbucker(52.0, corner=0.0), "corner"),
    (lambda: Blade(width=0.0), "width"),
    (lambda: DirectMount(pilot=3.5), "pilot"),
    (lambda: DirectMount(spring_flat=20.0), "spring_flat"),
    (lambda: GuardMount(spring_flat=20.0), "spring_flat"),
    (lambda: GuardMount(guard="1"), "guard"),
    (lambda: Ears(height=0.0), "height"),
    (lambda: SingleCoil(52.0, leg_depth=0.0), "leg_depth"),
    (lambda: SplitPair(57.0, bass_strings=4), "bass_strings"),
    (lambda: SplitPair(57.0, mount=Ears()), "mount"),
    (lambda: Soapbar(52.0, rest_height=math.nan), "rest_height"),
    (lambda: Humbucker(52.0, ring=Ring(length=80.0)), "screw_length"),
    (lambda: Ferrule(hole=0.0), "hole"),
    (lambda: Ferrule(depth=0.0), "depth"),
    (lambda: Hardtail(0.0), "spread"),
    (lambda: Hardtail(52.5, hole_pitch=0.0), "hole_pitch"),
    (lambda: Hardtail(52.5, strings=0), "strings"),
    (lambda: Hardtail(52.5, strings=5.5), "strings"),
    (lambda: Hardtail(52.5, window_rear=25.0), "saddle window"),
    (lambda: Hardtail(52.5, saddle_low=20.0), "saddle heights"),
    (lambda: Hardtail(52.5, saddle_high=math.nan), "saddle_high"),
    (lambda: Hardtail(52.5, string_hole=8.0), "ferrule's hole"),
    (lambda: Hardtail(52.5, screws=((40.0, 0.0),)), "u of a bridge's screw 1"),
    (lambda: Hardtail(52.5, screws=((0.0, 0.0), (0.0, -41.0))), "v of a bridge's screw 2"),
    (lambda: Hardtail(52.5, plate_rear=-40.0), "plate_rear"),
    (lambda: Cover(thickness=0.0), "thickness"),
    (lambda: Cover(gap=-0.1), "gap"),
    (lambda: Cover(gap=5.0), "gap"),
    (lambda: Cover(boss=0.0), "boss"),
    (lambda: Cover(pilot=0.0), "pilot"),
    (lambda: Depth(), "depth"),
    (lambda: Depth(3.0, 4.0), "depth"),
    (lambda: Depth(leave=-1.0), "leave"),
    (lambda: Pot("control", 0.0), "panel"),
    (lambda: Pot("control", 6.0, can_diameter=0.0), "can_diameter"),
    (lambda: Pot("control", 6.0, bush=0.0), "bush"),
    (lambda: Toggle("control", 6.0, width=0.0), "width"),
    (lambda: Toggle("control", 6.0, depth=-3.0), "depth"),
    (lambda: EndJack("control", math.nan, 60.0), "jack's z"),
    (lambda: EndJack("control", -22.0, 10.0), "reach"),
    (lambda: EndJack("control", -22.0, 60.0, cup=0.0), "cup"),
    (lambda: EndJack("control", -22.0, 60.0, hole=30.0), "bore"),
    (lambda: EndJack("control", -22.0, 60.0, lip_thickness=0.0), "lip_thickness"),
    (lambda: SideJack("control", -22.0, 45.0, screw_span=50.0), "screw_span"),
    (lambda: BarrelJack("control", -22.0, 70.0), "wall"),
    (lambda: AngledJack(tilt_deg=5.0), "tilt_deg"),
    (lambda: AngledJack(reach=10.0), "reach"),
    (lambda: StrapLock(-22.0, cup=0.0), "cup"),
    (lambda: PushPull("control", 6.0, can_depth=40.0), "can_depth"),
    (lambda: BladeSwitch("control", 6.0, screw_span=60.0), "screw_span"),
    (lambda: Guard(rectangle(50, 40), ((0.0, 0.0),)), "screws"),
    (lambda: StrapButton(math.inf), "button's z"),
    (lambda: StrapButton(-22.0, pilot=0.0), "pilot"),
    (lambda: StrapButton(-22.0, base=0.0), "base"),
    (lambda: Channel((0, 0), (1, 1, 1), ()), "start"),
    (lambda: Channel((0, 0, math.nan), (1, 1, 1), ()), "item 3 of a channel's start"),
    (lambda: Channel((0, 0, 0), (1, 1, 1), ()), "length"),
    (lambda: Channel((0, 0, 0), (50, 0, 0), (), 0.0), "diameter"),
    (lambda: Channel((0, 0, 0), (50, 0, -9), (), from_face="side"), "from_face"),
    (lambda: Channel((0, 0, 0), (50, 0, 0), (), from_face="front"), "from a face"),
    (lambda: Link("a", "b", 0.0), "bundle"),
]


@pytest.mark.parametrize(
    "make, thing", BAD, ids=[f"{i}-{thing}" for i, (_, thing) in enumerate(BAD)]
)
def test_a_bad_size_is_named(make, thing):
    with pytest.raises(InputError) as found:
        make()
    assert thing in str(found.value) and "allowed" in str(found.value)


@pytest.mark.parametrize(
    "part, thickness, thing",
    [
        (NeckJoint(HEEL, 17.0, 6.4, BOLTS), 17.5, "pocket depth"),
        (Hardtail(52.5), 11.5, "ferrules"),
        (Humbucker(52.0, ears=Depth(50.0)), T, "x.ears"),
        (Cavity(rectangle(60, 50, 8), Depth(leave=50.0)), T, "x.cavity"),
        (Cavity(rectangle(60, 50, 8), Depth(2.0)), T, "recess"),
        (Cavity(rectangle(20, 10, 1), Depth(20.0), corner=6.0), T, "cavity's plan"),
    ],
)
def test_what_does_not_go_into_the_stock_is_named(part, thickness, thing):
    with pytest.raises(InputError, match=thing):
        part.voids("x", PLACE, thickness)


def test_bosses_that_cut_a_cavity_in_two_are_named():
    cavity = Cavity(
        rectangle(60.0, 14.0, 3.0), Depth(20.0), Cover(screws=((0.0, 0.0),), boss=16.0), corner=3.0
    )
    with pytest.raises(InputError, match="2 pieces"):
        cavity.voids("x", PLACE, T)


def test_heights_of_the_neck_joint_on_a_tilted_floor():
    """1 degree over a 70 mm heel: the floor at u is -17 + (70 - u) tan 1; seats follow it."""
    joint, rise = PARTS["neck"], math.tan(math.radians(1.0))
    for bolt in BOLTS:
        floor = -17.0 + (70.0 - bolt.u) * rise
        assert joint.floor(bolt.u) == pytest.approx(floor)
        assert joint.seat(bolt) == pytest.approx(floor - bolt.wood)
    pocket = joint.voids("neck", PLACE, T)[0].shape
    for u in (0.0, 35.0, 70.0):
        assert pocket.floor(*PLACE.point(u, 11.0)) == pytest.approx(joint.floor(u))


def test_the_pocket_stands_off_a_tapered_heel_by_half_its_clearance():
    """Heel sides and pocket sides are parallel: 0.15 mm apart times the cosine of the taper (1 in
    70)."""
    joint = PARTS["neck"]
    out = -joint.pocket_profile.signed_distance(
        [(u, (56.0 - 2.0 * u / 70.0) / 2.0) for u in (10.0, 40.0, 70.0)]
    )
    assert out == pytest.approx([0.15 * math.cos(math.atan(1.0 / 70.0))] * 3, abs=1e-9)


def test_string_holes_and_ferrules_stand_in_one_row():
    voids = {v.id: v for v in PARTS["bridge"].voids("b", Place(), T)}
    for index in range(1, 7):
        hole, sleeve = voids[f"b.string.{index}"].shape, voids[f"b.ferrule.{index}"].shape
        assert (
            hole.start[:2] == sleeve.start[:2] == pytest.approx((0.0, -26.25 + 10.5 * (index - 1)))
        )


@pytest.mark.parametrize("name", [n for n in PARTS if n not in ("wire", "ground")])
def test_origins_of_sizes_reach_the_report(name):
    """A measured and a claimed size of any part are listed as such, with tolerance, the rest as
    default."""
    part = PARTS[name]
    names = [f.name for f in fields(part) if isinstance(getattr(part, f.name), Size)]
    if len(names) >= 2:
        value = {n: float(getattr(part, n)) for n in names[:2]}
        part = replace(
            part,
            **{
                names[0]: measured(value[names[0]], 0.07, claim=1.5),
                names[1]: claimed(value[names[1]]),
            },
        )
        hosts = ("control", "route", "guard")
        others = [Placed(one, PARTS[one]) for one in hosts if one != name]
        rows = {(d.part, d.name): d for d in sizes(board(*others, Placed(name, part)))}
        row = rows[(name, names[0])]
        assert (row.origin, row.tolerance, row.claim, row.value) == (
            "measured",
            0.07,
            1.5,
            value[names[0]],
        )
        assert rows[(name, names[1])].origin == "claimed"
        assert all(rows[(name, n)].origin == "default" for n in names[2:])
    else:
        assert name in ("control", "through", "foil", "route")


def test_nested_sizes_are_listed_with_dotted_names():
    layout = board(
        Placed("neck", PARTS["neck"], Place(120.0)),
        Placed("control", PARTS["control"], Place(0.0, -80.0)),
        Placed("pickup", PARTS["pickup"]),
    )
    rows = {(d.part, d.name): d for d in run(layout).dimensions}
    for key, value in (
        (("neck.ferrule", "flange"), 14.0),
        (("neck.heel", "length"), 70.0),
        (("neck.bolts.2", "length"), 33.0),
        (("control.cover", "gap"), 0.2),
        (("pickup.ring", "length"), 91.0),
    ):
        assert rows[key].value == value
    # Where a part goes is no size.
    assert not {("neck.bolts.2", "u"), ("neck", "depth"), ("neck", "angle_deg")} & set(rows)


def test_a_channel_moves_and_turns_with_its_place():
    """By hand: 10 mm along x from a place at (5, 7) turned by 90 degrees runs along y from it."""
    channel = Channel((0.0, 0.0, -10.0), (10.0, 0.0, -10.0), ())
    (moved,) = channel.voids("wire", Place(5.0, 7.0, 90.0), T)
    (still,) = channel.voids("wire", Place(), T)
    assert still.shape.start == (0.0, 0.0, -10.0)
    assert moved.shape.start == pytest.approx((5.0, 7.0, -10.0))
    assert moved.shape.direction == pytest.approx((0.0, 1.0, 0.0))
    assert moved.shape.length == still.shape.length == 10.0
