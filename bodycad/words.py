"""The closed vocabularies of a layout: what a script may say, and nothing else.

Each word is also a plain string, so that files and scripts say "front" and mean `Face.FRONT`.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, TypeVar

from bodycad.declare import Among
from bodycad.errors import InputError


class Face(StrEnum):
    """A face of a workpiece."""

    FRONT = "front"
    BACK = "back"
    EDGE = "edge"

    @property
    def opposite(self) -> Face:
        """The other flat face; the edge has none."""
        return Face.BACK if self is Face.FRONT else Face.FRONT


SIDES = (Face.FRONT, Face.BACK)
"""The two flat faces."""
Side = Annotated[Face, Among(SIDES)]


class Operation(StrEnum):
    """How a void is cut: the trade's word, which also names its layer in drawings."""

    POCKET, RECESS, BORE = "POCKET", "RECESS", "BORE"
    PILOT, CHANNEL, POST = "PILOT", "CHANNEL", "POST"

    @property
    def routed(self) -> bool:
        """Whether a router cuts it, not a drill."""
        return self in (Operation.POCKET, Operation.RECESS)


class EdgeForm(StrEnum):
    """The form of a router bit that cuts an edge in one pass along the outline."""

    ROUNDOVER = "roundover"
    COVE = "cove"
    CHAMFER = "chamfer"
    STRAIGHT = "straight"


class Nose(StrEnum):
    """The end of a router cutter: flat leaves flat floors, ball follows shaped faces."""

    FLAT = "flat"
    BALL = "ball"


class Zero(StrEnum):
    """Where x = 0, y = 0 of a cutting program lies: on the datum (scale line and centreline), on
    the first datum pin, in the blank's corner of least x and y as its face is seen, or in the
    blank's centre."""

    DATUM = "datum"
    PIN = "pin"
    CORNER = "corner"
    CENTRE = "centre"


class RoomKind(StrEnum):
    """What fills a room."""

    NECK, BOARD, SCREW, FERRULE, PICKUP = "neck", "board", "screw", "ferrule", "pickup"
    RING, POLE, PLATE, SADDLE, POST = "ring", "pole", "plate", "saddle", "post"
    COVER, CAN, KNOB, JACK, PLUG = "cover", "can", "knob", "jack", "plug"
    BUTTON, SWING, BATTERY, PART = "button", "swing", "battery", "part"
    GUARD = "guard"
    TOOL = "tool"


class FitKind(StrEnum):
    """Which check asks how a solid enters a void."""

    PICKUP = "pickup"
    COVER = "cover"
    CONTROL = "control"


class SweepKind(StrEnum):
    """What a room that moves stands for."""

    PLUG = "plug"
    BLOCK = "block"
    HAND = "hand"
    TOOL = "tool"
    WRENCH = "wrench"
    GRIP = "grip"


class HideKind(StrEnum):
    """How a rim hides voids: it lies on the face, or it is let in over them."""

    ON = "on"
    IN = "in"


class HeadForm(StrEnum):
    """A screw's head: its length is told under a flat head, over all with a countersunk one."""

    FLAT = "flat"
    COUNTERSUNK = "countersunk"


class Mount(StrEnum):
    """What holds a neck in its pocket."""

    SCREWS = "screws"
    GLUE = "glue"


class Wire(StrEnum):
    """What a wire is for."""

    SIGNAL = "signal"
    GROUND = "ground"
    POWER = "power"


class Grain(StrEnum):
    """How a board's width lies to its growth rings: flatsawn is tangential, quartersawn radial."""

    TANGENTIAL = "tangential"
    RADIAL = "radial"


class Paper(StrEnum):
    """What full-size drawings are printed on: a roll, or tiles on sheets of a common size."""

    ROLL, A4, A3 = "roll", "a4", "a3"
    LETTER, TABLOID = "letter", "tabloid"


class Still(StrEnum):
    """Why a number moves no figure by a small step: nobody asks; a wider step moves one; it may not
    be changed; it changes no wood, no room and nothing that a part states."""

    UNASKED = "unasked"
    WIDER = "wider"
    FIXED = "fixed"
    NO_WOOD = "no wood"


W = TypeVar("W", bound=StrEnum)


def word(kind: type[W], value: object, thing: str, allowed: tuple[W, ...] | None = None) -> W:
    """`value` as a word of `kind`. Raises InputError that names `thing` for any other."""
    words = tuple(kind) if allowed is None else allowed
    if isinstance(value, kind) and value in words:
        return value
    try:
        found = kind(value) if isinstance(value, str) else None
    except ValueError:
        found = None
    if found is None or found not in words:
        raise InputError(thing, value, ", ".join(words))
    return found
