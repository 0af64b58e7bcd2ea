"""Near misses that the kernel gets wrong without a word, taken out before it sees them.

References: plan areas by exact arc booleans times depths; the raw failures were measured with OCCT
7.9.3.
"""

from __future__ import annotations

import math
import random
from dataclasses import replace

import pytest

from bodycad.geometry.plane.boolean import union
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.void import Void
from bodycad.solid import kernel
from bodycad.solid.body import body_solid
from bodycad.solid.due import tools_of
from bodycad.solid.snap import GROW, snapped
from bodycad.solid.touch import near_miss
from bodycad.solid.verify import after
from tests.solid.bodies import BOARD, board, hole, pocket

SLAB = BOARD.area * 44.0


def removed(layout):
    return SLAB - kernel.volume(body_solid(layout))


def plan_volume(voids):
    """Exact volume of overlapping front pockets: union areas summed over their depths."""
    depths = sorted({-v.low for v in voids})
    return sum(
        (d - c) * sum(r.area for r in union([v.shape.profile for v in voids if -v.low >= d]))
        for c, d in zip([0.0, *depths], depths)
    )


def tangent_pairs(gap, seed):
    """Four pairs of bores that touch from outside, `gap` mm apart (negative: overlapping)."""
    some, voids = random.Random(seed), []
    for k in range(4):
        x, y, turn = -120 + 70 * k, some.uniform(-60, 60), some.uniform(0, 6.28)
        r, q = some.choice((8, 10, 12)), some.choice((4, 5, 6))
        d = r + q + gap * some.choice((-1, 1))
        voids += [
            pocket(f"big{k}", circle(2 * r, x, y), 20.0),
            pocket(
                f"small{k}", circle(2 * q, x + d * math.cos(turn), y + d * math.sin(turn)), 25.0
            ),
        ]
    return voids


@pytest.mark.parametrize("gap", [0.0, 1e-12, 1e-9, 1e-8, 3e-8, 1e-7, 3e-7])
@pytest.mark.parametrize("seed", [2, 5])
def test_bores_tangent_from_outside(gap, seed):
    layout = board(*tangent_pairs(gap, seed))
    assert len(tools_of(layout.body).notes) == 4
    due = sum(v.shape.volume for v in layout.voids)
    assert removed(layout) == pytest.approx(
        due, rel=2e-3
    )  # 0.0025 mm more on a 4 mm radius is 1.3e-3 of one bore


def test_the_kernel_still_needs_it():
    voids = tangent_pairs(1e-8, 5)
    slab = kernel.extruded(BOARD, (), kernel.level(-44), 44, "the slab")
    raw = kernel.cut(
        slab, [(v.id, kernel.solid_of(replace(v.shape, high=1.0), v.id)) for v in voids], "raw"
    )
    due = sum(v.shape.volume for v in voids)
    assert raw.isValid() and abs(SLAB - kernel.volume(raw) - due) > 500.0, (
        "this kernel cuts tangent bores correctly: the rule may go"
    )


CASES = {
    "equal bores 1e-6 apart": (circle(20), circle(20, 1e-6, 0)),
    "bore tangent to a wall from inside": (rectangle(30, 40, 4), circle(12, 9 + 1e-6, 3)),
    "wall 1e-5 apart": (rectangle(30, 40, 4), rectangle(20, 30, 3, 5 - 1e-5, 0)),
    "foil between pockets 1e-6": (rectangle(30, 40, 4), rectangle(30, 30, 3, 30 + 1e-6, 0)),
    "foil between pockets 1e-5": (rectangle(30, 40, 4), rectangle(30, 30, 3, 30 + 1e-5, 0)),
    "foil between pockets 1e-4": (rectangle(30, 40, 4), rectangle(30, 30, 3, 30 + 1e-4, 0)),
    "foil round a bore": (circle(20), circle(20 + 2e-4)),
    "pockets back to back": (rectangle(30, 40, 4), rectangle(30, 30, 3, 30, 0)),
    "overlap of 1e-7": (circle(20), circle(12, 16 - 1e-7, 0)),
}


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("turn", [0.0, 33.0])
def test_near_misses_meet(name, turn):
    one, two = (p.moved(turn_deg=turn) for p in CASES[name])
    layout = board(pocket("one", one, 20.0), pocket("two", two, 25.0))
    tools = tools_of(layout.body)
    assert tools.notes and set(tools.notes[0][0]) == {"one", "two"}
    body = kernel.one_solid(body_solid(layout), "the body")
    assert min(face.Area() for face in body.Faces()) > 0.001
    due = plan_volume(layout.voids)
    grow = (one.length + two.length) * 25.0 * GROW * 2.0
    assert SLAB - kernel.volume(body) == pytest.approx(due, abs=grow)


def test_no_foil_is_left_standing():
    layout = board(
        pocket("one", rectangle(30, 40), 20.0),
        pocket("two", rectangle(30, 30, 0, 30 + 1e-5, 0), 20.0),
    )
    foil = kernel.solid_of(Prism(rectangle(0.01, 20, 0, 15, 0), -19.0, -1.0), "probe")
    assert kernel.volume(body_solid(layout).intersect(foil)) < 1e-9


SOUND = {
    "wall shared exactly": (rectangle(30, 40, 4), rectangle(20, 30, 3, 5, 0)),
    "same centre, apart": (circle(20), circle(30)),
    "clear crossing": (rectangle(30, 40, 4), circle(12, 15, 3)),
    "clear gap": (rectangle(30, 40, 4), circle(12, 22, 3)),
    "2 micrometres apart": (circle(20), circle(12, 16.002, 0)),
}


@pytest.mark.parametrize("name", SOUND)
@pytest.mark.parametrize("turn", [0.0, 33.0])
def test_sound_neighbours_are_left_alone(name, turn):
    one, two = (p.moved(turn_deg=turn) for p in SOUND[name])
    assert near_miss(one, two) is None and near_miss(two, one) is None
    layout = board(pocket("one", one, 20.0), pocket("two", two, 25.0))
    assert tools_of(layout.body).notes == ()
    assert removed(layout) == pytest.approx(plan_volume(layout.voids), rel=1e-9)


@pytest.mark.parametrize("room", [1e-7, 1e-4, 0.0, -1e-6])
def test_a_bore_at_the_outline_breaks_out_clearly(room):
    layout = board(pocket("p", circle(20, 190 - room, 0), 10.0, opens="front edge"))
    tools = tools_of(layout.body)
    assert tools.notes and "outline" in tools.notes[0][1]
    assert tools.shapes["p"].profile.box[2] > 200.001
    assert removed(layout) == pytest.approx(math.pi * 1000.0, rel=1e-3)


def test_a_tilted_bore_that_grazes_a_pocket_meets_it():
    wire = Void(
        "wire",
        "p",
        "front",
        "CHANNEL",
        bore((0, 23 + 1e-4, -10), (1.0, 0.0, 0.02), 6.0, 40.0),
        frozenset(),
    )
    layout = board(pocket("p", rectangle(60, 40), 20.0), wire)
    assert [ids for ids, _ in tools_of(layout.body).notes] == [("p", "wire")]
    assert tools_of(layout.body).shapes["wire"].diameter == pytest.approx(6.0 + 2 * GROW)


def test_the_same_shape_twice_is_cut_once():
    again = pocket("again", rectangle(30, 40, 4), 20.0)
    same = replace(again, id="other", shape=Prism(rectangle(30, 40, 4), -20.0, 0.0))
    drill = hole("drill", bore((80, 0, 0), (0, 0, -1), 8, 20, 118.0))
    layout = board(again, same, drill, replace(drill, id="drill.2"))
    tools = tools_of(layout.body)
    assert list(tools.shapes) == ["again", "drill"]
    assert [ids for ids, _ in tools.notes] == [("again", "other"), ("drill", "drill.2")]
    assert removed(layout) == pytest.approx(again.shape.volume + drill.shape.volume, rel=1e-9)


@pytest.mark.parametrize("step", [1e-7, 1e-5, 5e-4])
def test_floors_that_almost_agree_are_put_level(step):
    layout = board(
        pocket("one", rectangle(30, 40), 20.0),
        pocket("two", rectangle(30, 30, 0, 20, 0), 20.0 + step),
    )
    tools = tools_of(layout.body)
    assert tools.shapes["one"].low == tools.shapes["two"].low
    body = body_solid(layout)
    assert min(face.Area() for face in body.Faces()) > 1.0


@pytest.mark.parametrize("below", [1e-6, 1e-5, 1e-4, 9e-4])
def test_a_tool_that_stops_short_of_its_face_leaves_no_skin(below):
    layout = board(pocket("p", rectangle(30, 40), 20.0 - below, -below))
    assert removed(layout) == pytest.approx(30 * 40 * 20.0, rel=1e-9)
    probe = kernel.solid_of(Prism(rectangle(10, 10), -0.001, 0.0), "probe")
    assert kernel.volume(body_solid(layout).intersect(probe)) < 1e-9


def test_the_snapped_body_is_still_judged_right():
    layout = board(pocket("one", circle(20), 20.0), pocket("two", circle(12, 16 + 1e-8, 0), 25.0))
    from bodycad.solid.body import carved

    tools = tools_of(layout.body)
    made = carved(layout.body, tools)
    assert [f.status for f in after(layout.body, made, tools)] == ["pass"]


def test_growing_keeps_heights_and_point_angle():
    drill = bore((0, 0, 0), (0, 0, -1), 8.0, 20.0, 118.0).widened(0.01)
    assert drill.diameter == pytest.approx(8.02) and drill.shoulder == pytest.approx(
        20.0 - 4 / math.tan(math.radians(59))
    )
    assert snapped({"a": Prism(circle(10), -5.0, 0.0)}).notes == ()
