"""A plain board and an instrument with round figures, for checks worked out by hand."""

from __future__ import annotations

from bodycad.design import Design
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.edge import Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Skin
from bodycad.instrument.lines import Instrument
from bodycad.instrument.neck import Heel, Neck
from bodycad.instrument.strings import strings
from bodycad.layout.blank import Blank
from bodycad.layout.layout import Layout, Placed
from bodycad.layout.void import Room, Void
from bodycad.parts.neckjoint import Bolt, NeckJoint
from bodycad.shop import Shop
from bodycad.wood import Species, species
from tests.sample import Loose

T = 44.0
BOARD = rectangle(400.0, 300.0, 20.0)


def instrument() -> Instrument:
    """Six plain strings of 0.010 in at E4 on 647.7 mm: 72.524 N each (T = mu (2 L f)^2 with
    steel of 7850 kg/m3, computed)."""
    neck = Neck(scale=647.7, frets=22, nut_width=43.0, nut_spread=35.0, width_at_last_fret=56.0)
    return Instrument(neck, strings((".010",) * 6, ("E4",) * 6), bridge_spread=52.5)


def bench(
    *parts: Placed,
    skin: Skin | None = None,
    joints: tuple[float, ...] = (),
    pins=(),
    shop: Shop | None = None,
    wood: Species | None = None,
    left_handed: bool = False,
    blank: Blank | None = None,
) -> Layout:
    """The parts in a 400 x 300 x 44 mm alder board with square edges, in a blank 15 mm larger all
    round."""
    blank = blank or Blank(
        -215.0, -165.0, 215.0, 165.0, wood or species("alder, red"), joints, pins
    )
    return Design(
        "bench",
        blank,
        skin or Skin(BOARD, T, Square(), Square()),
        instrument(),
        parts,
        shop=shop or Shop(),
        left_handed=left_handed,
    ).layout()


def loose(*voids: Void, rooms: tuple[Room, ...] = (), name: str = "p", says=()) -> Placed:
    """A part of no kind with these voids, rooms and records."""
    return Placed(name, Loose(voids, rooms, says))


def hole(
    name: str,
    x: float,
    y: float,
    diameter: float,
    depth: float,
    operation: str = "BORE",
    part: str = "p",
    opens: tuple[str, ...] = ("front",),
) -> Void:
    """An upright hole from the front."""
    return Void(
        name,
        part,
        "front",
        operation,
        bore((x, y, 0.0), (0, 0, -1), diameter, depth),
        frozenset(opens),
    )


def pocket(
    name: str,
    x0: float,
    x1: float,
    low: float,
    high: float,
    part: str = "q",
    y: float = 0.0,
    width: float = 40.0,
    opens: tuple[str, ...] = (),
) -> Void:
    """A block of air from x0 to x1 and from low to high, `width` wide about y."""
    profile = rectangle(x1 - x0, width, 0.0, (x0 + x1) / 2.0, y)
    return Void(name, part, "front", "POCKET", Prism(profile, low, high), frozenset(opens))


def joint(*bolts: Bolt, **changes) -> NeckJoint:
    """A joint for a 25.4 mm heel in a 17 mm pocket."""
    return NeckJoint(
        Heel(), 17.0, 6.4, bolts or (Bolt(60.0, 16.0, 18.0), Bolt(20.0, -16.0, 18.0)), **changes
    )


def only(findings, check: str, *subjects: str, unit: str = ""):
    """The one finding of a code, or else of a check, whose subjects are exactly these (and whose
    figure is in `unit`)."""
    rows = list(findings)
    own = [f for f in rows if f.subjects == subjects and unit in ("", f.unit)]
    found = [f for f in own if f.code == check] or [f for f in own if f.check == check]
    assert len(found) == 1, [(f.subjects, f.unit) for f in rows]
    return found[0]
