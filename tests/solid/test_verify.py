"""After the kernel: what it did silently wrong is found and the feature named."""

from __future__ import annotations

from pathlib import Path

import cadquery as cq
import pytest

from bodycad.errors import InputError, SolidError
from bodycad.geometry.plane.build import circle, hull, rectangle
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.edge import Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Contour, Skin
from bodycad.script import load, make
from bodycad.solid import kernel
from bodycad.solid.body import body_solid, carved, room_solids
from bodycad.solid.due import before, tools_of
from bodycad.solid.verify import after
from tests.sample import design
from tests.solid.bodies import BOARD, board, hole, pocket

DEMO = Path(__file__).resolve().parents[2] / "designs" / "teasel.py"
VOIDS = (
    pocket("one", rectangle(40, 60, 5), 20.0),
    pocket("two", rectangle(60, 40, 5, 31.7, 13.3), 15.0),
    hole("drill", bore((-80, 0, 0), (0, 0, -1), 8.0, 20.0, 118.0)),
)


def judged(layout, spoil=lambda body, blank, tools: body):
    tools = tools_of(layout.body)
    made = carved(layout.body, tools)
    spoilt = made._replace(solid=spoil(made.solid, made.blank, tools))
    return after(layout.body, spoilt, tools)


@pytest.mark.parametrize("contours", [False, True])
def test_the_sample_passes_with_a_tight_volume(contours):
    (found,) = judged(design(contours).layout())
    assert found.status == "pass" and found.value < 0.5 and found.unit == "mm3" and found.most
    assert before(design(contours).layout(), tools_of(design(contours).layout())) == ()


def test_closed_specks_are_told():
    """Two pockets whose walls run 0.0004 mm apart leave faces that narrow."""
    layout = board(
        pocket("one", rectangle(40, 60), 20.0), pocket("two", rectangle(40.0008, 30), 25.0)
    )
    made = carved(layout.body, tools_of(layout.body))
    (found,) = after(layout.body, made, tools_of(layout.body))
    assert made.closed == 1e-3 and found.status == "pass"
    assert "narrower than 0.001 mm are closed up in the STEP files" in found.text
    (plain,) = judged(board(*VOIDS))
    assert "closed up" not in plain.text


def test_a_void_that_was_not_cut_is_named():
    def forget(body, blank, tools):
        return kernel.cut(
            blank,
            [(n, kernel.solid_of(s, n)) for n, s in tools.shapes.items() if n != "two"],
            "spoiled",
        )

    (found,) = judged(board(*VOIDS), forget)
    assert (
        found.status == "error"
        and found.subjects == ("two",)
        and "wood is left inside two" in found.text
    )
    assert found.margin < 0


def test_a_compound_cut_is_caught():
    def compound(body, blank, tools):
        return blank.cut(
            cq.Compound.makeCompound([kernel.solid_of(s, n) for n, s in tools.shapes.items()])
        )

    (found,) = judged(board(*VOIDS), compound)
    assert found.status == "error"


def test_wood_lost_elsewhere_is_caught_even_when_every_void_is_right():
    def extra(body, blank, tools):
        return body.cut(cq.Solid.makeBox(10, 10, 10, cq.Vector(-150, -100, -10)))

    (found,) = judged(board(*VOIDS), extra)
    assert (
        found.status == "error"
        and found.subjects == ("body",)
        and "every void is right alone" in found.text
    )


def test_two_faults_of_equal_volume_are_caught_by_the_centre():
    def moved(body, blank, tools):
        plug = cq.Solid.makeBox(10, 10, 10, cq.Vector(-10, -10, -20))
        return kernel.one_solid(cq.Solid(body.wrapped).fuse(plug), "spoiled").cut(
            cq.Solid.makeBox(10, 10, 10, cq.Vector(-150, -100, -10))
        )

    (found,) = judged(board(*VOIDS), moved)
    assert found.status == "error" and "centres are" in found.text


def test_an_invalid_body_is_an_error():
    def open_box(body, blank, tools):
        return cq.Solid(cq.Shell.makeShell(body.Faces()[1:]).wrapped)

    (found,) = judged(board(*VOIDS), open_box)
    assert found.status == "error"


def test_a_cut_that_misses_is_named():
    layout = board(
        *VOIDS,
        pocket("lost", circle(10, 300, 0), 10.0),
        hole("air", bore((0, 0, 30), (0, 0, -1), 5, 20), opens=""),
    )
    found = before(layout.body, tools_of(layout.body))
    assert [(f.status, f.subjects) for f in found] == [("fail", ("lost",)), ("fail", ("air",))]
    assert all("takes no wood" in f.text for f in found)


def test_a_cut_that_a_contour_already_took_misses():
    bevel = Carve(
        profile([(0, -5), (400, -5), (400, 10), (0, 10)]), (-200.0, 0.0), 0.0, (-150.0, 150.0)
    )
    skin = Skin(BOARD, 44.0, Square(), Square(), (Contour("contour.flat", "front", bevel),))
    layout = board(pocket("shallow", rectangle(40, 40), 4.0), skin=skin)
    assert [f.subjects for f in before(layout.body, tools_of(layout.body))] == [("shallow",)]


def test_a_blind_pocket_that_comes_through_is_named():
    layout = board(
        pocket("deep", rectangle(40, 40), 44.0),
        pocket("deeper", rectangle(40, 40, 0, 100, 0), 60.0),
        pocket("meant", rectangle(40, 40, 0, -100, 0), 44.0, opens="front back"),
    )
    found = before(layout.body, tools_of(layout.body))
    assert [(f.status, f.subjects) for f in found] == [("fail", ("deep",)), ("fail", ("deeper",))]
    assert "comes out of the back" in found[0].text and "44 mm body" in found[0].text


def test_a_blind_hole_that_meets_a_scoop_is_named():
    scoop = Carve(circle(200, 0, -44 - 88), (0.0, 0.0), 0.0, (-60.0, 60.0))
    skin = Skin(BOARD, 44.0, Square(), Square(), (Contour("contour.belly", "back", scoop),))
    layout = board(pocket("p", rectangle(20, 20), 33.0), skin=skin)
    (found,) = before(layout.body, tools_of(layout.body))
    assert found.subjects == ("p",) and "back" in found.text


def test_a_pocket_that_overruns_the_edge_is_blind_where_there_is_wood():
    """The demo's neck pocket runs on past the mouth, where a deep heel contour meets it in the
    air."""
    layout = make(load(DEMO), {"heel_sculpt": 16.0}).layout()
    assert before(layout.body, tools_of(layout.body)) == ()


def test_snapping_is_reported_as_a_warning():
    layout = board(pocket("one", circle(20), 20.0), pocket("two", circle(12, 16 + 1e-8, 0), 25.0))
    (found,) = before(layout.body, tools_of(layout.body))
    assert (
        found.status == "warn" and set(found.subjects) == {"one", "two"} and "grown" in found.text
    )


def test_loose_wood_is_an_error_that_names_the_voids_beside_it():
    trench = [
        pocket(
            f"side{k}",
            rectangle(60, 6).moved(0, 27).moved(turn_deg=90 * k),
            44.0,
            opens="front back",
        )
        for k in range(4)
    ]
    with pytest.raises(
        SolidError,
        match=r"falls into 2 pieces; loose: 1.014e\+05 mm3 at .* beside side0, side1, side2, side3",
    ):
        body_solid(board(*trench))


def test_a_void_of_nothing_is_refused_by_id():
    with pytest.raises(InputError, match="void nil .*low lies under its high"):
        body_solid(board(pocket("nil", circle(10), 0.0, -5.0, opens="")))


def test_rooms_are_solids_with_their_names():
    rooms = room_solids(design().layout())
    assert [r.id for r in rooms] == ["a.body"]
    assert kernel.volume(rooms[0].solid) == pytest.approx(
        design().layout().rooms[0].shape.volume, rel=1e-9
    )
    assert len(rooms[0].colour) == 4 and all(0.0 <= c <= 1.0 for c in rooms[0].colour)


def test_rooms_of_every_shape():
    for shape in (
        Prism(hull([(0, 0, 5), (20, 0, 8)]), -10.0, 5.0, (0.02, 0.0)),
        bore((0, 0, 5), (0, 0.2, -1), 6, 30, 118.0),
    ):
        assert kernel.solid_of(shape, "room").isValid()
