"""What parts are bought as, the neck, the strings and the wires."""

from __future__ import annotations

from collections.abc import Iterator

from bodycad.instrument.strings import String
from bodycad.layout.bought import things
from bodycad.layout.interface import Core, Hardware, Joint, Terminal
from bodycad.layout.layout import Layout
from bodycad.making.leads import GROUND, PLAIN, POWER, SHIELDED, SLACK, Lead, leads
from bodycad.making.row import Group, Row, inches, origin
from bodycad.words import Wire

LEADS = {
    SHIELDED: "shielded lead, one core and a screen",
    PLAIN: "hook-up wire, insulated",
    POWER: "hook-up wire for the battery, insulated",
    GROUND: "ground wire",
}
"""What each kind of lead is bought as."""


def hardware(layout: Layout) -> Iterator[Row]:
    """What parts say they are bought as, and what they leave unsaid; the neck; strings; wires."""
    for one in layout.stated(Hardware):
        if one.count:
            yield Row(
                Group.HARDWARE,
                one.what,
                one.count,
                one.sizes,
                (one.part,),
                origin=origin(value for _, value in one.sizes),
            )
    for thing in things(layout):
        if not thing.times:
            note = "the part does not say what it is bought as: see complete.hardware"
            what = f"what {thing.rooms[0]} is"
            yield Row(Group.HARDWARE, what, 1, parts=(thing.part,), origin="", note=note)
    yield from _neck(layout)
    yield from _strings(layout)
    yield from _wires(layout)


def _neck(layout: Layout) -> Iterator[Row]:
    """The neck of a stated joint, bought or made; one that runs through is wood of the blank."""
    neck = layout.instrument.neck
    scales = {"scale": neck.treble_scale}
    if neck.bass_scale != neck.treble_scale:
        scales = {"scale, treble": neck.treble_scale, "scale, bass": neck.bass_scale}
    given: dict[str, float] = {
        **scales,
        "heel length": neck.heel.length,
        "heel width at its end": neck.heel.width_end,
        "heel thickness": neck.heel.thickness,
        "fretboard": neck.board_thickness,
    }
    for joint in layout.stated(Joint):
        what = f"neck with {neck.frets} frets, bought or made"
        sure = origin(given.values())
        yield Row(Group.HARDWARE, what, 1, tuple(given.items()), (joint.part,), origin=sure)
    for core in layout.stated(Core):
        what = f"fretboard with {neck.frets} frets for the neck that runs through"
        few = {**scales, "fretboard": neck.board_thickness}
        sure = origin(few.values())
        yield Row(Group.HARDWARE, what, 1, tuple(few.items()), (core.part,), origin=sure)


def _strings(layout: Layout) -> Iterator[Row]:
    alike: dict[tuple[float, bool], list[tuple[int, String]]] = {}
    for number, string in enumerate(layout.instrument.strings, 1):
        key = round(float(string.gauge), 4), string.wound
        alike.setdefault(key, []).append((number, string))
    for (gauge, wound), found in alike.items():
        tuned = ", ".join(f"{number} ({string.pitch})" for number, string in found)
        yield Row(
            Group.STRINGS,
            "wound string" if wound else "plain string",
            len(found),
            (("gauge", gauge),),
            origin=origin([found[0][1].gauge]),
            inches=inches(gauge),
            note=f"string {tuned}",
        )


def _wires(layout: Layout) -> Iterator[Row]:
    """As much of each kind of lead as all of its kind are cut to."""
    kinds: dict[str, list[Lead]] = {}
    for lead in leads(layout):
        kinds.setdefault(lead.kind, []).append(lead)
    grounded = {lead.one for lead in kinds.get(GROUND, ())}
    metal = {one.part for one in layout.stated(Terminal) if one.kind is Wire.GROUND}
    if bare := sorted(metal - grounded):
        kinds.setdefault(GROUND, [])
    for kind, found in kinds.items():
        known = [lead.cut for lead in found if lead.cut is not None]
        lost = [f"{lead.one} to {lead.two}" for lead in found if lead.cut is None]
        lost += [f"from {part}" for part in bare if kind == GROUND]
        many = "1 lead" if len(found) == 1 else f"{len(found)} leads"
        note = f"{many}, each with {SLACK:g} mm more at both ends"
        if lost:
            note += f"; not counted, for no way leads there yet: {', '.join(lost)}"
        ends = dict.fromkeys(end for lead in found for end in (lead.one, lead.two))
        ids = {one.id for one in layout.placed}
        parts = (*(end for end in ends if end in ids), *(bare if kind == GROUND else ()))
        metres = round(sum(known) / 1000.0, 3)
        yield Row(Group.WIRE, LEADS.get(kind, kind), metres, parts=parts, unit="m", note=note)
