"""bodycad lays out bodies and cavities of solid-body electric guitars and basses, and proves that
the parts fit.

A design script says `from bodycad import ...`; a name costs nothing until it is used. NAMES is the
whole public surface.
"""

from importlib import import_module
from typing import Any

_HOMES = (
    ("design", "Design check build"),
    ("script", "load_design"),
    ("design", "measure_first route"),
    ("units", "inch measured claimed default"),
    ("measuring.table", "SizeTable"),
    ("errors", "InputError"),
    ("guides", "GuideBush BearingBit DrillBush"),
    ("pace", "Pace"),
    ("shop", "Shop Limit"),
    ("tools", "Cutter Drill EdgeBit"),
    ("waiver", "Waiver"),
    ("wood", "Species species"),
    ("geometry.plane.profile", "Profile profile"),
    ("geometry.plane.build", "circle rectangle rounded slot hull mirrored_half"),
    ("geometry.plane.outline", "smooth_outline smooth_half"),
    ("imports.drawing", "Drawing"),
    ("imports.outline", "outline_from"),
    ("geometry.plane.offset", "offset"),
    ("geometry.plane.boolean", "union difference intersection"),
    ("geometry.solids.prism", "Prism"),
    ("geometry.solids.bore", "Bore bore"),
    ("geometry.solids.carve", "Carve"),
    ("geometry.solids.skin", "Skin"),
    ("geometry.solids.edge", "Square Roundover Ledge Chamfer Cove Rim Lowered"),
    ("geometry.solids.stretch", "Stretch stopped"),
    ("geometry.solids.skin", "Contour"),
    ("instrument.neck", "Neck Heel heel_end_x mouth_x board_end_x"),
    ("instrument.lines", "Instrument"),
    ("instrument.fitted", "Fitted"),
    ("instrument.along", "node_x saddle_gap_x board_gap_x fan_turn_deg pole_spacing_at"),
    ("instrument.seat", "Seat"),
    ("parts.neckplate", "PlateJoint NeckPlate"),
    ("parts.pocket", "RodNotch Shim"),
    ("parts.tenon", "TenonJoint Tongue"),
    ("parts.neckthrough", "NeckThrough"),
    ("fasteners", "Insert"),
    ("instrument.strings", "String strings"),
    ("instrument.stack", "Stack instrument_stack solve string_height"),
    ("layout.blank", "Blank Pin"),
    ("layout.layout", "Placed Link"),
    ("layout.place", "Place Depth"),
    ("layout.void", "Void Room from_front from_back"),
    ("layout.interface", "Saddle StringHole Anchor Poles Sprung Fit Hides Land"),
    ("layout.interface", "Screw Bush Sweep Post Terminal Way Joint Core Mass Hardware"),
    ("words", "Face Operation RoomKind FitKind SweepKind HideKind Mount Wire Grain"),
    ("layout.workpiece", "Workpiece Frame"),
    ("layout.blank", "on_edge on_rim on_front blank_round"),
    ("layout.contours", "arched_top bevel blend fall_away rounded_corner scoop"),
    ("parts.neckjoint", "NeckJoint NeckFerrule Bolt"),
    ("parts.bridge", "Hardtail TopLoad BassBridge"),
    ("parts.bridge_shared", "Ferrule"),
    ("parts.bridge_vibrato", "ScrewVibrato PostVibrato Block Claw spring_hollow"),
    ("parts.bridge_single", "SingleBridge GroundFoil single_bridges"),
    ("parts.bridge_pickup", "PickupBridge Coil"),
    ("parts.bridge_tail", "TailBlock"),
    ("parts.bridge_posts", "PostBridge Tailpiece WrapBar Posts"),
    ("parts.pickup", "Humbucker SmallHumbucker SingleCoil Soapbar SplitPair"),
    ("parts.cased", "Under Blade"),
    ("parts.mount", "Ring DirectMount GuardMount Ears"),
    ("parts.cavity", "Cavity Cover cavity_round"),
    ("parts.battery", "Battery BatteryBox Capacitor WireRoom"),
    ("parts.control", "Pot SmallPot PushPull Rotary Toggle MiniToggle"),
    ("parts.blade", "BladeSwitch"),
    ("parts.guard", "Guard"),
    ("parts.channel", "Channel"),
    ("parts.jack", "EndJack AngledJack"),
    ("parts.sidejack", "SideJack BarrelJack"),
    ("parts.strap", "StrapButton StrapLock"),
    ("pattern.standing", "standing"),
    ("pattern.widest", "widest_pattern"),
)
NAMES = {name: home for home, names in _HOMES for name in names.split()}
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
