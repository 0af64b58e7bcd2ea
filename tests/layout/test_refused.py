"""Layouts that are refused, each in one line that says what to do."""

from __future__ import annotations

import pytest

from bodycad.errors import InputError
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.edge import Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Contour, Skin
from bodycad.layout.blank import blank_round
from bodycad.layout.contours import fall_away
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.layout.void import Room
from bodycad.parts.jack import StrapButton
from bodycad.wood import species
from bodycad.words import Face
from tests.checks.bench import board, cut


@pytest.mark.parametrize(
    "place, said",
    [
        ({"x": float("nan")}, "a place's x is nan; allowed: -3000 to 3000 mm"),
        (
            {"y": "-80"},
            "a place's y is '-80'; allowed: -3000 to 3000 mm. write the number without quotes",
        ),
        ({"turn_deg": float("inf")}, "a place's turn_deg is inf"),
    ],
)
def test_a_place_is_numbers(place, said):
    with pytest.raises(InputError) as fault:
        Place(**place)
    assert said in str(fault.value)


def test_a_part_is_placed_at_a_place():
    with pytest.raises(
        InputError,
        match=r"the place of bridge is -17; .*write Placed\(id, part, Place\(x, y\)\)",
    ):
        Placed("bridge", StrapButton(-22.0), -17.0)


@pytest.mark.parametrize("names", [("fall", "fall"), ("edge",)])
def test_contours_have_names_of_their_own(names):
    falls = tuple(
        fall_away(name, "front", 44.0, (100.0 * k, 0.0), 0.0, run=30.0, drop=5.0)
        for k, name in enumerate(names)
    )
    assert all(isinstance(one, Contour) for one in falls)
    with pytest.raises(InputError, match="a contour's id .*give each contour another id"):
        Skin(rectangle(400.0, 300.0), 44.0, Square(), Square(), falls)


def test_a_void_does_not_meet_itself():
    with pytest.raises(InputError, match="a.cut leads into .*another cut"):
        board(cut("a", Prism(rectangle(40.0, 30.0), -20.0, 0.0), meets=("a.cut",)))


def test_the_outline_is_cut_from_a_flat_face_or_half_from_each():
    plan, wood = rectangle(400.0, 300.0), species("alder, red")
    assert blank_round(plan, wood).outline_from is Face.BACK
    assert blank_round(plan, wood, outline_from="front").mirrored().outline_from is Face.FRONT
    assert blank_round(plan, wood, outline_from=None).outline_from is None
    with pytest.raises(InputError, match="outline_from is .edge.*front, back"):
        blank_round(plan, wood, outline_from="edge")


@pytest.mark.parametrize(
    "given, said",
    [
        ({"toward_deg": float("nan")}, "the toward_deg of belly is nan"),
        ({"span": (float("nan"), 10.0)}, "item 1 of the span of belly is nan"),
        ({"span": (20.0, -20.0)}, "belly: the span is .*the lower one first"),
        ({"start": (float("inf"), 0.0)}, "item 1 of the start of belly is inf"),
        ({"start": (0.0, "5")}, "item 2 of the start of belly is '5'"),
    ],
)
def test_a_contour_is_made_of_numbers(given, said):
    # A heading of nan once put the contour nowhere, and no check saw that it was gone.
    fields = {"start": (0.0, 0.0), "toward_deg": 90.0, **given}
    with pytest.raises(InputError, match=said):
        fall_away("belly", "back", 44.0, run=30.0, drop=5.0, **fields)


def test_a_carve_is_made_of_numbers():
    plan = rectangle(10.0, 10.0)
    for bad in ((float("nan"), (0.0, 5.0)), (0.0, (float("nan"), 5.0)), (0.0, (5.0, 5.0))):
        with pytest.raises(InputError, match="a contour's"):
            Carve(plan, (0.0, 0.0), *bad)


def test_no_cut_and_no_room_is_larger_than_an_instrument():
    plan = rectangle(83_000.0, 20.0)
    with pytest.raises(InputError, match="a's void a.cut is .83000 by 20 by 5 mm.*within 3000 mm"):
        cut("a", Prism(plan, -5.0, 0.0))
    with pytest.raises(InputError, match="room a.foot is .83000 by 20 by 5 mm"):
        Room("a.foot", "a", "pickup", Prism(plan, -5.0, 0.0))


@pytest.mark.parametrize("low", [0.0, 5.0])
def test_a_cut_and_a_room_have_a_height(low):
    # A prism upside down once broke the check that measures it.
    shape = Prism(rectangle(9.0, 9.0), low, 0.0)
    with pytest.raises(InputError, match="a's void a.cut is .one from .* up to 0 mm"):
        cut("a", shape)
    with pytest.raises(InputError, match="a's room a.box"):
        Room("a.box", "a", "part", shape)


def test_a_slip_in_a_cavity_s_id_is_told_with_what_was_meant():
    """The one cut that is like it, not a list that breaks off."""
    slip = cut("a", Prism(rectangle(20, 20, 5), -10, 0), meets=("contrl.cut",))
    other = cut("control", Prism(rectangle(20, 20, 5, 60, 0), -10, 0))
    with pytest.raises(InputError) as caught:
        board(slip, other)
    said = str(caught.value)
    assert "the cut that a.cut leads into is 'contrl.cut'" in said
    assert said.endswith("did you mean control.cut?") and "known" not in said
