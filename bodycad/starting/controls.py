"""Controls, jack, straps and the list of parts of a first script."""

from __future__ import annotations

from collections.abc import Iterator

from bodycad.starting.answers import Answers
from bodycad.starting.wiring import CABLE, JACK, PLACES, numbered, wiring

FIRST, ASIDE, FORWARD, STEP, ROW = -14.0, 16.0, 44.0, -42.0, -98.0
"""Where the control nearest to the neck stands, how far on the next one is, and their y, mm. A
long row begins farther forward, and so does one by a neck that runs through the body, which leaves
no pocket to drill from; wide bridges push it aside."""


def controls_text(one: Answers) -> Iterator[str]:
    """Pots and switch over one cavity, the jack behind it, straps, wires."""
    pots = [*numbered("volume", one.volumes), *numbered("tone", one.tones)]
    yield "# Controls stand in a row over one cavity, which is cut from the back."
    yield 'pot = sizes.of("pot", Pot("control", control_leave, bush=default(12.0)))'
    yield from _drilled("pot")
    if one.switch != "none":
        kind = {"toggle": "Toggle", "blade": "BladeSwitch"}[one.switch]
        yield f'switch = sizes.of("switch", {kind}("control", control_leave))'
    if one.switch == "toggle":
        yield from _drilled("switch")
    yield "controls = ("
    many = len(pots) + (one.switch != "none")
    forward = _undrilled(one) or many > 3 or (one.strings > 6 and many > 1)
    first = x = _first(one, many)
    for name in pots:
        yield f'    Placed("{name}", pot, Place({x}, {ROW})),'
        x += STEP
    if one.switch != "none":
        x -= 14.0
        turn = ", turn_deg=90.0" if one.switch == "toggle" else ""
        x = x if one.switch == "blade" else x + 14.0
        yield f'    Placed("switch", switch, Place({x}, {ROW}{turn})),'
    yield ")"
    yield "# As wide round small pots: the drills for wires leave through its mouth."
    yield "wall = max(10.0, 22.0 - pot.can_diameter / 2)"
    yield "plan = cavity_round(*controls, wall=wall)"
    yield "x0, y0, x1, y1 = plan.box"
    more = ", ((x0 + x1) / 2, y1)" if many > 1 else ""
    yield f"fixed = on_rim(plan, (x0, y0), (x0, y1), (x1, y0){more})"
    yield 'cover = sizes.of("control.cover", Cover(gap=0.3, screws=fixed))'
    yield "control = Cavity(plan, Depth(leave=control_leave), cover)"
    yield "side = -thickness / 2"
    yield 'jack = sizes.of("jack", EndJack("control", side, reach=y0 + 170.0 + 10.0))'
    yield 'button = sizes.of("strap", StrapButton(side))'
    yield ""
    yield "parts = ("
    yield '    Placed("neck", joint, Place(heel_end_x(neck))),'
    for place in PLACES[len(one.pickups)]:
        x_name = {"neck": "neck_x", "bridge": "bridge_pickup_x", "middle": "middle_x"}[place]
        yield f'    Placed("pickup.{place}", {place}_pickup, Place({x_name})),'
    yield '    Placed("bridge", bridge, Place(bridge_x)),'
    if one.bridge == "posts":
        yield '    Placed("tail", tail, Place(bridge_x - 37.0)),'
    yield '    Placed("control", control),'
    yield "    *controls,"
    under = first - (12.0 if many > 1 else 0.0)
    yield f'    Placed("jack", jack, on_edge(outline, {under}, -170.0)),'
    if one.bridge in ("hardtail", "plate") and one.strings > 6 and many == 1:
        yield "    Placed("
        yield '        "ground",  # from under the plate'
        yield "        Channel("
        yield "            (bridge_x + bridge.plate_front - 18, -28, 0),"
        yield f"            ({first - 4.0}, -90, -30),"
        yield '            ("control.cavity",), diameter=3.2, from_face="front", kind="ground",'
        yield "        ),"
        yield "    ),"
    if one.bridge == "wrap":
        yield "    Placed("
        yield '        "ground",  # to a post'
        yield "        Channel("
        yield f"            ({first - 2.0}, -88, 8 - thickness),"
        yield "            (bridge_x, -bridge.posts.spread / 2, -9),"
        yield '            ("control.cavity", "bridge.post.1"), diameter=3.2, kind="ground",'
        yield "        ),"
        yield "    ),"
    if not _undrilled(one) and len(one.pickups) > 1:
        routes = ", ".join(f'"pickup.{place}.route"' for place in PLACES[len(one.pickups)])
        yield "    Placed("
        yield '        "wire.pickups",  # drilled from the pocket, through all of them'
        yield "        Channel("
        yield "            (heel_end_x(neck) + 4, 0, 3.9 - depth),"
        yield "            (bridge_pickup_x, 0, 2.6 - depth),"
        yield f'            ("neck.pocket", {routes}),'
        yield "        ),"
        yield "    ),"
    if _undrilled(one) and len(one.pickups) > 1:
        yield "    Placed("
        yield '        "wire.neck",  # through the mouth of the cavity'
        yield "        Channel("
        yield f"            ({first + 12.0}, -95, 6.2 - thickness), (neck_x - 5, -12, -8),"
        yield '            ("control.cavity", "pickup.neck.route"),'
        yield "        ),"
        yield "    ),"
    if "vibrato" not in one.bridge:
        yield "    Placed("
        yield '        "wire.control",  # through the mouth of the cavity'
        yield "        Channel("
        beside = 5.0 if forward else -6.0 if one.strings > 6 else 2.0
        start = "-82, 6.3 - thickness" if forward else "-87, 6 - thickness"
        yield f"            ({first + beside}, {start}),"
        yield f"            (bridge_pickup_x {_inside(one, forward)}, -30, -13),"
        yield '            ("control.cavity", "pickup.bridge.route"),'
        yield "        ),"
        yield "    ),"
    if "vibrato" in one.bridge:
        yield "    Placed("
        yield '        "wire.down",  # into the spring cavity'
        yield "        Channel("
        yield "            (bridge_pickup_x, 22, -14), (bridge_pickup_x, 22, 12 - thickness),"
        yield '            ("pickup.bridge.route", "bridge.cavity"),'
        yield "        ),"
        yield "    ),"
        yield "    Placed("
        yield '        "wire.control",  # from the spring cavity'
        yield "        Channel("
        x, y = (first - (14.0 if many > 1 else 4.0), -26) if first > FIRST else (first - 10.0, -32)
        yield f"            ({x}, {y}, 7.2 - thickness), ({x}, -84, 24 - thickness),"
        yield '            ("bridge.cavity", "control.cavity"),'
        yield "        ),"
        yield "    ),"
    yield '    Placed("strap.tail", button, on_edge(outline, -204.0, 30.0)),'
    yield '    Placed("strap.shoulder", button, on_edge(outline, m + 84.0, h + 80.0)),'
    yield ")"
    yield from _links(one)


def _drilled(name: str) -> Iterator[str]:
    """The lines that drill a control's hole for its bush as it is measured, to half a millimetre as
    drills come."""
    yield f"hole = default(ceil(2 * {name}.thread + 0.1) / 2)  # over its thread"
    yield f'{name} = sizes.of("{name}", replace({name}, hole=hole))'


def _first(one: Answers, many: int) -> float:
    """Where the row begins."""
    if _undrilled(one) or many > 3 or (one.strings > 6 and many > 1):
        return FORWARD
    return ASIDE if one.strings > 6 else FIRST


def _undrilled(one: Answers) -> bool:
    """Whether no drill reaches the pickups from the neck's pocket."""
    return one.joint == "through" or one.bass


INSIDE = {"humbucker": 13, "small": 10, "single": 6, "soapbar": 10, "split": 4}
"""How far from the middle of a pickup's route a wire ends: clear of the screws that hold it, mm."""


def _inside(one: Answers, forward: bool) -> str:
    """Where in the bridge's pickup a wire from the controls ends."""
    ahead = (forward or one.bridge in ("posts", "wrap")) and one.pickups[-1] != "split"
    if one.mount == "ring" and not ahead:  # its screws end over the wire
        return "+ 4"
    return f"{'+' if ahead else '-'} {INSIDE[one.pickups[-1]]}"


def _links(one: Answers) -> Iterator[str]:
    yield "links = ("
    for start, end in wiring(one):
        yield f'    Link("{start}", "{end}"{f", {CABLE}" if end == JACK else ""}),'
    yield ")"
