"""Good values to spoil: whole designs, calls of every public function, and what no design holds."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import bodycad as b
from bodycad import Design, rectangle, species
from tests.strangers.bench import HEEL, NECK, OUTLINE, quoin, skin
from tests.strangers.bench import instrument as instrument_

NOT_HELD = {("Design", "parameters"), ("Profile", "vertices"), ("Placed", "part_")}
"""What a script cannot give, or what nobody holds: a design's own record of its settings."""
T = 44.0


@cache
def designs() -> Mapping[str, Design]:
    """Whole designs by name."""
    plain = quoin()
    toggle = b.Placed("toggle", b.Toggle("control", 6.0), b.Place(-80.0, -85.0))
    edges = b.stopped(OUTLINE, b.Chamfer(3.0, 2.0), [(230.0, 0.0, 90.0)])
    contours = (
        *skin().contours,
        b.scoop("contour.belly", "back", T, (0.0, 90.0), 90.0, 160.0, 12.0),
    )
    other = quoin(
        toggle,
        skin=b.Skin(OUTLINE, T, b.Ledge((0.5, 1.0), 6.0), edges, contours),
        shop=b.Shop(limits={"wall": b.Limit(2.0, 3.0)}, measured_stock=44.1),
        waivers=(b.Waiver("floor", ("a", "b"), 2.0, "a trial body"),),
        left_handed=True,
        pieces=(),
    )
    return {"plain": plain, "other": other}


@dataclass(frozen=True)
class Own:
    """A part of a maker's own that answers what it is given."""

    cuts: Any = ()
    fills: Any = ()
    says: Any = ()

    def voids(self, part: str, place: b.Place, thickness: float) -> Any:
        return self._answer(self.cuts)

    def rooms(self, part: str, place: b.Place, thickness: float) -> Any:
        return self._answer(self.fills)

    def interfaces(self, part: str, place: b.Place, piece: b.Workpiece) -> Any:
        return self._answer(self.says)

    def _answer(self, found: Any) -> Any:
        if isinstance(found, BaseException):
            raise found
        return found


ANSWERS = (
    (b.Void("own.cut", "own", "back", "POCKET", b.from_back(rectangle(9.0, 9.0, 3.0), 9.0, T)),),
    (b.Room("own.box", "own", "part", b.from_back(rectangle(5.0, 5.0), 5.0, T)),),
    (b.Mass(part="own", kg=0.1), b.Terminal(part="own", kind="signal", voids=("own.cut",))),
)
"""What such a part answers to the three questions."""


def _half() -> tuple[tuple[float, float], ...]:
    return ((200.0, 0.0), (180.0, 90.0), (0.0, 120.0), (-150.0, 140.0), (-190.0, 0.0))


CALLS: Mapping[str, Callable[[], dict[str, Any]]] = {
    "inch": lambda: {"value": "1 3/4"},
    "measured": lambda: {"value": 6.0, "tolerance": 0.1, "claim": 6.1},
    "claimed": lambda: {"value": 6.0, "tolerance": 0.1},
    "default": lambda: {"value": 6.0, "tolerance": 0.1},
    "species": lambda: {"name": "alder, red"},
    "profile": lambda: {"vertices": ((0.0, 0.0), (9.0, 0.0, 0.2), (9.0, 9.0)), "name": "a plan"},
    "circle": lambda: {"diameter": 9.0, "x": 1.0, "y": 2.0},
    "rectangle": lambda: {"length": 90.0, "width": 40.0, "corner": 3.0, "x": 1.0, "y": 2.0},
    "rounded": lambda: {
        "points": ((0.0, 0.0), (90.0, 0.0), (90.0, 50.0)),
        "radius": (3.0, 4.0, 5.0),
        "name": "a plan",
    },
    "slot": lambda: {"length": 90.0, "width": 40.0, "x": 1.0, "y": 2.0, "turn_deg": 30.0},
    "hull": lambda: {"circles": ((0.0, 0.0, 20.0), (50.0, 9.0, 10.0)), "name": "a plan"},
    "mirrored_half": lambda: {"points": _half(), "name": "a plan"},
    "smooth_outline": lambda: {
        "points": ((0.0, 0.0), (90.0, 0.0), (99.0, 50.0), (40.0, 70.0)),
        "tolerance": 0.05,
        "corners": (1,),
        "name": "an outline",
    },
    "smooth_half": lambda: {
        "points": _half(),
        "tolerance": 0.05,
        "corners": (0,),
        "name": "an outline",
    },
    "offset": lambda: {"shape": rectangle(90.0, 40.0, 5.0), "distance": -3.0},
    "union": lambda: {"profiles": (rectangle(90.0, 40.0), rectangle(20.0, 80.0))},
    "difference": lambda: {"shape": rectangle(90.0, 40.0), "others": (rectangle(20.0, 80.0),)},
    "intersection": lambda: {"profiles": (rectangle(90.0, 40.0), rectangle(20.0, 80.0))},
    "bore": lambda: {
        "start": (0.0, 0.0, 0.0),
        "direction": (0.0, 0.6, -0.8),
        "diameter": 3.0,
        "length": 30.0,
        "tip_deg": 118.0,
        "name": "a hole",
    },
    "stopped": lambda: {"outline": OUTLINE, "edge": b.Cove(4.0), "at": ((0.0, 135.0, 60.0),)},
    "heel_end_x": lambda: {"neck": NECK},
    "mouth_x": lambda: {"neck": NECK},
    "board_end_x": lambda: {"neck": NECK},
    "strings": lambda: {
        "gauges": (".010", 0.33, ".017", ".026w", ".036w", ".046w"),
        "pitches": ("E4", "B3", "G3", "D3", 110.0, "E2"),
    },
    "instrument_stack": lambda: {
        "instrument": instrument_(),
        "pocket_depth": 17.0,
        "angle_deg": 1.0,
        "shim": 0.5,
        "bridge_height": 11.0,
    },
    "solve": lambda: {
        "stack": b.instrument_stack(instrument_(), 17.0),
        "target_height": 11.0,
        "for_": "angle",
    },
    "string_height": lambda: {
        "instrument": instrument_(),
        "pocket_depth": 17.0,
        "x": 50.0,
        "angle_deg": 1.0,
    },
    "from_front": lambda: {"profile": rectangle(90.0, 40.0), "depth": 9.0},
    "from_back": lambda: {
        "profile": rectangle(90.0, 40.0),
        "depth": 9.0,
        "thickness": 44.0,
        "start": 2.0,
    },
    "on_edge": lambda: {"outline": OUTLINE, "x": -150.0, "y": 3.0},
    "blank_round": lambda: {
        "outline": OUTLINE,
        "species": species("alder, red"),
        "margin": 9.0,
        "joints": (3.0,),
        "pin": 6.0,
        "moisture": 8.0,
        "outline_from": "back",
    },
    "fall_away": lambda: {
        "name": "contour.a",
        "face": "front",
        "thickness": T,
        "start": (0.0, 90.0),
        "toward_deg": 90.0,
        "run": 40.0,
        "drop": 10.0,
        "span": (-90.0, 90.0),
    },
    "scoop": lambda: {
        "name": "contour.b",
        "face": "back",
        "thickness": T,
        "start": (0.0, 90.0),
        "toward_deg": 90.0,
        "radius": 160.0,
        "slope_deg": 12.0,
        "length": 200.0,
    },
    "check": lambda: {"subject": designs()["plain"]},
    "standing": lambda: {
        "layout": designs()["plain"].layout(),
        "wood": 17.0,
        "length": 34.0,
        "grid": 6.0,
        "neck": "neck",
    },
}
"""Good arguments of public functions, by name."""
HEAVY = ("build", "load_design", "measure_first", "widest_pattern", "declared")
"""Functions that write, or take seconds."""


def EXTRA() -> tuple[Any, ...]:
    """Values of public classes that the designs do not hold."""
    way = (1.0, 0.0, 0.0)
    return (
        b.Rim(((9.0, 0.0), (0.0, 5.0))),
        b.Cove(4.0),
        b.Cutter(6.0, 30.0),
        b.EdgeBit("cove", 6.0),
        b.Pin(3.0, 4.0),
        b.Stack(17.0, 25.4, 500.0, 1.6, 1.8, 0.5, 1.2, 1.0, 0.5, 11.0),
        b.Seat(instrument_(), 17.0, 1.0, 26.0),
        b.Frame(1.0, 2.0, -3.0, 30.0, True),
        b.Neck((600.0, 630.0), 22, 43.0, 35.0, 56.0, HEEL),
        b.String(0.66, True, 0.3, 0.002, 110.0),
        b.Anchor(part="tail", at=((0.0, -30.0, 9.0), (0.0, 30.0, 9.0)), strings=6, posts=("a.b",)),
        b.Sweep(part="jack", kind="plug", room="jack.plug", bore="jack.bore", into="a.b"),
        b.Post(part="tail", hole="tail.post", pull=way),
        b.Joint(
            part="neck",
            mount="glue",
            pocket="neck.pocket",
            heel="neck.heel",
            board="neck.board",
            end=(200.0, 0.0, -17.0),
            ahead=way,
            species="maple, sugar",
            glue=4000.0,
        ),
        b.Mass(part="tail", kg=0.1, at=(0.0, 0.0, 5.0)),
    )


def with_own(cuts: Any, fills: Any, says: Any) -> Design:
    """The plain design with a part of a maker's own that answers so."""
    plain = designs()["plain"]
    own = b.Placed("own", Own(cuts, fills, says), b.Place(-60.0, 60.0))
    return replace(plain, parts=(*plain.parts, own))
