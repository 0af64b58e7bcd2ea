"""`complete`: nothing is forgotten, and every hole opens where it should."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bodycad.checks.rules.complete import complete
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.blank import on_edge
from bodycad.layout.interface import (
    COUNTED_ELSEWHERE,
    Bush,
    Land,
    Mass,
    Saddle,
    Screw,
    StringHole,
    Terminal,
    Way,
)
from bodycad.layout.layout import Link, Placed
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.parts.channel import Channel
from bodycad.parts.control import Pot
from bodycad.parts.jack import EndJack, StrapButton
from bodycad.words import RoomKind
from tests.checks.bench import (
    ask,
    board,
    cavity,
    controls,
    cut,
    hardtail,
    holds,
    humbucker,
    necked,
    one,
)
from tests.drawn import layout_of
from tests.sample import Loose

OUTLINE = board().skin.outline


def whole(*less: str, links=None):
    """A complete set of parts, without those named."""
    parts = (
        necked(),
        hardtail(),
        humbucker(60.0),
        controls(),
        Placed("pot", Pot("control", 6.0), Place(0.0, -80.0)),
        Placed("jack", EndJack("control", -22.0, 180.0), on_edge(OUTLINE, -200.0, -80.0)),
        Placed("strap.tail", StrapButton(-22.0), on_edge(OUTLINE, -200.0, 0.0)),
        Placed("strap.horn", StrapButton(-22.0), on_edge(OUTLINE, 150.0, 150.0)),
        Placed(
            "wire",
            Channel((60.0, -30.0, -12.0), (20.0, -75.0, -30.0), ("pickup.route", "control.cavity")),
        ),
    )
    wires = (Link("pickup", "pot"), Link("pot", "jack")) if links is None else links
    return board(
        *(p for p in parts if p.id not in less),
        links=[w for w in wires if not {w.one, w.two} & set(less)],
    )


def failures(layout) -> list[str]:
    return [f.text for f in ask(layout, "complete") if f.status != "pass"]


def test_a_whole_body():
    """Neck 1 + 4 x 2, bridge 6 + 6 + 5, pickup 2 + 4, cavity 2, pot 1, jack 2, buttons 2, channel
    1: 40."""
    found = ask(whole(), "complete")
    assert [f.status for f in found] == ["pass"]
    assert found[0].text.startswith("9 parts, 40 cuts and holes")


@pytest.mark.parametrize(
    "less, words",
    [
        (("neck",), "0 of a neck joint"),
        (("bridge",), "no part states a Saddle"),
        (("strap.horn",), "1 of two strap buttons"),
        (("pot",), "0 of a control"),
        (("jack",), "0 of a jack"),
    ],
)
def test_a_forgotten_part(less, words):
    assert any(words in text for text in failures(whole(*less)))


@pytest.mark.parametrize(
    "links, missing",
    [
        ((Link("pot", "jack"),), "pickup"),
        ((Link("pickup", "pot"),), "jack"),
        ((Link("pickup", "jack"),), "pot"),
    ],
)
def test_a_forgotten_connection(links, missing):
    assert failures(whole(links=links)) == [f"{missing} has no connection to anything"]


def test_a_body_without_pickups_needs_no_controls():
    layout = whole("pickup", "pot", "jack", "control", "wire")
    assert failures(layout) == []


@pytest.mark.parametrize("depth, short", [(8.0, None), (5.5, -0.5)])
def test_a_hole_that_stops_short(depth, short):
    """6 mm of wood over the cavity."""
    hole = cut(
        "hole", bore((0.0, 0.0, 0.0), (0, 0, -1), 8.0, depth), operation="BORE", meets=("b.cut",)
    )
    layout = board(cavity("b", 0.0, 0.0, 40.0, 40.0, 6.0), hole)
    if short is None:
        assert not [f for f in ask(layout, "complete") if f.subjects == ("hole.cut", "b.cut")]
    else:
        holds(one(layout, "complete", "hole.cut", "b.cut"), "fail", short)


def test_a_part_without_a_hole():
    assert "empty has no cut, no hole and no room" in failures(board(Placed("empty", Loose())))


PLATE = Prism(rectangle(30.0, 30.0), 0.0, 2.0)
UNSTATED = {
    "pickup": ("complete.fit", "complete.poles", "complete.terminal"),
    "ring": ("complete.hides", "complete.land"),
    "pole": ("complete.poles",),
    "plate": ("complete.land",),
    "saddle": ("complete.saddle",),
    "post": ("complete.post",),
    "cover": ("complete.fit",),
    "can": ("complete.fit", "complete.bush", "complete.terminal"),
    "knob": ("complete.sweep", "complete.bush"),
    "jack": ("complete.sweep", "complete.terminal"),
    "plug": ("complete.sweep",),
    "button": ("complete.land",),
    "swing": ("complete.sweep",),
    "battery": ("complete.fit", "complete.terminal"),
    "neck": ("complete.joint",),
    "board": ("complete.joint",),
    "screw": ("complete.screw",),
    "ferrule": ("complete.screw",),
    "part": (),
    "guard": ("complete.land",),
    "tool": ("complete.sweep",),
}


@pytest.mark.parametrize("kind", RoomKind)
def test_a_room_that_no_record_speaks_of(kind):
    """Each kind of room that a check must hear of fails by the name of what is missing, and warns
    where the list of parts would lack it; a plain part needs no more than that."""
    given = Placed("own", Loose((), (Room("own.room", "own", kind, PLATE),)))
    found = {
        f.code for f in ask(board(given), "complete") if f.subjects[:1] in (("own",), ("own.room",))
    }
    unbought = set() if kind in COUNTED_ELSEWHERE else {"complete.hardware"}
    assert found == set(UNSTATED[kind]) | unbought


@pytest.mark.parametrize(
    "operation, code",
    [("PILOT", "complete.screw"), ("CHANNEL", "complete.way"), ("POST", "complete.post")],
)
def test_a_hole_that_no_record_speaks_of(operation, code):
    hole = cut("own", bore((0.0, 0.0, 0.0), (0, 0, -1), 3.0, 10.0), operation=operation)
    assert [f.code for f in ask(board(hole), "complete") if f.subjects == ("own.cut",)] == [code]


def solid_plate(*say, room=False, cuts=()) -> Placed:
    rooms = (Room("own.plate", "own", "part", PLATE),) if room else ()
    return Placed("own", Loose(cuts, rooms, say))


HOLE = Void(
    "own.hole", "own", "front", "POCKET", Prism(rectangle(20.0, 20.0), -10.0, 0.0), {"front"}
)
LIES = Land(part="own", name="own.land", face="front", plan=rectangle(30.0, 30.0))
ENDS = Terminal(part="own", kind="signal", voids=("own.hole",), linked=False)
WAY = Way(part="own", hole="own.hole", kind="signal", through=("own.hole",))


@pytest.mark.parametrize(
    "given, faulty",
    [
        ({"cuts": (HOLE,)}, True),
        ({"cuts": (HOLE,), "room": True}, False),
        ({"cuts": (HOLE,), "say": (ENDS,)}, False),
        ({"cuts": (HOLE,), "say": (WAY,)}, False),
        ({"cuts": (HOLE,), "say": (ENDS, LIES)}, True),
        ({"say": (LIES,)}, True),
        ({"say": (LIES,), "room": True}, False),
        ({"say": (Mass(part="own", kg=0.1),)}, False),
    ],
)
def test_a_part_that_nothing_holds_against_the_wood(given, faulty):
    """A pocket, or a plate on the front, of a part without rooms; wires alone fill none."""
    layout = board(solid_plate(*given.pop("say", ()), **given))
    found = [f for f in ask(layout, "complete") if f.code == "complete.rooms"]
    assert [f.subjects for f in found] == [("own",)] * faulty
    assert all(f.status == "fail" and "no room" in f.text for f in found)


def test_a_hollow_that_another_part_uses_needs_no_room():
    pot = Placed("pot", Pot("own", 6.0))
    hollow = Void(
        "own.cavity", "own", "back", "POCKET", Prism(rectangle(50.0, 50.0), -44.0, -6.0), {"back"}
    )
    layout = board(Placed("own", Loose((hollow,))), pot)
    assert not [f for f in ask(layout, "complete") if f.code == "complete.rooms"]


def test_a_bush_that_does_not_say_how_wide_it_is():
    hole = bore((0.0, 0.0, 0.0), (0, 0, -1), 10.0, 10.0)
    cuts = (Void("own.hole", "own", "front", "BORE", hole, {"front"}),)
    given = {"part": "own", "hole": "own.hole", "under": "own.hole", "at": (0.0, 0.0, 0.0)}
    for diameter, faults in ((None, [("own.hole",)]), (9.4, [])):
        bush = Bush(**given, clamps=8.0, washer=9.0, diameter=diameter)
        found = ask(board(solid_plate(bush, room=True, cuts=cuts)), "complete")
        assert [f.subjects for f in found if f.code == "complete.bush.diameter"] == faults


def saying(*say) -> Placed:
    """One pilot from the front at (0, 0), a saddle's room over it, and what is stated of them."""
    hole = bore((0.0, 0.0, 0.0), (0, 0, -1), 3.0, 10.0)
    cuts = (Void("own.hole", "own", "front", "PILOT", hole, frozenset({"front"})),)
    return Placed("own", Loose(cuts, (Room("own.block", "own", "saddle", PLATE),), say))


DRIVEN = {"part": "own", "number": 1, "hole": "own.hole", "way": (0.0, 0.0, -1.0), "thread": 4.0}


@pytest.mark.parametrize(
    "say, code",
    [
        (Screw(**DRIVEN, at=(0.0, 0.0, 0.0), reach=10.0), "complete.screw.seat"),
        (Screw(**DRIVEN, at=(0.3, 0.0, 0.0), reach=10.0, flange=8.0), "complete.place"),
        (StringHole(part="own", hole="own.hole", at=(0.0, 1.0, 0.0)), "complete.place"),
        (
            Saddle(
                part="own",
                id="own.block",
                at=(20.0, 0.0, 9.0),
                along=(1.0, 0.0, 0.0),
                ahead=6.0,
                behind=6.0,
                low=9.0,
                high=12.0,
            ),
            "complete.place",
        ),
    ],
)
def test_a_record_that_does_not_agree_with_the_wood(say, code):
    found = [f for f in ask(board(saying(say)), "complete") if f.code == code]
    assert len(found) == 1 and found[0].status == "fail"


def test_a_sound_screw_is_no_fault():
    say = Screw(**DRIVEN, at=(0.0, 0.0, 0.0), reach=10.0, flange=8.0)
    found = {f.code for f in ask(board(saying(say)), "complete")}
    assert not found & {"complete.screw", "complete.screw.seat", "complete.place"}


def test_a_linked_part_says_where_its_wires_end():
    layout = board(saying(), hardtail(), links=(Link("own", "bridge"),))
    assert ("own",) in [
        f.subjects for f in ask(layout, "complete") if f.code == "complete.terminal"
    ]


def test_what_is_connected_leads_to_a_jack():
    """A pickup that is joined to another one alone is not heard."""
    layout = layout_of("teasel")
    pairs = ("pickup.neck", "pickup.bridge"), ("toggle", "volume"), ("tone", "jack")
    cut = replace(layout, links=tuple(Link(*pair) for pair in pairs))
    found = [f for f in complete(cut) if f.code == "complete.heard"]
    assert {f.subjects for f in found} == {("pickup.bridge", "pickup.neck"), ("toggle", "volume")}
    assert not [f for f in complete(layout) if f.code == "complete.heard"]
