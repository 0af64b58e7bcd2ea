"""One example of each public name, as a script writes it.

`bodycad explain NAME` prints it, `bodycad parts` draws the parts from theirs, and tests run every
one: the last line gives a thing of that kind, a part also as `Placed`. Examples may use what a
script has at hand: `outline`, `skin`, `blank`, `neck`, `heel`, `instrument` and `body`, the design.
A new name gets its line in the table of its kind."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

GIVEN = ("outline", "skin", "blank", "neck", "heel", "instrument", "body")
"""What examples may use beside the public names: the design `body` and what it is made of."""

_DESIGNS = {
    "Design": 'Design("mybody", blank, skin, instrument, body.parts, body.links)',
    "check": "check(body)",
    "build": 'build(body, "out")',
    "load_design": 'load_design("designs/teasel.py", ["thickness=45"])',
    "measure_first": "measure_first(body)",
    "route": "route(body)",
    "InputError": 'InputError("a pot\'s panel", 6000, "more than 0 and at most 100 mm")',
    "Waiver": 'Waiver("wall", ("a.route", "b.cavity"), 2.6, "hidden by the ring")',
    "inch": 'inch("1 3/4")',
    "measured": "measured(24.1, 0.05)",
    "claimed": "claimed(24.0)",
    "default": "default(24.0, 0.3)",
    "SizeTable": 'SizeTable("wren-sizes.csv")',
}
_OUTLINES = {
    "Profile": "circle(30)",
    "profile": "profile([(0, 0), (60, 0, 0.4142), (60, 40), (0, 40)])",
    "circle": "circle(30, x=10)",
    "rectangle": "rectangle(72, 40, corner=3)",
    "rounded": "rounded([(0, 0), (120, 0), (60, 90)], (12, 12, 20))",
    "slot": "slot(85, 16, turn_deg=90)",
    "hull": "hull([(-42, -80, 23), (-86, -90, 23), (-128, -70, 17)])",
    "mirrored_half": "mirrored_half([(200, 0), (180, 90), (-180, 120), (-200, 0)])",
    "smooth_outline": "smooth_outline([(150, 0), (60, 90), (-120, 80), (-120, -80), (60, -90)])",
    "smooth_half": "smooth_half([(200, 0), (150, 90), (0, 70), (-150, 130), (-200, 0)])",
    "Drawing": 'Drawing("designs/sorrel.svg", layer="body", neck="up", scale_line="scale")',
    "outline_from": 'outline_from(Drawing("designs/sorrel.svg", layer="body", neck="up"))',
    "offset": "offset(rectangle(60, 40), -3)",
    "union": "union([rectangle(60, 40), circle(50, x=30)])",
    "difference": "difference(rectangle(60, 40), circle(20))",
    "intersection": "intersection(rectangle(60, 40), circle(50, x=30))",
}
_SOLIDS = {
    "Prism": "Prism(rectangle(72, 40, 3), low=-19, high=0)",
    "Bore": "Bore((0, 0, 0), (0, 0, -1), diameter=8, length=20)",
    "bore": "bore((0, -30, 0), (-1, -2, -1.5), diameter=3.2, length=80)",
    "Carve": "Carve(profile([(0, 0), (60, -15), (60, 10), (0, 10)]), (-68, 98), 118, (-200, 200))",
    "from_front": "from_front(rectangle(72, 40, 3), depth=19)",
    "from_back": "from_back(rectangle(72, 40, 3), depth=38, thickness=44)",
    "Void": 'Void("box.hole", "box", "front", "POCKET", from_front(circle(30), 12), {"front"})',
    "Room": 'Room("box.battery", "box", "battery", from_front(rectangle(48, 26), 20))',
}
_EDGES = {
    "Square": "Square()",
    "Roundover": "Roundover(6)",
    "Ledge": "Ledge((0.5, 1.0), height=6.4)",
    "Chamfer": "Chamfer(3)",
    "Cove": "Cove(6)",
    "Rim": "Rim([(14, 0, 0.1), (0, 4)])",
    "Stretch": "Stretch(Roundover(6), start=(-180, 120), end=(-170, -148))",
    "stopped": "stopped(outline, Roundover(6), [(-183, -79, 25)])",
    "Lowered": "Lowered(Roundover(3), by=4)",
}
_CONTOURS = {
    "Skin": "Skin(outline, 44, front=Ledge((0.5, 1.0), 6.4), back=Roundover(6))",
    "Contour": 'Contour("belly", "back", scoop("x", "back", 44, (5, 62), 90, 160, 12).carve)',
    "fall_away": 'fall_away("forearm", "front", 44, (-68, 98), toward_deg=118, run=67, drop=17)',
    "arched_top": """\
arched_top("arch", "front", 44, hull([(-60, 0, 50), (80, 0, 40)]), run=60, drop=12)""",
    "bevel": 'bevel("forearm", "front", 44, (-68, 98), toward_deg=118, run=60, drop=15)',
    "blend": 'blend("forearm", "front", 44, (-68, 98), toward_deg=118, run=70, drop=15)',
    "rounded_corner": 'rounded_corner("heel", "back", 44, (211, -30), toward_deg=-18, radius=20)',
    "scoop": 'scoop("belly", "back", 44, (5, 62), toward_deg=90, radius=160, slope_deg=12)',
}
_NECK = {
    "Neck": "Neck(scale=643, frets=23, nut_width=42, nut_spread=35, width_at_last_fret=56.5)",
    "Heel": "Heel(width_end=measured(56.3), length=measured(64))",
    "heel_end_x": "heel_end_x(neck)",
    "mouth_x": "mouth_x(neck)",
    "board_end_x": "board_end_x(neck)",
    "Instrument": """\
Instrument(neck, strings((".010", ".013", ".017", ".026w", ".036w", ".046w")), bridge_spread=52)""",
    "node_x": "node_x(instrument, fret=24)",
    "saddle_gap_x": "saddle_gap_x(distance=16, reach=19)",
    "board_gap_x": "board_gap_x(instrument, reach=23, gap=2.5)",
    "fan_turn_deg": "fan_turn_deg(instrument, x=38)",
    "pole_spacing_at": "pole_spacing_at(instrument, x=38)",
    "Fitted": "Fitted(aside=measured(0.4), aside_at_board=measured(0.1))",
    "Seat": "Seat(instrument, depth=17)",
    "String": "String(inch(0.046), wound=True, pitch='E2')",
    "strings": 'strings((".010", ".013", ".017", ".026w", ".036w", ".046w"))',
    "Stack": "Stack(17, 25.4, 420, 1.6, 1.8, 0.5, 1.1)",
    "instrument_stack": "instrument_stack(instrument, pocket_depth=17)",
    "solve": "solve(instrument_stack(instrument, pocket_depth=17), target_height=12)",
    "string_height": "string_height(instrument, pocket_depth=17, x=38.5)",
    "standing": "standing(body.layout(), wood=17, length=34, grid=2)",
    "widest_pattern": "widest_pattern(body.layout(), count=4, grid=4)",
}
_PARTS = {
    "NeckJoint": """\
bolts = Bolt(48, 16, wood=18), Bolt(13, 16, 18), Bolt(13, -16, 18), Bolt(48, -16, 18)
Placed("neck", NeckJoint(heel, 17, 6.4, bolts), Place(heel_end_x(neck)))""",
    "PlateJoint": 'Placed("neck", PlateJoint(heel, 17, 6.4, at=32), Place(heel_end_x(neck)))',
    "TenonJoint": 'Placed("neck", TenonJoint(heel, 19, 6.4, Tongue()), Place(heel_end_x(neck)))',
    "NeckThrough": 'Placed("neck", NeckThrough(heel, 6.4, core=66), Place(heel_end_x(neck)))',
    "Tongue": "Tongue(length=35, width=38)",
    "NeckPlate": "NeckPlate(length=measured(64), width=measured(51))",
    "RodNotch": "RodNotch(width=measured(11))",
    "Shim": "Shim(mouth=0.3, end=0.8)",
    "Insert": "Insert(outside=measured(9), hole=7.5)",
    "NeckFerrule": "NeckFerrule(flange=measured(14))",
    "Bolt": "Bolt(u=48, v=16, wood=18, length=35)",
    "Hardtail": 'Placed("bridge", Hardtail(spread=52.5), Place(-17))',
    "TopLoad": 'Placed("bridge", TopLoad(spread=52.5), Place(-24))',
    "BassBridge": 'Placed("bridge", BassBridge(spread=57), Place(-36))',
    "ScrewVibrato": 'Placed("bridge", ScrewVibrato(spread=52.5), Place(5))',
    "PostVibrato": 'Placed("bridge", PostVibrato(spread=52.5), Place(6))',
    "Block": "Block(height=measured(38), dive_deg=14)",
    "Claw": "Claw(gap=12, tilt_deg=8)",
    "spring_hollow": "spring_hollow(ahead=80)",
    "SingleBridge": 'Placed("bridge.1", SingleBridge(grounded=True), Place(-4, -26))',
    "GroundFoil": 'Placed("foil", GroundFoil(width=70), Place(-8))',
    "single_bridges": "single_bridges(instrument, SingleBridge(foil=0.1))",
    "PickupBridge": 'Placed("bridge", PickupBridge(spread=54), Place(-17))',
    "Coil": "Coil(pole_spacing=measured(52), slant_deg=10)",
    "TailBlock": 'Placed("bridge", TailBlock(spread=52.5), Place(-17))',
    "PostBridge": 'Placed("bridge", PostBridge(spread=52), Place(0))',
    "Tailpiece": 'Placed("tail", Tailpiece(), Place(-45))',
    "WrapBar": 'Placed("bridge", WrapBar(spread=52), Place(-6))',
    "Posts": "Posts(spread=measured(74))",
    "Ferrule": "Ferrule(hole=measured(7.9))",
    "Humbucker": 'Placed("pickup", Humbucker(pole_spacing=50), Place(40))',
    "SmallHumbucker": 'Placed("pickup", SmallHumbucker(pole_spacing=50), Place(40))',
    "SingleCoil": 'Placed("pickup", SingleCoil(pole_spacing=50), Place(40, turn_deg=8))',
    "Soapbar": 'Placed("pickup", Soapbar(pole_spacing=50), Place(40))',
    "SplitPair": 'Placed("pickup", SplitPair(pole_spacing=57), Place(60))',
    "Under": "Under(gap=2.5)",
    "Blade": "Blade(length=measured(58))",
    "DirectMount": "DirectMount(screws=((0, 39), (0, -39)))",
    "GuardMount": 'GuardMount("guard", screws=((0, 39), (0, -39)))',
    "Ears": "Ears(length=measured(112))",
    "Ring": "Ring(length=measured(91))",
    "Cavity": """\
pots = hull([(-42, -80, 23), (-86, -90, 23), (-128, -70, 17)])
Placed("control", Cavity(pots, Depth(leave=6), Cover(screws=((-65, -108), (-40, -57)))))""",
    "Cover": "Cover(thickness=measured(2.5), screws=((-65, -108), (-40, -57)))",
    "Pot": 'Placed("tone", Pot("control", panel=6), Place(-86, -90))',
    "Toggle": 'Placed("switch", Toggle("control", panel=6), Place(-60, -80))',
    "SmallPot": 'Placed("tone", SmallPot("control", panel=6), Place(-86, -90))',
    "PushPull": 'Placed("tone", PushPull("control", panel=6), Place(-86, -90))',
    "Rotary": 'Placed("choice", Rotary("control", panel=6), Place(-86, -90))',
    "MiniToggle": 'Placed("switch", MiniToggle("control", panel=6), Place(-60, -80))',
    "BladeSwitch": 'Placed("switch", BladeSwitch("control", panel=6), Place(-60, -80))',
    "Guard": """\
screws = (54, 24), (-54, 24), (-54, -24), (54, -24)
Placed("guard", Guard(rectangle(120, 60, 6), screws), Place(-60, -80))""",
    "cavity_round": """\
one = Placed("tone", Pot("control", 6), Place(-86, -90))
two = Placed("volume", Pot("control", 6), Place(-42, -80))
cavity_round(one, two, wall=7)""",
    "Battery": 'Placed("battery", Battery("control", panel=6), Place(-80, -85))',
    "BatteryBox": 'Placed("battery", BatteryBox(), Place(-80, -85))',
    "Capacitor": 'Placed("capacitor", Capacitor("control", panel=6), Place(-80, -85))',
    "WireRoom": 'Placed("leads", WireRoom("control", panel=6), Place(-80, -85))',
    "Channel": """\
Placed("wire", Channel((24, -26, -10), (-30, -78, -36), ("pickup.route", "control.cavity")))""",
    "EndJack": 'Placed("jack", EndJack("control", z=-22, reach=60), on_edge(outline, -200, -20))',
    "SideJack": 'Placed("jack", SideJack("control", z=-22, reach=45), on_edge(outline, -200, -20))',
    "BarrelJack": 'Placed("jack", BarrelJack("control", -22, wall=30), on_edge(outline, -200, 0))',
    "AngledJack": 'Placed("jack", AngledJack(), Place(-120, -90))',
    "StrapLock": 'Placed("strap", StrapLock(z=-22), on_edge(outline, -200, 0))',
    "StrapButton": 'Placed("strap", StrapButton(z=-22), on_edge(outline, -200, 0))',
}
_PLACES = {
    "Placed": 'Placed("tone", Pot("control", 6), Place(-86, -90))',
    "Link": 'Link("tone", "volume", bundle=3)',
    "Place": "Place(-86, -90, turn_deg=15)",
    "Depth": "Depth(leave=6)",
    "on_edge": "on_edge(outline, -183, -79)",
    "on_rim": "on_rim(rectangle(90, 60, corner=8), (-45, 0), (45, 0))",
    "on_front": "on_front(skin, -86, -90)",
    "Workpiece": 'Workpiece("fixture", Skin(rectangle(90, 60), 12, Square(), Square()))',
    "Frame": "Frame(x=-60, y=-80, z=-44, turned_over=True)",
    "Blank": 'Blank(-210, -180, 260, 170, species("alder, red"))',
    "Pin": "Pin(-205, 0, diameter=6)",
    "blank_round": 'blank_round(outline, species("alder, red"), joints=(24,))',
}
_RECORDS = {
    "Saddle": """\
Saddle(part="bridge", id="bridge.saddle.1", at=(0, -26, 12), along=(1, 0, 0), ahead=20, behind=9,
       low=9.5, high=14)""",
    "StringHole": 'StringHole(part="bridge", hole="bridge.string.1", at=(-17, -26, 0))',
    "Anchor": 'Anchor(part="tail", at=((-40, -26, 9), (-40, 26, 9)), strings=6)',
    "Poles": 'Poles(part="blade", points=((40, -26, 8), (40, 26, 8)), bar=True)',
    "Fit": 'Fit(part="box", kind="control", name="battery", room="box.battery", outer="box.hole")',
    "Hides": """\
Hides(part="box", kind="on", name="bezel", rim=circle(40), room="box.bezel", face="front",
      voids=("box.hole",))""",
    "Land": 'Land(part="box", name="box.bezel", face="front", plan=circle(40))',
    "Screw": """\
Screw(part="box", number=1, hole="box.screw.1", at=(20, 0, 0), way=(0, 0, -1), thread=3, reach=14)
""",
    "Bush": """\
Bush(part="tone", hole="tone.hole", under="control.cavity", at=(0, 0, 0), clamps=7.5, washer=8,
     diameter=9.4)""",
    "Sweep": 'Sweep(part="tone", kind="hand", room="tone.knob")',
    "Post": 'Post(part="bridge", hole="bridge.post.1", pull=(1, 0, 0))',
    "Terminal": 'Terminal(part="tone", kind="signal", voids=("control.cavity",))',
    "Way": 'Way(part="wire", hole="wire", kind="signal", through=("a.route", "control.cavity"))',
    "Joint": """\
Joint(part="neck", mount="screws", pocket="neck.pocket", heel="neck.heel", board="neck.board",
      end=(175, 0, -17), ahead=(1, 0, 0))""",
    "Sprung": """\
Sprung(part="pickup", room="pickup.body", at=((40, 39, 0), (40, -39, 0)), reach=22, press=-3,
       thread=2.9, travel=4, free=14, flat=3)""",
    "Core": 'Core(part="neck", board="neck.board", width=56, end=(-200, 0, 0))',
    "Mass": 'Mass(part="box", kg=0.06)',
    "Hardware": """\
Hardware(part="box", what="9 V battery", fills=("battery",), sizes=(("length", measured(48.2)),))
""",
}
_WORDS = {
    "Face": "Face.FRONT",
    "Operation": "Operation.POCKET",
    "RoomKind": "RoomKind.KNOB",
    "FitKind": "FitKind.PICKUP",
    "SweepKind": "SweepKind.PLUG",
    "HideKind": "HideKind.ON",
    "Mount": "Mount.SCREWS",
    "Wire": "Wire.GROUND",
    "Grain": "Grain.TANGENTIAL",
}
_SHOP = {
    "GuideBush": "GuideBush(outside=16, length=5)",
    "BearingBit": "BearingBit(diameter=12.7, length=19, reach=42)",
    "DrillBush": "DrillBush(bore=3.2, outside=6)",
    "Pace": "Pace(feed=1500.0, setup=8.0)",
    "Shop": 'Shop(limits={"wall": Limit(2.5, 4, "my own test cuts")}, finish=0.2)',
    "Limit": 'Limit(fail=2.5, warn=4, source="my own test cuts")',
    "Cutter": "Cutter(diameter=9.5, reach=38)",
    "Drill": "Drill(6.35, reach=450)",
    "EdgeBit": 'EdgeBit("roundover", size=6)',
    "Species": 'Species("my ash", gravity=0.58)',
    "species": 'species("alder, red")',
}

EXAMPLES: Mapping[str, str] = MappingProxyType(
    {
        **_DESIGNS,
        **_OUTLINES,
        **_SOLIDS,
        **_EDGES,
        **_CONTOURS,
        **_NECK,
        **_PARTS,
        **_PLACES,
        **_RECORDS,
        **_WORDS,
        **_SHOP,
    }
)
"""Public name -> example."""
