"""Teasel, spoiled on purpose: at least eight checks fail, each for the reason given beside its change.

Nothing here is to be built. It shows what the report says when wood would be ruined.
"""

from dataclasses import replace

import teasel
from bodycad import Bolt, Depth, Design, measured

REASONS = {
    "bolt-seat": "screw 4 stands in a square pattern on a shallow seat: its flange hangs over the heel's carve",
    "bolt-tip": "screw 1 is 45 mm long in a pocket made for 35: its tip runs into the fretboard",
    "stack": "the pocket is 3.5 mm shallower than the bridge wants: the saddles cannot come up to the strings",
    "floor": "the control cavity leaves 2 mm of wood to the front",
    "pole-offset": "the bridge pickup's poles are 45 mm apart under strings 51.4 mm apart",
    "saddle-window": "the bridge stands 7 mm too near the neck: the bass saddles are at their rear stop",
    "control-clamp": "the toggle has a 9.5 mm bush for 6 mm of wood: no thread is left for the nut",
    "ground-path": "the ground hole was forgotten",
    "pickup-room": "the neck pickup stands against the fretboard: its ring overlaps the board's end",
    "pocket-fit": "the pocket is 0.1 mm wider than the heel before finish: two films jam it",
}
"""The check that fails and why."""


def design() -> Design:
    good = teasel.design(pocket_depth=13.5, bridge_pole_spacing=45.0, neck_pickup_gap=-1.0)
    parts = []
    for placed in good.parts:
        part, place = placed.part, placed.place
        if placed.id == "ground":
            continue
        if placed.id == "neck":
            bolts = (Bolt(48.0, 16.0, 18.0, 45.0), *part.bolts[1:3], Bolt(52.0, -16.0, 26.0, 42.0))
            part = replace(part, bolts=bolts, side_clearance=measured(0.1))
        elif placed.id == "bridge":
            place = replace(place, x=place.x + 7.0)
        elif placed.id == "control":
            part = replace(part, depth=Depth(leave=2.0))
        elif placed.id == "toggle":
            part = replace(part, bush=measured(9.5))
        parts.append(replace(placed, part=part, place=place))
    return replace(good, name="teasel_wrong", parts=tuple(parts))
