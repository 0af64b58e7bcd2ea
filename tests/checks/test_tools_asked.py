"""Every cut of every workpiece is asked of a tool: void, outline and edge, by id."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from bodycad.checks.rules.reach import drill_reach
from bodycad.checks.runner import answers
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.edge import Chamfer, Cove, Ledge, Rim, Roundover
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.stretch import Stretch
from bodycad.script import load_design
from bodycad.tools import FLAT, SAME, Drill
from bodycad.words import SIDES, Operation
from tests.checks.bench import TABLE, board, controls, cut, hardtail, humbucker, necked, one
from tests.drawn import layout_of
from tests.strangers.bench import quoin

DESIGNS = Path(__file__).resolve().parents[2] / "designs"
TOOLS = ("cutter-corner", "cutter-reach", "drill-reach")
PINLESS = "no drill on hand makes the 6 mm hole pin.1 and 2 more like it"
RIM = Rim(((5.0, 0.0), (2.0, 1.0), (0.0, 5.0)))


def unasked(layout) -> list[str]:
    """What no finding of a tool's check has as a subject."""
    asked = {s for name in TOOLS for f in answers(TABLE[name], layout) for s in f.subjects}
    cuts = []
    for piece in layout.pieces:
        cuts += [void.id for void in piece.voids] + [f"{piece.id}.outline"]
        own = "" if piece is layout.body else f"{piece.id}."
        pins = piece.blank.pins if piece.blank is not None else ()
        cuts += [f"{own}pin.{k + 1}" for k in range(len(pins))]
        for face in SIDES:
            stretches = len(piece.skin.runs(face))
            cuts += [f"{piece.id}.{face}.edge"] if piece.skin.edge(face).drop else []
            cuts += [f"{piece.id}.{face}.edge.{k + 1}" for k in range(stretches)]
    assert len(set(cuts)) == len(cuts)
    return [name for name in cuts if name not in asked]


@pytest.mark.parametrize("operation", list(Operation))
@pytest.mark.parametrize("face", ["front", "back", "edge"])
@pytest.mark.parametrize("round_", [True, False])
def test_any_void_of_any_word(operation, face, round_):
    """Drilled or routed, aslant or upright, from any face."""
    way = {"front": (0.1, 0.0, -1.0), "back": (0.0, 0.0, 1.0), "edge": (1.0, 0.0, 0.0)}[face]
    start = {"front": (0.0, 0.0, 0.0), "back": (0.0, 0.0, -44.0), "edge": (-205.0, 0.0, -20.0)}
    shape = bore(start[face], way, 6.0, 30.0)
    plan = Prism(rectangle(40.0, 30.0, 0.0, -185.0, 0.0), -30.0, -10.0)
    layout = board(cut("odd", shape if round_ else plan, face, operation))
    assert unasked(layout) == []


def test_a_round_pocket_is_routed_and_a_bored_one_is_drilled():
    assert unasked(board(cut("a", Prism(circle(20.0), -15.0, 0.0)))) == []
    assert unasked(board(cut("a", bore((0, 0, 0), (0, 0, -1), 20.0, 15.0)))) == []


@pytest.mark.parametrize("edge", [Roundover(6.0), Cove(4.0), Chamfer(3.0), Ledge((1.5,), 6.0), RIM])
def test_any_edge_of_either_face(edge):
    whole = board(front=edge, back=edge)
    stretch = Stretch(edge, (190.0, 150.0), (-190.0, 150.0))
    assert unasked(whole) == [] and unasked(board(front=stretch, back=(stretch,))) == []


def test_any_shipped_part():
    assert unasked(board(necked(), humbucker(), hardtail(), controls())) == []


def test_whole_bodies():
    for name in ("teasel.py", "teasel_wrong.py"):
        assert unasked(load_design(DESIGNS / name).layout()) == []
    assert unasked(quoin().layout()) == []


def test_a_datum_pins_hole_wants_a_drill_that_goes_through():
    """Teasel's pins are 6 mm, through 44: without that drill its set-up cannot be made."""
    made = load_design(DESIGNS / "teasel.py").layout()
    drills = tuple(drill for drill in made.shop.drills if drill.diameter != 6.0)
    bare = replace(made, shop=replace(made.shop, drills=drills))
    pins = "pin.1", "pin.2", "pin.3"
    assert one(made, "drill-reach", *pins).status == "pass"
    found = one(bare, "drill-reach", *pins)
    assert (found.status, found.text) == ("fail", PINLESS)
    thin, hair = (
        made.with_body(blank=replace(made.blank, pins=tuple(sized)))
        for sized in ([replace(pin, diameter=d) for pin in made.blank.pins] for d in (2.0, 1.0))
    )
    slender = one(thin, "drill-reach", *pins, text="times as deep")
    assert (slender.value, slender.status) == (pytest.approx(22.0), "warn")
    short = one(hair, "drill-reach", *pins, text="reaches")
    assert (short.value, short.status) == (pytest.approx(33.0 - 44.0 - 0.3, abs=0.01), "fail")


@pytest.mark.parametrize("diameter, status", [(7.95, None), (8.0, "warn"), (8.04, "fail")])
def test_what_is_pressed_in_wants_its_own_drill(diameter, status):
    """A sleeve of 7.9 mm in a hole that the bit on hand makes wider drops out."""
    layout = layout_of("teasel")
    drills = [d for d in layout.shop.drills if abs(d.diameter - 7.9) > SAME]
    own = Drill(diameter, 70.0, FLAT)
    layout = replace(layout, shop=replace(layout.shop, drills=(*drills, own)))
    found = [f for f in drill_reach(layout) if f.code == "drill-reach.press"]
    assert [f.status for f in found] == [status] * (status is not None)
    assert all("bridge.ferrule" in f.subjects[0] for f in found)
