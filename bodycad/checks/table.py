"""Every check in one explicit table; the order is that of the manual."""

from __future__ import annotations

from bodycad.checks import bolts, bridge, complete, controls, cutters, jack, neck, pickups, walls, wires
from bodycad.checks.page import Check

CHECKS: tuple[Check, ...] = (
    Check("floor", walls.floor, walls.FLOOR_PAGE),
    Check("wall", walls.wall, walls.WALL_PAGE),
    Check("edge", walls.edge, walls.EDGE_PAGE),
    Check("breakout", walls.breakout, walls.BREAKOUT_PAGE),
    Check("bolt-seat", bolts.seat, bolts.SEAT_PAGE),
    Check("bolt-grip", bolts.grip, bolts.GRIP_PAGE),
    Check("bolt-tip", bolts.tip, bolts.TIP_PAGE),
    Check("bolt-edge", bolts.edge, bolts.EDGE_PAGE),
    Check("pocket-fit", neck.pocket_fit, neck.FIT_PAGE),
    Check("stack", neck.stack, neck.STACK_PAGE),
    Check("saddle-window", neck.saddle_window, neck.WINDOW_PAGE),
    Check("string-margin", neck.string_margin, neck.MARGIN_PAGE),
    Check("pole-offset", pickups.pole_offset, pickups.POLE_PAGE),
    Check("pickup-room", pickups.pickup_room, pickups.ROOM_PAGE),
    Check("ring-cover", pickups.ring_cover, pickups.RING_PAGE),
    Check("string-holes", bridge.string_holes, bridge.HOLES_PAGE),
    Check("ferrule-wall", bridge.ferrule_wall, bridge.FERRULE_PAGE),
    Check("control-clamp", controls.control_clamp, controls.CLAMP_PAGE),
    Check("control-room", controls.control_room, controls.ROOM_PAGE),
    Check("jack-path", jack.jack_path, jack.PAGE),
    Check("wire-path", wires.wire_path, wires.WIRE_PAGE),
    Check("ground-path", wires.ground_path, wires.GROUND_PAGE),
    Check("cover-fit", controls.cover_fit, controls.COVER_PAGE),
    Check("cutter-corner", cutters.corner, cutters.CORNER_PAGE),
    Check("cutter-reach", cutters.reach, cutters.REACH_PAGE),
    Check("complete", complete.complete, complete.PAGE),
)
