"""A bridge stands on the face under it, wherever that is: what lies on it goes down with it, what
is cut from it is as much deeper from the plain front, and what comes from the back stays."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bodycad.instrument.strings import strings
from bodycad.layout.interface import Anchor, Saddle, Screw, StringHole
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.parts.bridge import BassBridge, Hardtail, TopLoad
from bodycad.parts.bridge_pickup import PickupBridge
from bodycad.parts.bridge_posts import PostBridge, Tailpiece, WrapBar
from bodycad.parts.bridge_single import GroundFoil, SingleBridge
from bodycad.parts.bridge_vibrato import PostVibrato, ScrewVibrato
from bodycad.words import Face
from tests.checks.bench import T, ask, board, instrument

DOWN = 3.0
KINDS = {
    "hardtail": Hardtail(52.5),
    "top": TopLoad(52.5),
    "bass": BassBridge(52.5, strings=6, through=True),
    "pickup": PickupBridge(52.5),
    "posts": PostBridge(52.5),
    "tail": Tailpiece(),
    "wrap": WrapBar(52.5),
    "single": SingleBridge(),
    "foil": GroundFoil(60.0),
    "vibrato": ScrewVibrato(52.5),
    "vibrato.posts": PostVibrato(52.5),
}
AT_BACK = ("ferrule", "sleeve", "cover", "swing", "springs")
"""Rooms that lie at the back, or reach down to what is cut there."""


@pytest.mark.parametrize("name", KINDS)
def test_what_stands_on_the_face_goes_down_with_it(name):
    part = KINDS[name]
    high, low = (board(Placed("b", part, Place(0.0, 0.0, 0.0, False, z))) for z in (0.0, -DOWN))
    for one, two in zip(part.rooms("b", Place(), T), part.rooms("b", Place(z=-DOWN), T)):
        kind = one.id.split(".")[1]
        if kind not in AT_BACK:
            fall = [a - b for a, b in zip(one.shape.box, two.shape.box)]
            assert fall == pytest.approx([0.0, 0.0, DOWN, 0.0, 0.0, DOWN]), one.id
    for one, two in zip(high.voids, low.voids):
        assert two.high == pytest.approx(one.high), one.id
        if one.face is Face.FRONT and Face.BACK not in one.opens and not one.id.endswith(".slot"):
            assert two.low == pytest.approx(one.low - DOWN), one.id
        else:
            assert two.low == pytest.approx(one.low), one.id
    for kind in (Saddle, StringHole, Anchor):
        for one, two in zip(high.stated(kind), low.stated(kind)):
            spots = (one.at, two.at) if kind is Anchor else ((one.at,), (two.at,))
            for a, b in zip(*spots):
                assert a[2] - b[2] == pytest.approx(DOWN)
            if kind is Saddle:
                assert (one.low - two.low, one.high - two.high) == pytest.approx((DOWN, DOWN))
    for one, two in zip(high.stated(Screw), low.stated(Screw)):
        if one.way[2] < -0.5:
            assert one.at[2] - two.at[2] == pytest.approx(DOWN)
            assert two.reach == pytest.approx(one.reach)


def test_pairs_behind_a_bridge_on_posts():
    """Twelve strings over a bridge and to a tailpiece: each bends aside by less than a degree."""
    pairs = {"strings": 12, "courses": (2,) * 6}
    gauges = (".010", ".010", ".014", ".014", ".009", ".023w", ".012", ".030w", ".020w", ".039w")
    played = strings((*gauges, ".027w", ".047w"))
    own = replace(instrument(), strings=played, courses=(2,) * 6)
    layout = board(
        Placed("bridge", PostBridge(52.5, **pairs), Place(-4.0)),
        Placed("tail", Tailpiece(hole_pitch=9.98, **pairs), Place(-44.0)),
        played=own,
    )
    found = [f for f in ask(layout, "string-path") if f.code == "string-path.aside"]
    assert [f.status for f in found] == ["pass"] and found[0].value < 1.0
    assert "of 12" in found[0].text
