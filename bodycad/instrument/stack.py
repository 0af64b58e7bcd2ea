"""The vertical stack: from the pocket floor to the saddles, and what to change to meet a bridge.

                                    string
    nut ________________________________------------______  saddle
        fret crowns --------------------\\    ^ 2 action12 - nut_action over the plane of the crowns
        board top   =====================|    ^ fret_height
                    |  heel (thickness)  |   -------- flat body top, z = 0
        mouth ->    |____________________|
                    ^ shim, pocket_depth      angle_deg tilts the whole neck about the mouth: the
                                              plane of the crowns rises toward the saddle
Lengths mm, angles degrees. The neck turns as one rigid body, so what stands h over the pocket's
floor and D along the neck from the mouth lies D sin(angle) + h cos(angle) over that floor.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Annotated, Literal

from bodycad.declare import Spot, between, declared, mm, over
from bodycad.errors import InputError, number
from bodycad.instrument.lines import Action, Instrument
from bodycad.instrument.neck import mouth_x
from bodycad.instrument.seat import Seat

Angle = Annotated[float, between(-5.0, 10.0, "degrees")]
Shim = Annotated[float, mm(0.0, 10.0)]
Height = Annotated[float, over(60.0)]


@dataclass(frozen=True)
@declared("the stack")
class Stack:
    """Everything that decides the height of the strings over the body.

    `pocket_depth` is measured at the mouth, the pivot; `shim` is a flat full-size one (a wedge is
    an angle); `angle_deg` is positive when the headstock leans back; `pivot_to_saddle` is the
    distance from mouth to saddle line along the neck; `bridge_height` is the string height over the
    body that the bridge has at mid travel. Raises InputError for values that no neck joint has."""

    pocket_depth: Annotated[float, mm(0.0, 70.0)]
    heel_thickness: Annotated[float, mm(10.0, 60.0)]
    pivot_to_saddle: Annotated[float, over(1000.0)]
    action12_treble: Action
    action12_bass: Action
    nut_action: Annotated[float, mm(0.0, 5.0)]
    fret_height: Annotated[float, mm(0.0, 3.0)]
    angle_deg: Angle = 0.0
    shim: Shim = 0.0
    bridge_height: Height | None = None

    def __post_init__(self) -> None:
        thing, remedy = "the pocket's depth", "deeper, the board would lie below the body's top"
        number(thing, self.pocket_depth, high=self.heel_thickness + self.shim, remedy=remedy)


@declared()
def instrument_stack(
    instrument: Instrument,
    pocket_depth: Annotated[float, mm(0.0, 70.0)],
    angle_deg: Angle = 0.0,
    shim: Shim = 0.0,
    bridge_height: Height | None = None,
) -> Stack:
    """The stack of an instrument whose heel sits in a pocket of that depth and angle."""
    neck, own = instrument.neck, instrument
    actions = own.action12_treble, own.action12_bass, own.nut_action
    heights = pocket_depth, neck.heel.thickness, mouth_x(neck), *actions, own.fret_height
    return Stack(*heights, angle_deg, shim, bridge_height)


def board_height(stack: Stack) -> float:
    """mm of the board's playing face over the body's flat top at the pivot."""
    return _height(stack, stack.heel_thickness + stack.shim, 0.0)


def fret_plane_height(stack: Stack, distance: float) -> float:
    """mm of the plane of the crowns over the body, `distance` mm from the pivot along the neck."""
    return _height(stack, stack.heel_thickness + stack.shim + stack.fret_height, distance)


def saddle_height(stack: Stack) -> float:
    """mm of the string over the flat top at the saddle line, on the centreline (mean action)."""
    return _height(stack, _over_floor(stack), stack.pivot_to_saddle)


def _over_floor(stack: Stack) -> float:
    """mm of the strings (mean action) over the pocket's floor at the saddle line, square to it."""
    over_frets = stack.action12_treble + stack.action12_bass - stack.nut_action
    return stack.heel_thickness + stack.shim + stack.fret_height + over_frets


def _height(stack: Stack, over: float, along: float) -> float:
    angle = math.radians(stack.angle_deg)
    return along * math.sin(angle) + over * math.cos(angle) - stack.pocket_depth


@declared()
def solve(
    stack: Stack,
    target_height: Annotated[float, mm(-100.0, 100.0)] | None = None,
    for_: Literal["pocket_depth", "angle_deg", "angle", "shim"] = "pocket_depth",
) -> Stack:
    """The same stack with one field changed so that `saddle_height` is `target_height` mm.

    `for_` is "pocket_depth", "angle_deg" (or "angle") or "shim"; without a target the stack's
    `bridge_height` is meant. Raises InputError when no possible value does it."""
    wanted = number(
        "the wanted saddle height",
        stack.bridge_height if target_height is None else target_height,
        -100,
        100,
        remedy="give target_height or the stack's bridge_height",
    )
    name = "angle_deg" if for_ == "angle" else for_
    short = wanted - saddle_height(stack)
    if name == "angle_deg":
        # D sin(a) + h cos(a) = R sin(a + p), with R and p those of the point (D, h).
        over, along = _over_floor(stack), stack.pivot_to_saddle
        rise = (wanted + stack.pocket_depth) / math.hypot(along, over)
        value = math.degrees(math.asin(min(max(rise, -1.0), 1.0)) - math.atan2(over, along))
    elif name == "shim":
        value = stack.shim + short / math.cos(math.radians(stack.angle_deg))
    else:
        value = stack.pocket_depth - short
    try:
        return replace(stack, **{name: value})
    except InputError as error:
        thing = f"{name} for a saddle height of {wanted:g} mm"
        remedy = "Change the bridge, or solve for another of pocket_depth, angle, shim."
        raise InputError(thing, float(value), error.allowed, remedy) from error


@declared()
def string_height(
    instrument: Instrument,
    pocket_depth: Annotated[float, mm(0.0, 70.0)],
    x: Spot,
    angle_deg: Angle = 0.0,
) -> float:
    """mm of the strings (mean action) over the flat top at `x` mm from the scale line."""
    stack = instrument_stack(instrument, pocket_depth, angle_deg)
    return Seat(instrument, stack.pocket_depth, stack.angle_deg).height(x)
