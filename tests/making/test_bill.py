"""The list of what to buy: counted by hand for three designs, each thing once for all of them."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from bodycad import (
    BatteryBox,
    Bush,
    Capacitor,
    Hardware,
    InputError,
    Link,
    Place,
    Placed,
    Pot,
    Screw,
    Sprung,
    StrapButton,
    load_design,
    on_edge,
)
from bodycad.checks.rules.complete import complete
from bodycad.layout.interface import COUNTED_ELSEWHERE
from bodycad.making.bill import bill, merged
from bodycad.making.leads import leads
from bodycad.making.row import Group, Row, inches
from bodycad.making.screws import number_of
from bodycad.words import Operation, RoomKind
from tests.making.conftest import HOME, NAMES
from tests.sample import Loose
from tests.strangers.bench import OUTLINE, quoin


@pytest.fixture(scope="module")
def bills(layouts):
    return {name: bill(layout) for name, layout in layouts.items()}


HARDWARE = {
    # A neck on four ferrules; two humbuckers, each in a ring; six strings through the body; two
    # pots with a knob each, a toggle, a jack, two buttons.
    "teasel": {
        "neck with 23 frets, bought or made": 1,
        "neck ferrule": 4,
        "humbucker, 6 poles": 2,
        "ring for a humbucker with height screws and springs": 2,
        "bridge on a plate for strings through the body, 6 strings": 1,
        "string ferrule": 6,
        "potentiometer": 2,
        "knob": 2,
        "three-way toggle with its tip": 1,
        "jack with a recessed cup": 1,
        "strap button": 2,
    },
    # Three single coils, a blade switch and two pots hang from a guard; the vibrato tips on screws.
    "campion": {
        "neck with 22 frets, bought or made": 1,
        "neck ferrule": 4,
        "single coil pickup, 6 poles": 3,
        "vibrato with block, arm, springs and claw, 6 strings": 1,
        "blade switch with its tip": 1,
        "potentiometer": 2,
        "knob": 2,
        "jack in an angled plate for the front": 1,
        "strap button": 2,
    },
    # Seven strings, each with a bridge and a ferrule of its own, over one foil; two humbuckers with
    # blades and no rings.
    "burdock": {
        "neck with 24 frets, bought or made": 1,
        "neck ferrule": 4,
        "humbucker with blades": 2,
        "single bridge for one string": 7,
        "string ferrule": 7,
        "copper foil for the ground": 1,
        "potentiometer": 2,
        "knob": 2,
        "three-way toggle with its tip": 1,
        "jack with a recessed cup": 1,
        "strap button": 2,
    },
}
"""How many of each thing, counted by hand in the scripts."""

SCREWS = {
    # Four at the neck as its bolts say; 4 in each of 2 rings of 5 mm, 10 mm into the wood; 3 in the
    # bridge's plate of 2.5 mm, 20 deep; 4 + 2 in covers of 2.5, 12 deep; one in each button.
    "teasel": {
        ("wood", 4.2, 35.0): 2,
        ("wood", 4.2, 34.0): 1,
        ("wood", 4.2, 33.0): 1,
        ("wood", 3.3, 15.0): 8,
        ("wood", 4.0, 22.5): 3,
        ("wood", 3.3, 14.5): 6,
        ("wood", 4.7, None): 2,
    },
    # 4 at the neck; 10 in the guard of 2.4 mm, 11 deep; 6 pivots through a plate of 2.5 mm, 20
    # deep; 2 at the claw, 12 mm off the wall at 8 degrees and 25 deep (12.12 + 25); 5 in the
    # cover; 2 in the jack's plate of 1.2 mm, 12 deep; 2 through the switch; 2 for each pickup.
    "campion": {
        ("wood", 4.2, 36.0): 4,
        ("wood", 2.7, 13.4): 10,
        ("wood", 4.0, 22.5): 6,
        ("wood", 4.7, 37.1): 2,
        ("wood", 3.3, 14.5): 5,
        ("wood", 3.3, 13.2): 2,
        ("machine", 3.0, 8.0): 2,
        ("machine", 3.0, 16.0): 6,
        ("wood", 4.7, None): 2,
    },
    # 4 at the neck; 2 in each pickup's floor; 2 in each of 7 bridges on plates of 2.5 mm over 0.1
    # of foil, 14 deep; 4 + 2 in covers; one in each button.
    "burdock": {
        ("wood", 4.2, 35.0): 4,
        ("wood", 2.9, 19.5): 4,
        ("wood", 3.3, 16.6): 14,
        ("wood", 3.3, 14.5): 6,
        ("wood", 4.7, None): 2,
    },
}
"""Kind, thread and length of each screw (mm; None: told by its part) and how many, by hand."""
TEMPLATES = "sheet for router templates and fixtures"
SPRINGS = {"teasel": 0, "campion": 6, "burdock": 4}


def counts(made, group):
    found = Counter()
    for one in made.rows:
        if one.group is group:
            found[one.what] += one.count
    return dict(found)


@pytest.mark.parametrize("name", HARDWARE)
def test_things_counted_by_hand(name, bills):
    assert counts(bills[name], Group.HARDWARE) == HARDWARE[name]


@pytest.mark.parametrize("name", SCREWS)
def test_screws_counted_by_hand(name, bills):
    found: Counter = Counter()
    for one in bills[name].rows:
        if "screw, " in one.what:
            sizes = dict(one.sizes)
            length = round(sizes["length"], 1) if "length" in sizes else None
            found[one.what.split()[0], round(sizes["thread"], 1), length] += one.count
    assert dict(found) == SCREWS[name]
    springs = sum(one.count for one in bills[name].rows if one.what == "compression spring")
    assert springs == SPRINGS[name]


@pytest.mark.parametrize("name", NAMES)
def test_every_screw_is_counted_once(name, layouts, bills):
    """Those in holes, those that hang from a sheet, and the insert that one holds in."""
    layout, made = layouts[name], bills[name]
    hung = [one for one in layout.stated(Sprung) if not one.holes]
    due = len(layout.stated(Screw)) + sum(len(one.at) for one in hung)
    rows = [one for one in made.rows if one.group is Group.SCREWS]
    assert sum(one.count for one in rows if "screw, " in one.what) == due
    inserts = sum(one.insert is not None for one in layout.stated(Screw))
    assert sum(one.count for one in rows if "insert" in one.what) == inserts
    springs = sum(len(one.at) for one in layout.stated(Sprung))
    assert sum(one.count for one in rows if "spring" in one.what) == springs


@pytest.mark.parametrize("name", NAMES)
def test_no_pilot_and_no_hole_in_a_sheet_is_without_its_screw(name, layouts):
    """A cover's screws among them: each pilot of the body and each plain hole of a sheet is named
    by a screw, a bush or what hangs from the sheet."""
    layout = layouts[name]
    stated = layout.stated(Screw)
    driven = {one.hole for one in stated} | {one.free for one in stated}
    pilots = {v.id for v in layout.voids if v.operation is Operation.PILOT}
    assert pilots <= driven
    hung = {one.part for one in layout.stated(Sprung)} | {b.part for b in layout.stated(Bush)}
    for piece in layout.pieces[1:]:
        bored = [v for v in piece.voids if v.shape.hole is not None and v.part not in hung]
        assert {v.id for v in bored} <= driven


@pytest.mark.parametrize("name", NAMES)
def test_every_placed_part_is_in_the_list(name, layouts, bills):
    layout, made = layouts[name], bills[name]
    for row in made.rows:
        assert not row.uses or row.count == len(row.uses)  # each screw is told by its hole
    named = {part for row in made.rows for part in row.parts}
    ids = {one.id for one in layout.placed}
    assert named | {*made.only_cut} == ids and not named & {*made.only_cut}
    solid = {room.part for room in layout.rooms if room.kind not in COUNTED_ELSEWHERE}
    assert not solid & {*made.only_cut}
    assert [f.code for f in complete(layout) if f.status != "pass"] == []


@pytest.mark.parametrize("name", NAMES)
def test_a_screw_is_bought_as_long_as_it_stands(name, layouts):
    """From its tip to the outside of what it holds: the top of its part's plate, ring, cover or
    guard over it, as the rooms have it; a neck's as its own room is long."""
    layout = layouts[name]
    sprung = {hole for one in layout.stated(Sprung) for hole in one.holes}
    asked = 0
    for one in layout.stated(Screw):
        if one.length is None or one.hole in sprung:
            continue
        if one.loaded:
            rooms = [r for r in layout.rooms if r.part == one.part and r.kind is RoomKind.SCREW]
            lengths = [r.shape.hole.length for r in rooms if np.hypot(*axis_off(r, one)) < 1e-9]
            assert one.length in [pytest.approx(length) for length in lengths]
            asked += 1
        elif abs(one.way[2]) == 1.0:
            up = -one.way[2]
            head = one.at[2] + up * (one.length - one.reach)
            tops = [
                max(up * r.shape.box[2], up * r.shape.box[5])
                for r in layout.rooms
                if r.part == one.part and r.kind in PLATES and r.shape.plan.contains(*one.at[:2])
            ]
            tops += [up * p.frame.span(-p.thickness, 0.0)[up > 0] for p in over(layout, one)]
            assert tops and up * head == pytest.approx(max(tops), abs=1e-6), one.hole
            asked += 1
    assert asked


PLATES = (RoomKind.PLATE, RoomKind.RING, RoomKind.COVER, RoomKind.GUARD)


def over(layout, screw):
    """The sheets that a screw passes."""
    return [p for p in layout.pieces[1:] if screw.free in p.by_id]


def axis_off(room, screw):
    return room.shape.hole.start[0] - screw.at[0], room.shape.hole.start[1] - screw.at[1]


@pytest.mark.parametrize("name", NAMES)
def test_all_strings_and_all_wires(name, layouts, bills):
    layout, made = layouts[name], bills[name]
    assert sum(counts(made, Group.STRINGS).values()) == len(layout.instrument.strings)
    notes = [one.note for one in made.rows if one.group is Group.WIRE]
    known = leads(layout)
    assert len(known) >= len(layout.links)
    assert sum(int(note.split()[0]) for note in notes) == len(known)
    length = sum(one.count for one in made.rows if one.group is Group.WIRE)
    assert length == pytest.approx(sum(one.cut for one in known) / 1000.0)


@pytest.mark.parametrize("name", ["teasel", "tansy"])
def test_the_other_hand_buys_the_same(name, layouts, bills):
    """But for the sheet of its templates, which lie otherwise to the datum pins."""
    twin = not layouts[name].left_handed
    other = bill(load_design(HOME / f"{name}.py", [f"left_handed={twin}"]).layout())

    def told(rows):
        # A joint's boards are listed from the treble side over.
        return sorted(
            (r.group, r.what, round(r.count, 3), [(w, round(v, 2)) for w, v in r.sizes], r.note)
            for r in rows
            if r.what != TEMPLATES
        )

    assert told(other.rows) == told(bills[name].rows)
    assert [replace(t, uses=()) for t in other.tools] == [
        replace(t, uses=()) for t in bills[name].tools
    ]


MORE = {
    "strap": (
        Placed("more", StrapButton(-22.0), on_edge(OUTLINE, -60.0, 150.0)),
        {"strap button": 1, "wood screw, head to fit its part": 1},
    ),
    "pot": (Placed("more", Pot("control", 6.0), Place(-90.0, -70.0)), POT := {"knob": 1}),
    "capacitor": (
        Placed("more", Capacitor("control", 6.0), Place(-90.0, -70.0)),
        {"capacitor": 1},
    ),
    "battery": (
        Placed("more", BatteryBox(), Place(-60.0, 60.0)),
        {
            "battery box with a lid and a clip": 1,
            "9 V battery for its box": 1,
            "wood screw, countersunk head": 2,
        },
    ),
}
POT["potentiometer"] = 1


@pytest.mark.parametrize("kind", MORE)
def test_a_part_more_is_its_own_things_more(kind):
    one, due = MORE[kind]
    few, many = (Counter(), Counter())
    for found, design in ((few, quoin()), (many, quoin(one))):
        for row in bill(design.layout()).rows:
            if row.what != TEMPLATES:
                found[row.what, row.sizes, row.origin, row.note] += row.count
    assert not few - many
    more: Counter = Counter()
    for (what, *_), count in (many - few).items():
        more[what] += count
    assert dict(more) == due


def driven(part="own", **changes):
    """A screw in a hole of the strap button's."""
    given = {"number": 1, "hole": "strap.tail.screw", "at": (0.0, 0.0, 0.0), "way": (1.0, 0.0, 0.0)}
    given |= {"thread": 3.0, "reach": 12.0, "length": 14.0, "head": "flat", "flange": 6.0}
    return Screw(part=part, **(given | changes))


@pytest.mark.parametrize(
    "change",
    [
        {"head": "countersunk"},
        {"flange": 8.0},
        {"thread": 3.5},
        {"length": 16.0},
        {"length": None},
        {"loaded": True},
    ],
)
def test_screws_that_differ_are_not_merged(change):
    layout = quoin(
        Placed("own", Loose(says=(driven(), driven(number=2)))),
        Placed("other", Loose(says=(driven("other", **change),))),
    ).layout()
    rows = [r for r in bill(layout).rows if {"own", "other"} & {*r.parts}]
    assert sorted((one.count, one.parts) for one in rows) == [(1, ("other",)), (2, ("own",))]


def test_equal_screws_are_one_row():
    layout = quoin(
        Placed("own", Loose(says=(driven(),))), Placed("other", Loose(says=(driven("other"),)))
    ).layout()
    rows = [r for r in bill(layout).rows if "own" in r.parts]
    assert [(one.count, one.parts) for one in rows] == [(2, ("own", "other"))]


def codes(layout, *subjects):
    return [(f.code, f.status) for f in complete(layout) if f.subjects in [(s,) for s in subjects]]


def without(layout, part, kind):
    """The layout where a part does not say what its rooms of that kind are bought as."""
    kept = [
        r
        for r in layout.interfaces
        if not (isinstance(r, Hardware) and r.part == part and kind in r.fills)
    ]
    return replace(layout, interfaces=tuple(kept))


def test_what_no_part_says_is_asked_and_still_listed():
    layout = without(quoin().layout(), "volume", "can")
    assert codes(layout, "volume.can") == [("complete.hardware", "warn")]
    found = [r for r in bill(layout).rows if r.what == "what volume.can is"]
    assert [(r.count, r.parts) for r in found] == [(1, ("volume",))]


def test_what_two_records_say_is_no_list():
    layout = quoin().layout()
    more = Hardware(part="volume", what="a second knob", fills=("knob",))
    twice = replace(layout, interfaces=(*layout.interfaces, more))
    assert codes(twice, "volume.knob") == [("complete.hardware.twice", "fail")]


def test_a_cut_cover_is_not_bought_as_well():
    layout = quoin().layout()
    cover = next(p for p in layout.pieces if p.part == "control")
    bought = Hardware(part="control", what="cover", fills=("cover",))
    twice = replace(layout, interfaces=(*layout.interfaces, bought))
    assert codes(layout, cover.id) == []
    assert ("complete.hardware.twice", "fail") in codes(twice, cover.id)


def test_ferrules_are_as_many_as_their_rooms(layouts):
    layout = layouts["teasel"]
    few = [
        replace(r, count=5) if isinstance(r, Hardware) and r.what == "string ferrule" else r
        for r in layout.interfaces
    ]
    spoiled = replace(layout, interfaces=tuple(few))
    assert codes(spoiled, "bridge.sleeve.1") == [("complete.hardware.count", "fail")]


def test_a_screw_is_no_shorter_than_it_reaches(layouts):
    layout = layouts["teasel"]
    short = [
        replace(r, length=r.reach - 1.0) if isinstance(r, Screw) and r.part == "bridge" else r
        for r in layout.interfaces
    ]
    found = codes(replace(layout, interfaces=tuple(short)), "bridge.screw.1")
    assert ("complete.screw.length", "fail") in found


@pytest.mark.parametrize("kind", sorted(COUNTED_ELSEWHERE))
def test_no_record_buys_what_another_counts(kind):
    with pytest.raises(InputError, match=f"fills of a Hardware of own.*'{kind}'"):
        Hardware(part="own", what="a thing", fills=(kind,))


def test_a_link_without_a_way_is_named():
    layout = quoin().layout()
    wires = [p.id for p in layout.placed if p.id.startswith("wire")]
    cut = replace(layout, links=(*layout.links, Link("strap.tail", "volume")))
    rows = [r for r in bill(cut).rows if r.group is Group.WIRE]
    assert wires and any("strap.tail to volume" in r.note for r in rows)


def test_metal_without_a_ground_way_is_named():
    """Without its hole no ground wire can be measured: the list says from which part it is due."""
    layout = quoin().layout()
    found = [r for r in bill(layout).rows if r.what == "ground wire"]
    assert [(r.parts, "not counted" in r.note) for r in found] == [(("bridge",), False)]
    bare = quoin(swap={"ground": None}).layout()
    (row,) = [r for r in bill(bare).rows if r.what == "ground wire"]
    assert row.count == 0.0 and row.parts == ("bridge",)
    assert row.note.endswith("not counted, for no way leads there yet: from bridge")


def test_rows_of_one_thing_are_added_up():
    one = Row(Group.HARDWARE, "knob", 1, (("diameter", 19.0),), ("a",))
    rows = merged([one, replace(one, parts=("b",)), replace(one, sizes=(("diameter", 20.0),))])
    assert [(r.count, r.parts) for r in rows] == [(2, ("a", "b")), (1, ("a",))]


@pytest.mark.parametrize(
    "mm, words",
    [
        (6.35, "1/4"),
        (22.225, "7/8"),
        (25.4, "1"),
        (44.45, "1 3/4"),
        (0.396875, "1/64"),
        (0.254, "0.010"),
        (22.2, "0.874"),
        (33.0, "1.30"),
    ],
)
def test_inches(mm, words):
    assert inches(mm) == words


@pytest.mark.parametrize(
    "inch, number", [(0.112, "no. 4"), (0.138, "no. 6"), (0.164, "no. 8"), (0.190, "no. 10")]
)
def test_a_screws_number(inch, number):
    """Diameters of wood screws by number: ASME B18.6.1 (from memory)."""
    assert number_of(inch * 25.4) == number


def test_a_thread_between_two_numbers():
    assert number_of(3.3333) == "no. 5 or 6"
