"""A tail block by hand: knobs of 9.5 mm, their axis 7 mm over the face, 9 mm of room for fingers
under them, their ends 38 mm behind the row of jaws (common practice, no source)."""

from __future__ import annotations

import pytest

from bodycad.errors import InputError
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.parts.bridge_tail import TailBlock
from bodycad.words import Face
from tests.checks.bench import TABLE, ask, board, one, rectangle

TAIL = rectangle(270.0, 200.0, 0.0, 85.0, 0.0)
"""A board that ends at x = -50."""


def laid(left=False, x=-17.0, outline=TAIL, **sizes):
    part = TailBlock(**{"spread": 52.5, **sizes})
    return board(Placed("bridge", part, Place(x)), outline=outline, left_handed=left)


def sunk(layout):
    found = [f for f in ask(layout, "assembly") if f.code == "assembly.wood"]
    return [round(f.value, 3) for f in found if f.status == "fail"]


@pytest.mark.parametrize("left", [False, True])
def test_a_tail_block_at_the_end_of_the_body(left):
    layout = laid(left)
    assert not sunk(layout)
    for check in TABLE:
        bad = [f for f in ask(layout, check) if f.status == "fail"]
        assert not [f.text for f in bad if "bridge" in str(f.subjects)], check
    recess = layout.by_id["bridge.recess"]
    assert recess.opens == {Face.FRONT, Face.EDGE} and recess.low == -12.0


@pytest.mark.parametrize("recess, into", [(12.0, []), (6.6, [-0.15]), (4.0, [-2.75])])
def test_fingers_under_the_knobs(recess, into):
    """They reach 7 - 4.75 - 9 = -6.75 mm under the face."""
    assert sunk(laid(recess=recess)) == pytest.approx(into)


def test_without_a_recess_the_body_must_end_before_the_knobs():
    """The knobs begin 26 mm behind the jaws, at x = -43: 7 mm of wood to the end of the board."""
    assert sunk(laid(recess=0.0)) == pytest.approx([-6.75])
    short = rectangle(263.0, 200.0, 0.0, 88.5, 0.0)
    assert not sunk(laid(recess=0.0, outline=short))


def test_the_jaws_hold_the_strings_behind_their_saddles():
    found = one(laid(held=6.0), "string-path", "bridge", "bridge", text="bends down")
    assert found.status == "pass"
    assert one(laid(held=9.2), "string-path", "bridge", "bridge", text="down").status == "fail"


def test_knobs_inside_the_plate_are_refused():
    with pytest.raises(InputError, match="tail block's reach"):
        TailBlock(52.5, reach=15.0)
