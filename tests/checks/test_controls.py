"""`control-clamp`, `control-room`, `cover-fit` by hand. Nut and washer take 4 mm of a bush (common
practice, no source)."""

from __future__ import annotations

import math

import pytest

from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.interface import Bush, Fit
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.parts.cavity import Cover
from bodycad.parts.control import MiniToggle, Pot, PushPull, Rotary, SmallPot, Toggle
from bodycad.shop import Shop
from bodycad.tools import Drill
from tests.checks.bench import ask, bevel, board, controls, holds, none, one
from tests.sample import Loose


def pot(
    name: str = "pot", x: float = 0.0, y: float = -80.0, panel: float = 6.0, **changes
) -> Placed:
    return Placed(name, Pot("control", panel, **changes), Place(x, y))


@pytest.mark.parametrize(
    "bush, spare, status", [(12.0, 2.0, "pass"), (10.5, 0.5, "warn"), (9.5, -0.5, "fail")]
)
def test_bush_through_the_top(bush, spare, status):
    """The bush less 4, less 6 mm of wood."""
    holds(
        one(board(controls(), pot(bush=bush)), "control-clamp", "pot", "control.cavity"),
        status,
        spare,
    )


@pytest.mark.parametrize(
    "bush, spare, status", [(18.5, 2.3, "pass"), (17.0, 0.8, "warn"), (16.0, -0.2, "fail")]
)
def test_bush_under_a_bevel(bush, spare, status):
    """20 mm left under the plane z = -u/4, the pot at u = 40: the washer (4.8 + 4 mm) bears on the
    wood at u = 31.2, which stands 20 - 7.8 = 12.2 mm over the cavity."""
    layout = board(
        controls(20.0), pot(panel=20.0, bush=bush), contours=[bevel("front", (-40.0, 0.0), 0.0)]
    )
    holds(one(layout, "control-clamp", "pot", "control.cavity"), status, spare)


@pytest.mark.parametrize(
    "depth, spare, status", [(30.0, 5.5, "pass"), (34.0, 1.5, "warn"), (36.0, -0.5, "fail")]
)
def test_toggle_to_the_cover(depth, spare, status):
    """44 - 6 of wood - 2.5 of cover = 35.5 mm for the toggle."""
    layout = board(
        controls(), Placed("toggle", Toggle("control", 6.0, depth=depth), Place(0.0, -80.0))
    )
    holds(one(layout, "control-room", "toggle", "control.cover"), status, spare)


@pytest.mark.parametrize(
    "off, spare, status",
    [(8.0, 5.0, "pass"), (11.5, 1.5, "warn"), (12.5, 0.5, "fail"), (14.0, -1.0, "fail")],
)
def test_can_to_the_wall(off, spare, status):
    """The wall at 25, the can's radius 12."""
    holds(
        one(board(controls(), pot(y=-80.0 + off)), "control-room", "pot", "control.cavity"),
        status,
        spare,
    )


@pytest.mark.parametrize(
    "apart, spare, status",
    [(27.0, 3.0, "pass"), (25.5, 1.5, "warn"), (24.5, 0.5, "fail"), (20.0, 0.0, "fail")],
)
def test_can_to_can(apart, spare, status):
    layout = board(controls(length=90.0), pot("one", -apart / 2), pot("two", apart / 2))
    holds(one(layout, "control-room", "one", "two"), status, spare)


def test_order_of_placing_does_not_matter():
    parts = controls(length=90.0), pot("one", -14.0), pot("two", 14.0)
    found = [
        sorted((f.subjects, f.value, f.status, f.text) for f in ask(board(*order), "control-room"))
        for order in (parts, parts[::-1])
    ]
    assert found[0] == found[1]


@pytest.mark.parametrize(
    "gap, least, finished, most",
    [
        (0.2, "pass", "pass", "pass"),
        (0.15, "pass", "warn", "pass"),
        (0.08, "warn", "fail", "pass"),
        (0.03, "fail", "fail", "pass"),
        (0.4, "pass", "pass", "warn"),
        (0.6, "pass", "pass", "fail"),
    ],
)
def test_gap_round_the_cover(gap, least, finished, most):
    """One wall's film of 0.12 comes off the gap."""
    found = [
        f
        for f in ask(board(controls(cover=Cover(gap=gap))), "cover-fit")
        if f.subjects[0] == "control.cover"
    ]
    assert len(found) == 3
    for finding, status, value in zip(found, (least, most, finished), (gap, gap, gap - 0.12)):
        holds(finding, status, value)


@pytest.mark.parametrize("ledge, status", [(4.0, "pass"), (3.0, "warn"), (2.0, "fail")])
def test_ledge(ledge, status):
    holds(
        one(
            board(controls(cover=Cover(ledge=ledge))),
            "cover-fit",
            "control.cavity",
            "control.recess",
        ),
        status,
        ledge,
    )


@pytest.mark.parametrize("ledge, status", [(4.5, "pass"), (3.75, "warn"), (3.0, "fail")])
def test_screw_on_the_rim(ledge, status):
    """A 9 mm boss about a screw on the rim; the recess ends `ledge` beyond it: the lesser of 9 and
    2 ledge."""
    layout = board(controls(cover=Cover(ledge=ledge, screws=((0.0, 25.0),))))
    holds(
        one(layout, "cover-fit", "control.screw.1", "control.cavity"), status, min(9.0, 2.0 * ledge)
    )


def test_a_thicker_film_jams_the_cover():
    layout = board(controls(), shop=Shop(finish=0.25))
    holds(next(f for f in ask(layout, "cover-fit") if "finished" in f.text), "fail", -0.05)


@pytest.mark.parametrize("name", ["control-clamp", "control-room", "cover-fit"])
def test_nothing_to_ask(name):
    assert [f.status for f in ask(board(), name)] == ["skip"]
    assert none(board(), name, "pot", "control.cavity")


def test_a_cavity_without_controls():
    assert [f.status for f in ask(board(controls()), "control-room")] == ["skip"]


def said(name: str, voids=(), rooms=(), says=()) -> Placed:
    return Placed(name, Loose(tuple(voids), tuple(rooms), tuple(says)))


def box(face: str, low: float, high: float) -> Void:
    """A round hole 40 mm across at (0, 0), open at its face."""
    plan = circle(40.0)
    return Void("box.hole", "box", face, "POCKET", Prism(plan, low, high), frozenset({face}))


@pytest.mark.parametrize(
    "face, low, high, above, below",
    [("back", -44.0, -6.0, 4.0, 14.0), ("front", -38.0, 0.0, 10.0, 8.0)],
)
def test_a_block_that_lies_in_an_open_hole(face, low, high, above, below):
    """A block from z = -30 to -10 in a hole that ends at -6 or at -38: to that end, and to the open
    face, which no cover closes."""
    block = Room("box.block", "box", "battery", bore((0.0, 0.0, -30.0), (0, 0, 1), 34.0, 20.0))
    fit = Fit(part="box", kind="control", name="block", room=block.id, outer="box.hole")
    layout = board(said("box", [box(face, low, high)], [block], [fit]))
    end, mouth = (above, below) if face == "back" else (below, above)
    holds(one(layout, "control-room", "box", "box.hole", text="the bottom"), "pass", end)
    bare = one(layout, "control-room", "box", face)
    holds(bare, "pass", mouth)
    assert "no cover is stated" in bare.text
    holds(one(layout, "control-room", "box", "box.hole", text="the wall"), "pass", 3.0)


def test_controls_one_over_the_other_count_the_height_between_them():
    """3 mm apart in plan and 4 in height: 5 mm."""
    blocks = [
        Room(f"{name}.r", name, "part", Prism(circle(10.0, x, 0.0), low, low + 6.0))
        for name, x, low in (("one", -6.5, -40.0), ("two", 6.5, -30.0))
    ]
    fits = [
        Fit(part=room.part, kind="control", name="part", room=room.id, outer="box.hole")
        for room in blocks
    ]
    layout = board(
        said("box", [box("back", -44.0, -6.0)]),
        *(said(room.part, (), [room], [fit]) for room, fit in zip(blocks, fits, strict=True)),
    )
    holds(one(layout, "control-room", "one", "two"), "pass", 5.0)


@pytest.mark.parametrize(
    "face, start, way, clamps, wood",
    [
        ("edge", (-201.0, 0.0, -22.0), (1.0, 0.0, 0.0), 12.0, 10.0),
        ("back", (0.0, 0.0, -44.0), (0.0, 0.0, 1.0), 5.5, 4.0),
    ],
)
def test_a_bush_through_the_side_and_through_the_back(face, start, way, clamps, wood):
    """A pocket from the front, 40 mm deep, 10 mm in from the end of the board: 10 mm of wood at the
    end, 4 at the back."""
    pocket = Prism(rectangle(380.0, 60.0), -40.0, 0.0)
    inside = Void("box.hole", "box", "front", "POCKET", pocket, frozenset({"front"}))
    hole = Void(
        "b.hole",
        "b",
        face,
        "BORE",
        bore(start, way, 10.0, wood + 1.0),
        frozenset({face}),
        frozenset({inside.id}),
    )
    at = (-200.0, 0.0, -22.0) if face == "edge" else start
    bush = Bush(part="b", hole=hole.id, under=inside.id, at=at, clamps=clamps, washer=9.0)
    layout = board(said("box", [inside]), said("b", [hole], (), [bush]))
    found = one(layout, "control-clamp", "b", inside.id)
    holds(found, "pass", clamps - wood)
    assert math.dist(*found.at) == pytest.approx(wood)


@pytest.mark.parametrize(
    "hole, thread, play, most",
    [
        (9.6, 9.4, ("pass", 0.2), "pass"),
        (9.4, 9.4, ("warn", 0.0), "pass"),
        (9.3, 9.4, ("fail", -0.1), "pass"),
        (10.5, 9.4, ("pass", 1.1), "warn"),
        (11.0, 9.4, ("pass", 1.6), "fail"),
    ],
)
def test_a_hole_lets_its_bush_through_with_little_play(hole, thread, play, most):
    layout = board(controls(), pot("pot", hole=hole, thread=thread))
    subjects = "pot", "pot.hole"
    found = {f.code: f for f in ask(layout, "control-clamp") if f.subjects == subjects}
    assert found.keys() == {"control-clamp.play", "control-clamp.play.most"}
    holds(found["control-clamp.play"], *play)
    holds(found["control-clamp.play.most"], most, hole - thread)


@pytest.mark.parametrize(
    "drills, size",
    [
        ((), "7 mm"),
        ((7.5, 8.5), "7.5 mm"),
        ((9.5, 7.2), "7.2 mm"),
        ((9.0,), "about 7.2 mm"),
    ],
)
def test_a_wider_hole_is_one_that_a_drill_on_hand_makes(drills, size):
    """A thread of 6.9 mm wants 7.2 mm; the usual set has 7 and 7.5 mm."""
    own = {"shop": Shop(drills=tuple(Drill(d, 90.0) for d in drills))} if drills else {}
    layout = board(controls(), pot("pot", hole=6.8, thread=6.9), **own)
    cures = [f.cure for f in ask(layout, "control-clamp") if f.code == "control-clamp.play"]
    assert cures == [f"drill pot.hole to {size}"]


def test_a_routed_hole_is_asked_where_it_is_narrowest_and_widest():
    """A square hole of 10 mm for a bush of 9.4: 0.6 across its sides, 10 sqrt 2 - 9.4 across its
    corners."""
    inside = box("back", -44.0, -6.0)
    plan = Prism(rectangle(10.0, 10.0), -7.0, 0.0)
    hole = Void("b.hole", "b", "front", "POCKET", plan, frozenset({"front"}), {inside.id})
    given = {"part": "b", "hole": hole.id, "under": inside.id, "at": (0.0, 0.0, 0.0)}
    bush = Bush(**given, clamps=8.0, washer=9.0, diameter=9.4)
    layout = board(said("box", [inside]), said("b", [hole], (), [bush]))
    found = {f.code: f for f in ask(layout, "control-clamp")}
    holds(found["control-clamp.play"], "pass", 0.6)
    holds(found["control-clamp.play.most"], "fail", 10.0 * 2.0**0.5 - 9.4)


def test_a_cover_that_hides_nothing_is_named():
    """A lid that fits its recess, but does not say what it covers."""
    lid = Room("box.lid", "box", "cover", Prism(circle(39.4), -44.0, -41.0))
    fit = Fit(part="box", kind="cover", name="lid", room=lid.id, outer="box.hole")
    layout = board(said("box", [box("back", -44.0, -41.0)], [lid], [fit]))
    found = one(layout, "cover-fit", "box.lid")
    assert found.status == "fail" and "states no Hides" in found.text
    holds(one(layout, "cover-fit", "box.lid", "box.hole", text="as cut;"), "pass", 0.3)


@pytest.mark.parametrize(
    "depth, spare, status", [(30.0, 5.5, "pass"), (34.0, 1.5, "warn"), (36.0, -0.5, "fail")]
)
def test_a_push_pull_to_the_cover(depth, spare, status):
    """Its switch hangs lower than its can: 35.5 mm of room."""
    pull = Placed("pull", PushPull("control", 6.0, depth=depth), Place(0.0, -80.0))
    layout = board(controls(), pull)
    holds(one(layout, "control-room", "pull.switch", "control.cover"), status, spare)
    holds(one(layout, "control-room", "pull.can", "control.cover"), "pass", 24.5)
    # What is one part stands in itself: can and switch are not held against each other.
    assert none(layout, "control-room", "pull.can", "pull.switch")
    assert layout.rooms_by_id["pull.knob"].shape.box[2::3] == (1.0, 24.0)  # 16 mm, 7 pulled


@pytest.mark.parametrize(
    "kind, across, clamps",
    [(SmallPot, 16.5, 4.0), (Rotary, 28.0, 5.5), (PushPull, 24.0, 7.0), (MiniToggle, 13.2, 5.0)],
)
def test_other_kinds_hang_and_clamp_by_their_own_sizes(kind, across, clamps):
    """The can to the wall at 25 (30 along u for the toggle), the bush less 4 less 3 mm of wood."""
    part = kind("control", 3.0)
    layout = board(controls(3.0), Placed("own", part, Place(0.0, -80.0)))
    rooms = [f for f in ask(layout, "control-room") if f.subjects[1:] == ("control.cavity",)]
    sides = {f.value for f in rooms if "wall" in f.text}
    half = 25.0 - across / 2.0 if kind is not MiniToggle else 25.0 - 12.7 / 2.0
    assert min(sides) == pytest.approx(half)
    holds(one(layout, "control-clamp", "own", "control.cavity"), "pass", clamps - 3.0)
    assert not [f.text for f in ask(layout, "control-clamp") if f.status == "fail"]


def test_a_nut_on_a_slanted_wall_stands_askew():
    """A wall at 45 degrees to the hole: 2 x 9 mm out of square across the washer."""
    plan = Prism(rectangle(60.0, 60.0).moved(-150.0, 0.0, 45.0), -40.0, 0.0)
    inside = Void("box.hole", "box", "front", "POCKET", plan, frozenset({"front"}))
    way, at = (1.0, 0.0, 0.0), (-200.0, 10.0, -22.0)
    shape = bore((-201.0, 10.0, -22.0), way, 10.0, 40.0)
    hole = Void("b.hole", "b", "edge", "BORE", shape, frozenset({"edge"}), {inside.id})
    bush = Bush(part="b", hole=hole.id, under=inside.id, at=at, clamps=40.0, washer=9.0)
    layout = board(said("box", [inside]), said("b", [hole], (), [bush]))
    found = one(layout, "control-clamp", "b.hole", inside.id)
    assert found.code == "control-clamp.askew"
    holds(found, "fail", 18.0, 0.05)
