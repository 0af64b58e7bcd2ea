"""A size of a bridge that cannot be is refused by name, with what is allowed."""

from __future__ import annotations

import math

import pytest

from bodycad.errors import InputError
from bodycad.layout.interface import Anchor
from bodycad.layout.place import Place
from bodycad.parts.bridge import BassBridge, Ferrule, Hardtail, TopLoad
from bodycad.parts.bridge_pickup import Coil, PickupBridge
from bodycad.parts.bridge_posts import PostBridge, Posts, Tailpiece, WrapBar
from bodycad.parts.bridge_single import GroundFoil, SingleBridge, single_bridges
from bodycad.parts.bridge_vibrato import Block, Claw, PostVibrato, ScrewVibrato
from tests.checks.bench import instrument

REFUSED = [
    (lambda: TopLoad(0.0), "spread"),
    (lambda: TopLoad(52.5, held=-1.0), "held"),
    (lambda: TopLoad(52.5, window_rear=30.0), "saddle window"),
    (lambda: BassBridge(57.0, string_hole=11.0), "ferrule's hole"),
    (lambda: BassBridge(57.0, screws=((80.0, 0.0),)), "u of a bridge's screw 1"),
    (lambda: Hardtail(52.5, strings=12, courses=(2, 2)), "courses of strings"),
    (lambda: Hardtail(52.5, strings=12, courses=(2,) * 6, pair=12.0), "strings of a course"),
    (lambda: Posts(stud=12.0), "post's stud"),
    (lambda: Posts(depth=math.nan), "depth"),
    (lambda: PostBridge(80.0), "post spread"),
    (lambda: PostBridge(52.0, saddle_low=8.0), "saddle_low"),
    (lambda: Tailpiece(held=2.0), "tailpiece's held"),
    (lambda: Tailpiece(posts=Posts(spread=120.0)), "post spread"),
    (lambda: Tailpiece(strings=12, courses=(2, 2)), "courses of strings"),
    (lambda: WrapBar(52.0, steps=(1.0, 2.0)), "steps"),
    (lambda: WrapBar(52.0, steps=(9.0,) * 6), "step of a bridge's ridge"),
    (lambda: WrapBar(52.0, saddle_low=6.0), "saddle_low"),
    (lambda: SingleBridge(travel=40.0), "travel"),
    (lambda: SingleBridge(end=30.0), "end"),
    (lambda: SingleBridge(saddle_low=20.0), "saddle heights"),
    (lambda: SingleBridge(screws=((20.0, 0.0),)), "u of a single bridge's screw"),
    (lambda: SingleBridge(ferrule=Ferrule(hole=3.0)), "ferrule's hole"),
    (lambda: single_bridges(instrument(), SingleBridge(), "b", 11.0), "travel left ahead"),
    (lambda: GroundFoil(0.0), "width"),
    (lambda: Coil(pole_spacing=70.0), "pole spacing"),
    (lambda: PickupBridge(52.5, plate_front=50.0, screws=()), "route of a bridge's pickup"),
    (lambda: Block(height=0.0), "height"),
    (lambda: Block(dive_deg=80.0), "dive_deg"),
    (lambda: Claw(tilt_deg=-1.0), "tilt_deg"),
    (lambda: ScrewVibrato(52.5, string_row=0.0), "string_row"),
    (lambda: PostVibrato(52.5, rise=-1.0), "rise"),
    (
        lambda: Anchor(part="b", at=((0.0, 0.0, 0.0),) * 2, strings=2, string=1),
        "string of",
    ),
]


@pytest.mark.parametrize(
    "make, thing", REFUSED, ids=[f"{i}-{thing}" for i, (_, thing) in enumerate(REFUSED)]
)
def test_it_is_named(make, thing):
    with pytest.raises(InputError) as found:
        make()
    assert thing in str(found.value) and "allowed" in str(found.value)


@pytest.mark.parametrize(
    "part, thickness, thing",
    [
        (BassBridge(57.0, through=True), 13.5, "ferrules"),
        (SingleBridge(), 11.5, "ferrules"),
        (ScrewVibrato(52.5), 17.0, "x.cavity"),
        (PostVibrato(52.5), 18.0, "ceiling of x.cavity"),
    ],
)
def test_what_does_not_go_into_the_stock_is_named(part, thickness, thing):
    with pytest.raises(InputError, match=thing):
        part.voids("x", Place(), thickness)
