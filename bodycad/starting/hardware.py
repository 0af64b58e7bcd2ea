"""Bridge, neck joint and pickups of a first script."""

from __future__ import annotations

from collections.abc import Iterator

from bodycad.starting.answers import REACH, Answers
from bodycad.starting.wiring import PLACES

CLASSES = {
    "humbucker": "Humbucker",
    "small": "SmallHumbucker",
    "single": "SingleCoil",
    "soapbar": "Soapbar",
    "split": "SplitPair",
}

CORES = {4: 68.0, 5: 77.0, 6: 60.0, 7: 70.0, 8: 86.0}
"""Width of a core that is the neck too, mm."""
HELD = {
    "humbucker": (19.0, 15.0),
    "small": (20.0, 16.0),
    "single": (22.0, 16.0),
    "soapbar": (35.0, 14.5),
    "split": (35.0, 14.5),
}
"""Length of the screws that hold a pickup to the wood, and the depth of their holes, mm."""


def bridge_text(one: Answers) -> Iterator[str]:
    """The bridge, where its saddles have room both ways for these strings."""
    count = "" if one.strings == (4 if one.bass else 6) else f", strings={one.strings}"
    yield "# The bridge: its saddles in the middle of their travel, along and in height."
    if one.bass:
        through = ", through=True, ferrule=ferrule" if one.bridge == "hardtail" else ""
        if through:
            made = "Ferrule(hole=default(9.0), depth=default(13.0))"
            yield f'ferrule = sizes.of("bridge.ferrule", {made})'
        pitch = "hole_pitch=spread / " + str(one.strings - 1)
        made = f"BassBridge(spread=spread, {pitch}{count}{through})"
    elif one.bridge == "wrap":
        made = "WrapBar(spread=spread, adjust=default(3.2))"
    elif one.bridge == "posts":
        made = "PostBridge(spread=spread)"
    elif "vibrato" in one.bridge:
        yield "hollow = Cavity("
        yield "    spring_hollow(springs=60.0, block=86.0),"
        yield "    Depth(18.5),"
        yield "    Cover(gap=0.3, screws=((74, 0), (16, 30), (16, -30), (-44, 20), (-44, -20))),"
        yield "    corner=4.8,"
        yield ")"
        high, dive = (41.0, 14) if one.bridge == "vibrato" else (45.0, 12)
        pull = ", pull_deg=3.0" if one.bridge == "post-vibrato" else ""
        yield f"block = Block(height=default({high}), dive_deg={dive}{pull})"
        kind = "ScrewVibrato" if one.bridge == "vibrato" else "PostVibrato"
        made = f"{kind}(spread=spread{count}, slot_corner=4.8, block=block, hollow=hollow)"
    else:
        kind = {"hardtail": "Hardtail", "plate": "TopLoad"}[one.bridge]
        made = f"{kind}(spread=spread{count})"
    yield f'bridge = sizes.of("bridge", {made})'
    yield "backs = instrument.setbacks"
    yield "middle = -(min(b.least for b in backs) + max(b.most for b in backs)) / 2"
    if one.bridge == "wrap":
        yield "# The ridge under each string lies where it plays in tune."
        yield "bridge = replace(bridge, steps=tuple(-back.value - middle for back in backs))"
        yield "bridge_x = middle"
    else:
        yield "bridge_x = middle - (bridge.window_front + bridge.window_rear) / 2"
    if one.bridge == "posts":
        yield 'tail = sizes.of("tail", Tailpiece())'
    yield "height = (bridge.saddle_low + bridge.saddle_high) / 2"


def joint_text(one: Answers) -> Iterator[str]:
    """The neck joint, as deep as brings the strings to the bridge."""
    yield "# The pocket is as deep as brings the strings to that height, the neck level."
    yield "stack = instrument_stack(instrument, 16.0, bridge_height=height)"
    yield "depth = solve(stack).pocket_depth"
    yield "board = neck.board_thickness"
    long = one.bass
    near, far, half = ("14.0", "66.0", "17.0") if long else ("14.0", "56.0", "16.0")
    if one.joint == "ferrules":
        yield "# Two screws behind, two before, a ferrule under each."
        yield f"spots = [(u, v) for u in ({near}, {far}) for v in (-{half}, {half})]"
        yield 'ferrule = sizes.of("neck.ferrule", NeckFerrule())'
        yield "joint = NeckJoint("
        yield "    heel,"
        yield "    depth,"
        yield "    board,"
        yield "    bolts=tuple(Bolt(u, v, wood=18.0, length=35.0) for u, v in spots),"
        yield "    ferrule=ferrule,"
        yield "    masked=True,"
        yield '    species="maple, sugar",'
        yield ")"
    elif one.joint in ("plate", "inserts"):
        if one.joint == "inserts":
            yield "# Machine screws: through the plate and the wood, 12 mm into their inserts."
            yield "plate = sizes.of("
            yield '    "neck.plate",'
            yield "    NeckPlate("
            yield "        length=default(50.0), width=default(46.0), screw_length=default(30.0),"
            yield "        screw_width=default(27.0), thickness=default(2.5), head=0.0, recess=2.5,"
            yield "    ),"
            yield ")"
            yield "insert = sizes.of("
            yield '    "neck.insert", Insert(outside=default(8.6), hole=7.4, length=default(12.5))'
            yield ")"
            yield "length = default(round(thickness - depth + 12.0))"
        else:
            yield "# As long as the wood, the plate and 15 mm in the heel ask for."
            yield "plate = sizes.of("
            yield '    "neck.plate",'
            yield "    NeckPlate("
            yield "        length=default(56.0), width=default(48.0), screw_length=default(43.0),"
            yield "        screw_width=default(32.0),"
            yield "    ),"
            yield ")"
            yield "length = default(round(thickness - depth + plate.thickness + 15.0))"
        yield "joint = PlateJoint("
        yield "    heel,"
        yield "    depth,"
        yield "    board,"
        yield "    at=32.0,"
        yield "    length=length,"
        yield "    plate=plate,"
        if one.joint == "inserts":
            yield "    insert=insert,"
            yield "    screw=default(5.0),"
            yield "    hole=5.5,"
        yield "    masked=True,"
        yield '    species="maple, sugar",'
        yield ")"
    elif one.joint == "tenon":
        yield 'joint = TenonJoint(heel, depth, board, species="maple, sugar")'
    else:
        yield "# The fretboard stands over the front by what no pocket takes away."
        yield "rise = heel.thickness - board - depth"
        yield "joint = NeckThrough("
        yield f"    heel, board, core={CORES[one.strings]}, rise=rise,"
        yield '    species="maple, sugar",'
        yield ")"


def pickups_text(one: Answers) -> Iterator[str]:
    """Each pickup under its strings, the first beside the fretboard, the last before the bridge."""
    yield "# Pickups: their poles follow the strings; they rest under them by themselves."
    count = "" if one.strings == 6 else f", poles={one.strings}"
    pairs = dict(zip(PLACES[len(one.pickups)], one.pickups))
    order = ("bridge", "neck", "middle")  # the last stands between the others
    for place in filter(pairs.__contains__, order):
        kind = pairs[place]
        name = f"pickup.{place}"
        yield ""
        yield from _pickup(one, place, kind, name, count)


def _pickup(one: Answers, place: str, kind: str, name: str, count: str) -> Iterator[str]:
    half = REACH[kind] + (0.0 if one.mount == "ring" or kind != "humbucker" else -3.0)
    if place == "neck" and one.bass:
        yield "neck_x = bridge_pickup_x + 100"
    elif place == "neck":
        yield f"neck_x = board_gap_x(instrument, {half}, 2.5)"
    elif place == "bridge":
        yield f"bridge_pickup_x = {_front(one)} + {half + 2.0}"
    else:
        yield "middle_x = (neck_x + bridge_pickup_x) / 2"
    x = {"neck": "neck_x", "bridge": "bridge_pickup_x", "middle": "middle_x"}[place]
    extra = (
        count
        + {
            "humbucker": ", route=Depth(21.0), ears=Depth(24.2)",
            "small": ", route=Depth(18.5), ears=Depth(22.5)",
            "single": ", route=Depth(19.0)",
            "soapbar": ", route=Depth(20.5)",
            "split": ", route=Depth(20.5)",
        }[kind]
    )
    if one.mount == "wood":
        length, deep = HELD[kind]
        yield "held = DirectMount("
        yield f"    screw_length=default({length}), spring_flat=default(2.0), pilot_depth={deep}"
        yield ")"
        extra += ", ring=None" if kind in ("humbucker", "small") else ""
        extra += ", mount=held"
    if one.mount == "ears":
        extra += ", mount=Ears(height=default(7.2))"
    made = f"{CLASSES[kind]}(pole_spacing_at(instrument, {x}){extra})"
    yield f"{place}_pickup = sizes.of("
    yield f'    "{name}",'
    yield f"    {made},"
    yield ")"


def _front(one: Answers) -> str:
    """Where the bridge ends toward the pickups, in the script's own words."""
    if one.bridge in ("posts", "wrap", "post-vibrato"):
        return "bridge_x + bridge.posts.bush / 2 + 7.5"
    if one.bridge == "vibrato":  # clear of the cavity for its block
        return "bridge_x + bridge.plate_front + 6"
    return "bridge_x + bridge.plate_front"
