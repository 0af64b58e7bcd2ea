"""Every check in one explicit table; the order is that of the manual."""

from __future__ import annotations

from bodycad.checks import cures, deviation, waive
from bodycad.checks.page import Check, Topic, together
from bodycad.checks.rules import (
    assembly,
    balance,
    behind,
    board,
    bolts,
    bridge,
    claims,
    clamp,
    clearance,
    complete,
    contours,
    controls,
    core,
    cutters,
    hand,
    jack,
    joint,
    kernel,
    land,
    mitre,
    mounts,
    neck,
    outline,
    pickups,
    pieces,
    place,
    reach,
    rod,
    screws,
    season,
    stock,
    strings,
    walls,
    wires,
)

CHECKS: tuple[Check, ...] = (
    Check("outline", outline.outline, outline.PAGE, gate=True),
    Check("floor", walls.floor, walls.FLOOR_PAGE),
    Check("wall", walls.wall, walls.WALL_PAGE),
    Check("edge", walls.edge, walls.EDGE_PAGE),
    Check("mitre", mitre.mitre, mitre.PAGE),
    Check("breakout", walls.breakout, walls.BREAKOUT_PAGE),
    Check("contour-end", contours.contour_end, contours.PAGE),
    Check("bolt-seat", bolts.seat, bolts.SEAT_PAGE),
    Check("bolt-grip", bolts.grip, bolts.GRIP_PAGE),
    Check("bolt-tip", bolts.tip, bolts.TIP_PAGE),
    Check("bolt-edge", bolts.edge, bolts.EDGE_PAGE),
    Check("heel-hand", hand.heel_hand, hand.PAGE),
    Check("pocket-fit", together(neck.pocket_fit, season.season_pocket), neck.FIT_PAGE),
    Check("neck-place", place.neck_place, place.PAGE),
    Check("neck-core", core.neck_core, core.PAGE),
    Check("board-air", board.board_air, board.PAGE),
    Check("stack", strings.stack, strings.STACK_PAGE),
    Check("saddle-window", strings.saddle_window, strings.WINDOW_PAGE),
    Check("string-margin", strings.string_margin, strings.MARGIN_PAGE),
    Check("pole-offset", pickups.pole_offset, pickups.POLE_PAGE),
    Check("string-clearance", clearance.string_clearance, clearance.PAGE),
    Check("pickup-room", pickups.pickup_room, pickups.ROOM_PAGE),
    Check("pickup-mount", mounts.pickup_mount, mounts.PAGE),
    Check("ring-cover", together(pickups.ring_cover, season.season_ring), pickups.RING_PAGE),
    Check("string-holes", bridge.string_holes, bridge.HOLES_PAGE),
    Check(
        "ferrule-wall", together(bridge.ferrule_wall, season.season_ferrules), bridge.FERRULE_PAGE
    ),
    Check("string-path", behind.string_path, behind.PAGE),
    Check("control-clamp", clamp.control_clamp, clamp.PAGE),
    Check("control-room", controls.control_room, controls.ROOM_PAGE),
    Check("jack-path", jack.jack_path, jack.PAGE),
    Check("wire-path", wires.wire_path, wires.WIRE_PAGE),
    Check("ground-path", wires.ground_path, wires.GROUND_PAGE),
    Check("cover-fit", together(controls.cover_fit, season.season_cover), controls.COVER_PAGE),
    Check("piece-fit", pieces.piece_fit, pieces.PAGE),
    Check("cutter-corner", cutters.corner, cutters.CORNER_PAGE),
    Check("cutter-reach", cutters.reach, cutters.REACH_PAGE),
    Check("joint-load", joint.joint_load, joint.PAGE),
    Check("land", land.land, land.PAGE),
    Check("pilot-tip", screws.pilot_tip, screws.TIP_PAGE),
    Check("post-web", screws.post_web, screws.WEB_PAGE),
    Check("glue-joint", screws.glue_joint, screws.GLUE_PAGE),
    Check("drill-reach", reach.drill_reach, reach.DRILL_PAGE),
    Check("control-reach", reach.control_reach, reach.CONTROL_PAGE),
    Check("rod-reach", rod.rod_reach, rod.PAGE),
    Check("vibrato-swing", reach.vibrato_swing, reach.SWING_PAGE),
    Check("stock", stock.stock, stock.PAGE),
    Check("size-claim", claims.size_claim, claims.PAGE),
    Check("balance", balance.balance, balance.PAGE),
    Check("assembly", assembly.assembly, assembly.PAGE, net=True),
    Check("complete", complete.complete, complete.PAGE),
)
ASKED: tuple[Check, ...] = tuple(check for check in CHECKS if not check.net)
"""The checks that ask by name: all but the net under them."""
NETS: frozenset[str] = frozenset(check.name for check in CHECKS if check.net)
TOPICS: tuple[Topic, ...] = (
    *kernel.TOPICS,
    Topic(waive.NAME, waive.PAGE),
    Topic(cures.NAME, cures.PAGE),
    deviation.ORDER,
)
"""Pages whose question is not put to the layout."""
MANUAL: tuple[Check | Topic, ...] = (*CHECKS, *TOPICS)
"""Every page of the manual."""
