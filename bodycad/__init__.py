"""bodycad lays out bodies and cavities of solid-body electric guitars and basses, and proves that
the parts fit.

A design script says `from bodycad import ...`; a name costs nothing until it is used. NAMES is the
whole public surface.
"""

from importlib import import_module
from typing import Any

NAMES = {
    "Design": "design",
    "check": "design",
    "build": "design",
    "load_design": "script",
    "measure_first": "design",
    "inch": "units",
    "measured": "units",
    "claimed": "units",
    "default": "units",
    "InputError": "errors",
    "Shop": "shop",
    "Limit": "shop",
    "Cutter": "shop",
    "Drill": "shop",
    "Waiver": "waiver",
    "Species": "wood",
    "species": "wood",
    "Profile": "geometry.plane.profile",
    "profile": "geometry.plane.profile",
    "circle": "geometry.plane.build",
    "rectangle": "geometry.plane.build",
    "rounded": "geometry.plane.build",
    "slot": "geometry.plane.build",
    "hull": "geometry.plane.build",
    "mirrored_half": "geometry.plane.build",
    "smooth_outline": "geometry.plane.outline",
    "smooth_half": "geometry.plane.outline",
    "offset": "geometry.plane.offset",
    "union": "geometry.plane.boolean",
    "difference": "geometry.plane.boolean",
    "intersection": "geometry.plane.boolean",
    "Prism": "geometry.solids.prism",
    "Bore": "geometry.solids.bore",
    "bore": "geometry.solids.bore",
    "Carve": "geometry.solids.carve",
    "Skin": "geometry.solids.skin",
    "Square": "geometry.solids.edge",
    "Roundover": "geometry.solids.edge",
    "Ledge": "geometry.solids.edge",
    "Chamfer": "geometry.solids.edge",
    "Cove": "geometry.solids.edge",
    "Rim": "geometry.solids.edge",
    "Stretch": "geometry.solids.stretch",
    "stopped": "geometry.solids.stretch",
    "Contour": "geometry.solids.skin",
    "Neck": "instrument.neck",
    "Heel": "instrument.neck",
    "heel_end_x": "instrument.neck",
    "mouth_x": "instrument.neck",
    "board_end_x": "instrument.neck",
    "Instrument": "instrument.lines",
    "String": "instrument.strings",
    "strings": "instrument.strings",
    "Stack": "instrument.stack",
    "instrument_stack": "instrument.stack",
    "solve": "instrument.stack",
    "string_height": "instrument.stack",
    "Blank": "layout.blank",
    "Pin": "layout.blank",
    "Placed": "layout.layout",
    "Link": "layout.layout",
    "Place": "layout.place",
    "Depth": "layout.place",
    "Void": "layout.void",
    "Room": "layout.void",
    "from_front": "layout.void",
    "from_back": "layout.void",
    "Saddle": "layout.interface",
    "StringHole": "layout.interface",
    "Anchor": "layout.interface",
    "Poles": "layout.interface",
    "Fit": "layout.interface",
    "Hides": "layout.interface",
    "Land": "layout.interface",
    "Screw": "layout.interface",
    "Bush": "layout.interface",
    "Sweep": "layout.interface",
    "Post": "layout.interface",
    "Terminal": "layout.interface",
    "Way": "layout.interface",
    "Joint": "layout.interface",
    "Mass": "layout.interface",
    "Face": "words",
    "Operation": "words",
    "RoomKind": "words",
    "FitKind": "words",
    "SweepKind": "words",
    "HideKind": "words",
    "Mount": "words",
    "Wire": "words",
    "Grain": "words",
    "Workpiece": "layout.workpiece",
    "Frame": "layout.workpiece",
    "on_edge": "layout.blank",
    "blank_round": "layout.blank",
    "fall_away": "layout.contours",
    "scoop": "layout.contours",
    "NeckJoint": "parts.neckjoint",
    "NeckFerrule": "parts.neckjoint",
    "Bolt": "parts.neckjoint",
    "Hardtail": "parts.bridge",
    "Ferrule": "parts.bridge",
    "Humbucker": "parts.pickup",
    "Ring": "parts.pickup",
    "Cavity": "parts.cavity",
    "Cover": "parts.cavity",
    "Pot": "parts.control",
    "Toggle": "parts.control",
    "Channel": "parts.channel",
    "EndJack": "parts.jack",
    "StrapButton": "parts.jack",
    "standing": "pattern.standing",
    "best_pattern": "pattern.best",
}
"""Public name -> module of this package."""

__all__ = [*NAMES, "__version__"]


def __getattr__(name: str) -> Any:
    if name == "__version__":
        return import_module("bodycad.version").VERSION
    if name not in NAMES:
        raise AttributeError(
            f"module 'bodycad' has no attribute {name!r}; known: {', '.join(NAMES)}"
        )
    return getattr(import_module(f"bodycad.{NAMES[name]}"), name)


def __dir__() -> list[str]:
    return sorted(__all__)
