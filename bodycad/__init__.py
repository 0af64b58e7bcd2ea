"""bodycad lays out bodies and cavities of solid-body electric guitars and basses, and proves that the parts fit.

A design script says `from bodycad import ...`; a name costs nothing until it is used. NAMES is the
whole public surface.
"""

from importlib import import_module

NAMES = {
    "Design": "design",
    "check": "exports.files",
    "build": "exports.files",
    "load_design": "script",
    "measure_first": "provenance",
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
    "Profile": "geometry.profile",
    "profile": "geometry.profile",
    "circle": "geometry.build",
    "rectangle": "geometry.build",
    "rounded": "geometry.build",
    "slot": "geometry.build",
    "hull": "geometry.build",
    "mirrored_half": "geometry.build",
    "smooth_outline": "geometry.outline",
    "smooth_half": "geometry.outline",
    "offset": "geometry.offset",
    "union": "geometry.boolean",
    "difference": "geometry.boolean",
    "intersection": "geometry.boolean",
    "Prism": "geometry.shapes",
    "Bore": "geometry.shapes",
    "bore": "geometry.shapes",
    "Carve": "geometry.carve",
    "Skin": "geometry.skin",
    "Square": "geometry.skin",
    "Roundover": "geometry.skin",
    "Ledge": "geometry.skin",
    "Contour": "geometry.skin",
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
    "Blank": "layout.body",
    "Pin": "layout.body",
    "Placed": "layout.body",
    "Link": "layout.body",
    "Place": "layout.void",
    "Depth": "layout.void",
    "Void": "layout.void",
    "Room": "layout.void",
    "from_front": "layout.void",
    "from_back": "layout.void",
    "on_edge": "layout.edge",
    "blank_round": "layout.edge",
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


def __getattr__(name: str):
    if name == "__version__":
        return import_module("bodycad.version").VERSION
    if name not in NAMES:
        raise AttributeError(f"module 'bodycad' has no attribute {name!r}; known: {', '.join(NAMES)}")
    return getattr(import_module(f"bodycad.{NAMES[name]}"), name)


def __dir__() -> list[str]:
    return sorted(__all__)
