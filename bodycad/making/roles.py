"""What each drilled hole is for, as the records of the parts say it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from bodycad.layout.interface import Bush, Post, Screw, StringHole, Sweep, Way
from bodycad.layout.layout import Layout
from bodycad.making.hole import HoleFit
from bodycad.words import HeadForm, SweepKind


@dataclass(frozen=True)
class Role:
    """What a hole is for: its fit, in words, the diameter of what goes in where a record says it,
    and the diameter of a countersunk head that it takes."""

    fit: HoleFit
    serves: str
    fits: float | None = None
    countersink: float | None = None


def roles(layout: Layout) -> Mapping[str, Role]:
    """The roles by the voids' ids; the first record that speaks of a void says it."""
    found: dict[str, Role] = {}
    for name, role in _said(layout):
        found.setdefault(name, role)
    return found


def own_name(part: str, name: str) -> str:
    """A void's id in words: its part, and what is left of the id behind that."""
    own = name.removeprefix(f"{part}.").replace(".", " ")
    return f"{part}: {own}" if part else own


def _said(layout: Layout) -> Iterator[tuple[str, Role]]:
    for screw in layout.stated(Screw):
        yield from _screw(screw)
    for one in layout.stated(StringHole):
        yield one.hole, Role(HoleFit.STRING, f"{one.part}: a string runs through")
        if one.seat is not None:
            yield one.seat, Role(HoleFit.PRESS, f"{one.part}: seat of a string's ferrule")
    for post in layout.stated(Post):
        yield post.hole, Role(HoleFit.PRESS, f"{post.part}: post or its bush")
    for bush in layout.stated(Bush):
        yield bush.hole, Role(HoleFit.CLEARANCE, f"{bush.part}: threaded bush", bush.diameter)
    for way in layout.stated(Way):
        yield way.hole, Role(HoleFit.WAY, f"{way.part}: way for a {way.kind} wire")
    for sweep in layout.stated(Sweep):
        if sweep.kind is SweepKind.PLUG and sweep.bore is not None:
            yield sweep.bore, Role(HoleFit.CLEARANCE, f"{sweep.part}: way of the plug")


def _screw(screw: Screw) -> Iterator[tuple[str, Role]]:
    name, thread = f"{screw.part}: screw {screw.number}", float(screw.thread)
    if screw.bites is None:
        name = own_name(screw.part, screw.hole)
        name += "" if "screw" in name else " screw"
    head = float(screw.flange) if screw.head is HeadForm.COUNTERSUNK and screw.flange else None
    if screw.free is not None:
        words = f"{name} passes"
        yield screw.free, Role(HoleFit.CLEARANCE, words, thread, head)
    if screw.hole != screw.free:
        if screw.bites is None:
            yield screw.hole, Role(HoleFit.PILOT, f"{name} bites", thread)
        else:
            yield screw.hole, Role(HoleFit.CLEARANCE, f"{name} falls through", thread)
    if screw.seat is not None:
        words = f"{name}: its head or ferrule seats here"
        yield screw.seat, Role(HoleFit.SEAT, words, float(screw.flange) or None)
