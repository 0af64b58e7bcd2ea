"""The instrument put together by solids, beside what `assembly` holds of it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import cadquery as cq
import pytest

from bodycad import Placed, Roundover, Skin, Square, Void, bore
from bodycad.checks.rules import assembly
from bodycad.checks.wood.stand import LOOK, Stand
from bodycad.errors import SolidError
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.layout import Layout
from bodycad.layout.void import Room
from bodycad.script import load_design
from bodycad.solid import child, fitted, kernel
from bodycad.solid.body import carved, in_place
from bodycad.solid.due import tools_of
from tests import sample
from tests.sample import Loose
from tests.strangers.bench import OUTLINE, THICKNESS, quoin

DESIGNS = Path(__file__).parents[2] / "designs"


def wood_of(layout: Layout) -> dict[str, cq.Shape]:
    return {
        piece.id: in_place(carved(piece, tools_of(piece))[0], piece.frame)
        for piece in layout.pieces
    }


@cache
def demo() -> tuple[Layout, dict[str, cq.Shape]]:
    layout = load_design(str(DESIGNS / "teasel.py")).layout()
    return layout, wood_of(layout)


def boxed(low: float) -> Layout:
    """The bench's body without its carve, with a box of a maker's own down to z = `low` in a
    hole of 20 mm that is 12 deep."""
    hole = bore((-60.0, 90.0, 0.0), (0, 0, -1), 20.0, 12.0)
    void = Void("box.pit", "box", "front", "POCKET", hole, frozenset({"front"}))
    solid = bore((-60.0, 90.0, 1.0), (0, 0, -1), 18.0, 1.0 - low)
    box = Placed("box", Loose((void,), (Room("box.can", "box", "part", solid),)))
    return quoin(box, skin=Skin(OUTLINE, THICKNESS, Square(), Roundover(5.0))).layout()


def lying(shape, piece, inside) -> Stand:
    """A 2.5D answer that calls everything clear."""
    x, y, z, *_ = shape.box
    return Stand(LOOK, 0.0, ((x, y, z), (x, y, z)), "the wood")


def errors(found) -> list:
    return [f for f in found if f.status == "error"]


def claim(shape, deep=0.0, bound=0.0, piece="body") -> assembly.Claim:
    return assembly.Claim("a.room", piece, shape, deep, bound)


def test_the_demo_holds():
    layout, wood = demo()
    stated = assembly.claims(layout)
    assert {c.piece for c in stated} == set(wood) and len(wood) > 1
    names = {c.id for c in stated if c.piece == "body"}
    assert {"neck.heel", "neck.board", "string.1.open", "string.6.pressed"} <= names
    *faults, last = fitted.proven(stated, wood)
    assert faults == []
    assert last.code == "proof.assembly" and last.status == "pass"
    assert last.text.startswith(f"{len(stated)} rooms and strings put into the solids")


@pytest.mark.parametrize("name", ["quoin", "teasel_wrong"])
def test_other_bodies_agree_where_they_fail_too(name):
    design = quoin() if name == "quoin" else load_design(str(DESIGNS / f"{name}.py"))
    layout = design.layout()
    assert errors(fitted.proven(assembly.claims(layout), wood_of(layout))) == []


def test_a_wrong_pass_of_the_check_is_an_error_that_names_the_room(monkeypatch):
    """The box stands 2 mm deeper than its hole: check and kernel agree on it until the check is
    made to lie."""
    layout = boxed(-14.0)
    wood = wood_of(layout)
    stated = assembly.claims(layout)
    (own,) = (c for c in stated if (c.id, c.piece) == ("box.can", "body"))
    assert own.deep == pytest.approx(2.0, abs=0.05)
    assert errors(fitted.proven(stated, wood)) == []
    monkeypatch.setattr(assembly, "stand", lying)
    (error,) = errors(fitted.proven(assembly.claims(layout), wood))
    assert error.code == "proof.assembly" and error.subjects == ("box.can", "body")
    # A cylinder of 18 x 2: twice its volume over its surface is r h / (r + h).
    assert error.value == pytest.approx(9.0 * 2.0 / 11.0, abs=1e-3)
    assert "is clear by the checks, shares a lump 1.636 mm thick" in error.text and error.cure
    assert error.at[0] == pytest.approx((-60.0, 90.0, -13.0), abs=1e-3)


def test_a_part_in_another_parts_sheet_is_held_against_the_cut_sheet():
    """A rod through the demo's cover, of which the check is made to say that it goes through an
    opening."""
    layout, wood = demo()
    sheet = layout.pieces[1]
    x0, y0, z0, x1, y1, z1 = layout.rooms_by_id[sheet.id].shape.box
    rod = bore(((x0 + x1) / 2.0, (y0 + y1) / 2.0, z1 + 5.0), (0, 0, -1), 4.0, z1 - z0 + 10.0)
    (error,) = errors(fitted.proven([claim(rod, piece=sheet.id)], wood))
    assert error.subjects == ("a.room", sheet.id)
    stated = {(c.id, c.piece): c for c in assembly.claims(_with(layout, rod))}
    deep = stated["rod.room", sheet.id].deep
    assert deep >= error.value
    assert errors(fitted.proven([claim(rod, deep, piece=sheet.id)], wood)) == []


def _with(layout: Layout, rod) -> Layout:
    return replace(layout, rooms=(*layout.rooms, Room("rod.room", "rod", "part", rod)))


def test_a_string_in_the_wood_is_an_error():
    """Every string is said to be clear; a rod as thick as one, 5 mm under the front, is not."""
    layout = quoin().layout()
    for one in (c for c in assembly.claims(layout) if c.id.startswith("string.")):
        assert one.deep == 0.0
    rod = bore((0.0, 0.0, -5.0), (1, 0, 0), 1.0, 40.0)
    slab = {"body": cq.Solid.makeBox(100.0, 100.0, 44.0, cq.Vector(-50.0, -50.0, -44.0))}
    (error,) = errors(fitted.proven([claim(rod)], slab))
    assert error.value == pytest.approx(0.5 * 40.0 / 40.5, rel=1e-6)


@pytest.mark.parametrize(
    "low, deep, bound, fault",
    [
        (0.0, 0.0, 0.0, False),
        (-0.019, 0.0, 0.0, False),
        (-0.03, 0.0, 0.0, True),
        (-0.03, 0.0, 0.02, False),
        (-3.0, 3.0, 0.0, False),
        (-3.0, 0.0, 0.12, True),
        (1.0, 3.0, 0.0, True),
        (0.0, 0.01, 0.0, False),
    ],
)
def test_how_far_claim_and_kernel_may_differ(low, deep, bound, fault):
    """A block of 20 x 20 let into a slab down to `low`; twice the volume of a skin over its surface
    is its thickness."""
    slab = {"body": cq.Solid.makeBox(100.0, 100.0, 44.0, cq.Vector(-50.0, -50.0, -44.0))}
    block = Prism(rectangle(20.0, 20.0), low, 10.0)
    found = fitted.proven([claim(block, deep, bound)], slab)
    assert len(errors(found)) == fault and found[-1].status == "pass"


def test_a_solid_that_cannot_be_made_is_an_error(monkeypatch):
    def refused(shape, name):
        raise SolidError(f"{name}: no such solid")

    slab = {"body": cq.Solid.makeBox(100.0, 100.0, 44.0, cq.Vector(-50.0, -50.0, -44.0))}
    monkeypatch.setattr(kernel, "solid_of", refused)
    (error,) = errors(fitted.proven([claim(Prism(rectangle(20.0, 20.0), -3.0, 1.0))], slab))
    assert error.code == "proof.assembly" and error.subjects == ("a.room", "body")
    assert "the kernel cannot tell: a.room: no such solid" in error.text


def test_the_child_puts_it_together(tmp_path):
    layout = sample.design().layout()
    handle = child.start(layout, tmp_path, claims=assembly.claims(layout))
    found = child.finish(handle)
    assert [(f.code, f.status) for f in found] == [("solid", "pass"), ("proof.assembly", "pass")]
    wrong = claim(Prism(rectangle(20.0, 20.0, 0.0, -150.0, 0.0), -5.0, 0.0))
    (error,) = errors(child.finish(child.start(layout, tmp_path, claims=[wrong])))
    assert error.subjects == ("a.room", "body")
