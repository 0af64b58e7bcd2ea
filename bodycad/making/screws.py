"""Screws by thread, length and head; the inserts that they hold in, and the springs on them."""

from __future__ import annotations

from collections.abc import Iterator

from bodycad.layout.interface import Screw, Sprung
from bodycad.layout.layout import Layout
from bodycad.making.row import Group, Row, Sizes, inches, origin
from bodycad.units import MM_PER_INCH
from bodycad.words import HeadForm, RoomKind

HEADS = {
    HeadForm.FLAT: "head flat underneath",
    HeadForm.COUNTERSUNK: "countersunk head",
    None: "head to fit its part",
}
NUMBER_0, NUMBER_STEP = 0.060, 0.013
"""Diameter of a no. 0 wood screw, and what each number more adds, inches (ASME B18.6.1, from
memory)."""
BETWEEN = 0.35
"""A screw within so much of a number is of that number."""
LOADED = "this long and no shorter: it holds the neck"
LONGEST = "or the next shorter one sold: its pilot is this deep"
SPRUNG = "its springs are set for this length"
IN_WOOD = "as long over that as its part takes up: measure the part"


def screws(layout: Layout) -> Iterator[Row]:
    """A row a screw, an insert, a set of springs and a set of screws that hang from a sheet; rows
    of like things are made one by `bill`."""
    for one in layout.stated(Screw):
        yield _screw(layout, one)
        if one.insert is not None:
            made = one.insert
            sizes = (
                ("outside", made.outside),
                ("length", made.length),
                ("for a screw of", one.thread),
            )
            sure = origin(value for _, value in sizes)
            what, into = "threaded insert for wood", f"its hole is drilled {made.hole:g} mm"
            part, uses = (one.part,), (one.hole,)
            yield Row(Group.SCREWS, what, 1, sizes, part, origin=sure, note=into, uses=uses)
    for hung in layout.stated(Sprung):
        count, part = len(hung.at), (hung.part,)
        sizes = (
            ("free length", hung.free),
            ("pressed flat", hung.flat),
            ("on a screw of", hung.thread),
        )
        sure = origin(value for _, value in sizes)
        yield Row(Group.SCREWS, "compression spring", count, sizes, part, origin=sure)
        if not hung.holes:  # those that hold in wood are stated as `Screw`
            own = ("thread", hung.thread), ("length", hung.reach)
            what = "machine screw, countersunk head"
            note = "it carries a pickup from the sheet it hangs from"
            sure, told = origin(value for _, value in own), f"{inches(hung.reach)} long"
            yield Row(Group.SCREWS, what, count, own, part, origin=sure, inches=told, note=note)


def _screw(layout: Layout, one: Screw) -> Row:
    kind = "machine screw" if holds_in_metal(layout, one) else "wood screw"
    sizes: Sizes = (("thread", one.thread),)
    if one.length is None:
        sizes, note = (*sizes, ("in the wood", one.reach)), IN_WOOD
    else:
        sizes = *sizes, ("length", one.length)
        sprung = any(one.hole in hung.holes for hung in layout.stated(Sprung))
        bought = kind == "machine screw"
        note = LOADED if one.loaded else SPRUNG if sprung else "" if bought else LONGEST
    if one.head is not None and not one.loaded and one.flange > 0.0:
        sizes = *sizes, ("head", one.flange)
    told = [] if kind == "machine screw" else [number_of(one.thread)]
    told += [] if one.length is None else [f"{inches(one.length)} long"]
    return Row(
        Group.SCREWS,
        f"{kind}, {HEADS[one.head]}",
        1,
        sizes,
        (one.part,),
        origin=origin((value for _, value in sizes), plain="drawn"),
        inches=", ".join(told),
        note=note,
        uses=(one.hole,),
    )


def holds_in_metal(layout: Layout, screw: Screw) -> bool:
    """Whether a screw is a machine screw: it holds in an insert, or in a room that is no neck's."""
    if screw.insert is not None:
        return True
    return screw.bites is not None and layout.rooms_by_id[screw.bites].kind is not RoomKind.NECK


def number_of(thread: float) -> str:
    """The number that a wood screw of a thread (mm) is sold by, or the two that it lies between."""
    number = (thread / MM_PER_INCH - NUMBER_0) / NUMBER_STEP
    near = round(number)
    if abs(number - near) <= BETWEEN or number < 0.0:
        return f"no. {max(near, 0)}"
    return f"no. {int(number)} or {int(number) + 1}"
