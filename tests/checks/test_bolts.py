"""`bolt-seat`, `bolt-grip`, `bolt-tip`, `bolt-edge` by hand. Heel 56 x 76 x 25.4 mm with a 6.4 mm
board on it, pocket 17 mm deep, ferrules 14 mm wide with a 2 mm web (common practice, no source)."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.edge import Roundover
from bodycad.layout.interface import Screw
from bodycad.parts.neckjoint import Bolt, NeckFerrule
from tests.checks.bench import ask, bevel, board, holds, necked, none, one

OTHER = Bolt(20.0, 0.0, 18.0)
SEAT, HOLE = "neck.bolt.1.seat", "neck.bolt.1.hole"


@pytest.mark.parametrize(
    "length, grip, status", [(33.0, 15.0, "pass"), (31.0, 13.0, "warn"), (29.0, 11.0, "fail")]
)
def test_thread_in_the_neck(length, grip, status):
    """Length less web 2 less wood 16."""
    layout = board(necked(Bolt(50.0, -16.0, 16.0, length), OTHER))
    holds(one(layout, "bolt-grip", HOLE, "neck.heel"), status, grip)


@pytest.mark.parametrize(
    "length, spare, status",
    [(33.0, 4.0, "pass"), (36.0, 1.0, "warn"), (37.0, 0.0, "fail"), (39.0, -2.0, "fail")],
)
def test_tip_to_the_fretboard(length, spare, status):
    """25.4 - 6.4 = 19 mm of heel under the board, less a grip of length - 18."""
    layout = board(necked(Bolt(50.0, -16.0, 16.0, length), OTHER))
    found = one(layout, "bolt-tip", HOLE, "neck.board")
    holds(found, status, spare)
    assert ("into" in found.text) == (spare < 0)


@pytest.mark.parametrize(
    "v, spare, status",
    [(-16.0, 10.7, "pass"), (7.0, 1.7, "warn"), (6.5, 1.2, "fail"), (-2.0, -3.3, "fail")],
)
def test_screw_beside_the_truss_rod(v, spare, status):
    """The tip (15 mm in) is past the channel's bottom (19 - 9.5): |v| less half of 6.4 and of
    4.2."""
    layout = board(necked(Bolt(50.0, v, 16.0, 33.0), OTHER))
    holds(one(layout, "bolt-tip", HOLE, "neck.rod"), status, spare)


def test_a_short_screw_under_the_truss_rod_needs_no_room_beside_it():
    """A grip of 9 mm ends under the channel's bottom at 9.5."""
    assert none(board(necked(Bolt(50.0, 2.0, 16.0, 27.0), OTHER)), "bolt-tip", HOLE, "neck.rod")


@pytest.mark.parametrize("wood, status", [(10.0, "pass"), (8.0, "warn"), (5.0, "fail")])
def test_wood_over_the_ferrule(wood, status):
    holds(
        one(board(necked(Bolt(50.0, -16.0, wood), OTHER)), "bolt-seat", SEAT, "neck.pocket"),
        status,
        wood,
    )


@pytest.mark.parametrize("angle, status", [(0.5, "pass"), (1.5, "warn"), (2.5, "fail")])
def test_screws_on_a_tilted_floor(angle, status):
    """The screws stay upright; the rim of the 14 mm flange has 7 tan(angle) less wood over it."""
    layout = board(necked(Bolt(50.0, -16.0, 12.0), OTHER, angle_deg=angle))
    found = one(layout, "bolt-seat", "neck", "neck.pocket")
    holds(found, status, angle)
    assert found.unit == "deg"
    holds(
        one(layout, "bolt-seat", SEAT, "neck.pocket"),
        "pass",
        12.0 - 7.0 * math.tan(math.radians(angle)),
    )


@pytest.mark.parametrize(
    "away, spare, status", [(38.37, -1.37, "fail"), (36.7, 0.3, "warn"), (33.0, 4.0, "pass")]
)
def test_flange_on_a_sculpted_heel(away, spare, status):
    """The heel's bevel rises 1 in 4 from the back; at the seat's level, 11 mm over the back, it has
    come in 44 mm. A screw `away` mm in has 44 - away - 7 mm of land beside its 14 mm flange."""
    layout = board(
        necked(Bolt(50.0, -16.0, 16.0), OTHER),
        contours=[bevel("back", (174.0, away - 16.0), -90.0)],
    )
    found = one(layout, "bolt-seat", SEAT, "contour.back", text="flange")
    holds(found, status, spare)
    assert ("overhangs" in found.text) == (spare < 0)
    assert math.dist(*found.at) == pytest.approx(abs(spare), abs=1e-6)
    # The counterbore is 0.15 mm wider and wants a wall of its own; an overhanging flange is said
    # once.
    walls = [
        f
        for f in ask(layout, "bolt-seat")
        if f.subjects == (SEAT, "contour.back") and "counterbore" in f.text
    ]
    assert len(walls) == (spare > 0)
    for wall in walls:
        holds(wall, "warn" if spare == 4.0 else "fail", spare - 0.075)


def test_a_seat_within_the_bevel_hangs_in_the_air():
    """2 mm past the bevel's line at its level, the screw's own axis is in the air."""
    layout = board(
        necked(Bolt(50.0, -16.0, 16.0), OTHER),
        contours=[bevel("back", (174.0, 46.0 - 16.0), -90.0)],
    )
    holds(one(layout, "bolt-seat", SEAT, "contour.back", text="flange"), "fail", -9.0)


def test_flange_beside_a_roundover_at_its_level():
    """A 20 mm roundover, 5 mm over the back: it has come in 20 - sqrt(400 - 225) = 6.771 mm. The
    screw stands 15 mm from the side of a body 62 mm wide: 15 - 6.771 - 7 = 1.229."""
    layout = board(
        necked(Bolt(50.0, -16.0, 22.0, 40.0), OTHER),
        outline=rectangle(400.0, 62.0),
        back=Roundover(20.0),
    )
    found = one(layout, "bolt-seat", SEAT, "edge", text="flange")
    holds(found, "pass", 15.0 - (20.0 - math.sqrt(175.0)) - 7.0)
    assert math.dist(*found.at) == pytest.approx(1.2288, abs=1e-3)


@pytest.mark.parametrize("wood, status, value", [(27.0, None, 0.0), (30.0, "fail", -3.0)])
def test_a_seat_at_or_behind_the_back(wood, status, value):
    """17 + 27 mm is just the back of a 44 mm board: no counterbore, and the flange lies on the
    back."""
    layout = board(necked(Bolt(50.0, -16.0, wood, 44.0), OTHER))
    assert SEAT not in layout.by_id
    if status is None:
        assert none(layout, "bolt-seat", HOLE, "back")
    else:
        holds(one(layout, "bolt-seat", HOLE, "back"), status, value)
    # The hole then stands for the counterbore: 4.8 mm, 134 mm from the side and 26 from the end.
    holds(one(layout, "bolt-edge", HOLE, "edge"), "pass", 26.0 - 2.4)


@pytest.mark.parametrize(
    "v, spare, status",
    [(20.0, 6.45, "pass"), (23.0, 3.45, "warn"), (24.0, 2.45, "fail"), (30.0, -3.55, "fail")],
)
def test_screw_to_the_heels_edge(v, spare, status):
    """Half the heel's 56 mm less v and half of the 3.1 mm pilot."""
    holds(
        one(board(necked(Bolt(50.0, v, 18.0), OTHER)), "bolt-edge", HOLE, "neck.heel", text="mm"),
        status,
        spare,
    )


@pytest.mark.parametrize(
    "u, v, away, status",
    [
        (50.0, 16.0, 12.0, "pass"),
        (50.0, 19.05, 8.95, "warn"),
        (7.0, 0.0, 7.0, "warn"),
        (6.0, 0.0, 6.0, "fail"),
        (50.0, 30.0, -2.0, "fail"),
    ],
)
def test_diameters_from_a_screw_to_the_heels_edge(u, v, away, status):
    """The axis of a 4.2 mm screw to the nearest side of the 56 x 76 mm heel: 2.5 diameters are 10.5
    mm, 1.5 are 6.3 (the spacing of the NDS commentary, from memory)."""
    layout = board(necked(Bolt(u, v, 18.0), OTHER))
    found = one(layout, "bolt-edge", HOLE, "neck.heel", text="diameters")
    holds(found, status, away / 4.2)
    assert (found.code, found.unit) == ("bolt-edge.diameters", "diameters")


@pytest.mark.parametrize(
    "wood, changes, under, status",
    [
        (18.0, {}, 3.0, "pass"),
        (21.0, {}, 0.0, "pass"),
        (22.5, {}, -1.5, "fail"),
        (22.5, {"proud": 1.5}, 0.0, "pass"),
        (22.5, {"proud": 1.0}, -0.5, "fail"),
        (20.0, {"head": 6.0}, -1.0, "fail"),
        (20.0, {"head": 6.0, "form": "countersunk"}, 1.0, "pass"),
        (26.0, {"height": 2.0, "web": 1.0}, -3.0, "fail"),
    ],
)
def test_a_ferrule_and_its_head_end_under_the_back(wood, changes, under, status):
    """27 mm of body under the 17 mm pocket, less the wood left, less 6 mm of ferrule (or 2 mm of
    web and a flat head of 3); a countersunk head has its length from its rim and adds nothing."""
    layout = board(necked(Bolt(50.0, -16.0, wood), OTHER, ferrule=NeckFerrule(**changes)))
    found = one(layout, "bolt-seat", SEAT, "head")
    holds(found, status, under)
    assert found.code == "bolt-seat.proud"


@pytest.mark.parametrize(
    "line, under, status",
    [(182.0, 3.0, "pass"), (176.0, 1.75, "pass"), (170.0, 0.25, "pass"), (166.0, -0.75, "fail")],
)
def test_a_carve_uncovers_a_ferrule(line, under, status):
    """A plane that falls 15 mm in 60 from a line across the back at x = `line`, toward the nut. The
    screw stands at x = 124 + 50, its flange reaches to 181; its seat is 9 mm deep, 6 mm of ferrule.
    """
    layout = board(
        necked(Bolt(50.0, -16.0, 18.0), OTHER),
        contours=[bevel("back", (line, 0.0), 0.0)],
    )
    found = one(layout, "bolt-seat", SEAT, "head")
    assert found.status == status and found.value == pytest.approx(under, abs=0.004)


def test_a_screw_without_its_rise_is_named():
    """A neck of a maker's own that leaves it out is not passed in silence."""
    layout = board(necked(Bolt(50.0, -16.0, 24.5), OTHER))
    bare = [replace(s, rise=None) if isinstance(s, Screw) else s for s in layout.interfaces]
    layout = replace(layout, interfaces=tuple(bare))
    assert none(layout, "bolt-seat", SEAT, "head")
    assert one(layout, "complete", HOLE).code == "complete.screw.rise"


@pytest.mark.parametrize(
    "v, spare, status", [(20.0, 5.75, "pass"), (22.0, 3.75, "warn"), (23.0, 2.75, "fail")]
)
def test_screw_to_the_pockets_edge(v, spare, status):
    """Half of 56.3 less v and half of the 4.8 mm hole."""
    holds(
        one(board(necked(Bolt(50.0, v, 18.0), OTHER)), "bolt-edge", HOLE, "neck.pocket"),
        status,
        spare,
    )


@pytest.mark.parametrize(
    "apart, fin, status",
    [(19.15, 5.0, "pass"), (18.0, 3.85, "warn"), (16.15, 2.0, "fail"), (10.0, 0.0, "fail")],
)
def test_fin_between_two_counterbores(apart, fin, status):
    """Their distance less 14.15 mm."""
    layout = board(necked(Bolt(50.0, 0.0, 18.0), Bolt(50.0 - apart, 0.0, 18.0)))
    holds(one(layout, "bolt-edge", SEAT, "neck.bolt.2.seat"), status, fin)


@pytest.mark.parametrize(
    "radius, spare, status",
    [(None, 7.925, "pass"), (4.0, 3.925, "warn"), (6.0, 1.925, "fail"), (12.0, -0.925, "fail")],
)
def test_counterbore_to_the_side_and_its_roundover(radius, spare, status):
    """Body 62 mm wide: 31 - 16 - 7.075 = 7.925 to the side; at the back the roundover takes its
    radius.

    With 12 mm the roundover cuts into the counterbore, which is 9 mm deep: no wall is left at the
    back, and the figure is 0."""
    layout = board(
        necked(Bolt(40.0, -16.0, 18.0), OTHER),
        outline=rectangle(400.0, 62.0),
        **({} if radius is None else {"back": Roundover(radius)}),
    )
    found = one(layout, "bolt-edge", SEAT, "edge")
    holds(found, status, max(spare, 0.0))


def test_a_counterbore_out_of_the_side_is_short_by_what_hangs_over():
    """Body 40 mm wide: 20 - 16 - 7.075 = -3.075."""
    layout = board(necked(Bolt(40.0, -16.0, 18.0), OTHER), outline=rectangle(400.0, 40.0))
    found = one(layout, "bolt-edge", SEAT, "edge")
    holds(found, "fail", -3.075)
    assert math.dist(found.at[0], found.at[1]) == pytest.approx(3.075, abs=1e-6)


@pytest.mark.parametrize("name", ["bolt-seat", "bolt-grip", "bolt-tip", "bolt-edge"])
def test_no_neck_no_question(name):
    found = ask(board(), name)
    assert [f.status for f in found] == ["skip"] and "no neck joint" in found[0].text
