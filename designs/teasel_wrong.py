"""Teasel, spoiled on purpose: at least eight checks fail, each for the reason given beside its
change.

Nothing here is to be built. It shows what the report says when wood would be ruined, and which one
number of the script, set to what, would have saved it.
"""

from dataclasses import replace

import teasel

from bodycad import Bolt, Depth, Design, measured

REASONS = {
    "bolt-seat": "screw 4 stands in a square pattern on a shallow seat: its flange hangs over the "
    "heel's carve",
    "bolt-tip": "screw 1 is 45 mm long in a pocket made for 35: its tip runs into the fretboard",
    "stack": "the pocket is 3.5 mm shallower than the bridge wants: the saddles cannot come up to "
    "the strings",
    "floor": "the control cavity leaves 2 mm of wood to the front",
    "pole-offset": "the bridge pickup's poles are 45 mm apart under strings 51.4 mm apart",
    "saddle-window": "the bridge stands 7 mm too near the neck: the bass saddles are at their rear "
    "stop",
    "control-clamp": "the toggle has a 9.5 mm bush for 6 mm of wood: no thread is left for the nut",
    "ground-path": "the ground hole was forgotten",
    "pickup-room": "the neck pickup stands against the fretboard: its ring overlaps the "
    "board's end",
    "pocket-fit": "the pocket is 0.1 mm wider than the heel before finish: two films jam it",
}
"""The check that fails and why."""


def design(
    pocket_depth: float = 13.5,
    screw_1_length: float = 45.0,
    screw_4_u: float = 52.0,
    screw_4_v: float = -16.0,
    screw_4_wood: float = 26.0,
    side_clearance: float = 0.1,
    masked: bool = False,
    bridge_pole_spacing: float = 45.0,
    neck_pickup_gap: float = -1.0,
    bridge_shift: float = 7.0,
    control_leave: float = 2.0,
    toggle_bush: float = 9.5,
    ground_hole: bool = False,
) -> Design:
    good = teasel.design(
        pocket_depth=pocket_depth,
        bridge_pole_spacing=bridge_pole_spacing,
        neck_pickup_gap=neck_pickup_gap,
    )
    parts = []
    for placed in good.parts:
        part, place = placed.part, placed.place
        if placed.id == "ground" and not ground_hole:
            continue
        if placed.id == "neck":
            bolts = (
                Bolt(48.0, 16.0, 18.0, screw_1_length),
                *part.bolts[1:3],
                Bolt(screw_4_u, screw_4_v, screw_4_wood, 42.0),
            )
            part = replace(
                part, bolts=bolts, side_clearance=measured(side_clearance), masked=masked
            )
        elif placed.id == "bridge":
            place = replace(place, x=place.x + bridge_shift)
        elif placed.id == "control":
            part = replace(part, depth=Depth(leave=control_leave))
        elif placed.id == "toggle":
            part = replace(part, bush=measured(toggle_bush))
        parts.append(replace(placed, part=part, place=place))
    return replace(good, name="teasel_wrong", parts=tuple(parts))
