"""The map and the widest pattern of whole designs: laws, the demo, and the real report of the body
with them."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from bodycad.checks.rules.joint import pulls
from bodycad.checks.runner import run
from bodycad.errors import InputError
from bodycad.fasteners import screw_withdrawal
from bodycad.layout.interface import Screw
from bodycad.parts.neckjoint import Bolt
from bodycad.pattern.search import SYMMETRY, WITHIN
from bodycad.pattern.standing import neck_of, own_options, own_screws, standing, standing_of
from bodycad.pattern.widest import pattern_of, widest_pattern, with_screws
from bodycad.wood import AIR_DRY, species
from tests.checks.bench import board, looser, necked, with_shop
from tests.pattern.bodies import BODIES, teasel

BOLT_CHECKS = ("bolt-seat", "bolt-grip", "bolt-tip", "bolt-edge")


def bolts_of(layout):
    return own_screws(neck_of(layout))


def test_the_demos_own_screws_stand_inside_its_map():
    """Each of the four, by its own kind of screw, at the nearest place of the grid (they all lie on
    it)."""
    layout = teasel()
    for bolt in bolts_of(layout):
        found = standing(layout, bolt.wood, bolt.length)
        i, j = int(np.argmin(abs(found.u - bolt.u))), int(np.argmin(abs(found.v - bolt.v)))
        assert (found.u[i], found.v[j]) == (bolt.u, bolt.v) and found.any[i, j]
        assert any(r.outer.contains(bolt.u, bolt.v) for r in found.regions)


def test_a_deeper_sculpt_never_enlarges_the_map():
    """Every place of the deeper carve's map is one of the shallower carve's; the deep one loses
    some."""
    maps = [
        standing(teasel(f"heel_sculpt={depth}"), 16.0, 33.0, 1.0).any
        for depth in (0, 6, 12, 18, 24, 30)
    ]
    for shallow, deep in zip(maps, maps[1:]):
        assert not (deep & ~shallow).any()
    assert maps[-1].sum() < maps[0].sum() > 100


def test_the_mirrored_design_has_the_mirrored_map():
    """In the joint's own axes the map is the same to the last place, on the body it is
    reflected."""
    right, left = teasel(), teasel("left_handed=true")
    one, two = standing_of(right, grid=1.0), standing_of(left, grid=1.0)
    assert (one.stands == two.stands).all() and np.allclose(one.margins, two.margins, atol=1e-7)
    mine, theirs = widest_pattern(right, 4, grid=1.0), widest_pattern(left, 4, grid=1.0)
    assert [h.times for h in theirs.held] == pytest.approx([h.times for h in mine.held])
    assert [s.point for s in theirs.stands] == [(x, -y) for x, y in (s.point for s in mine.stands)]


@pytest.mark.parametrize("count", [3, 4, 5])
@pytest.mark.parametrize("strict", [True, False])
def test_the_widest_pattern_passes_the_real_checks(count, strict):
    """The whole report of the demo with it: no failure at all, and no warning of a bolt, a wall or
    a load where none is allowed (a glue joint under a counterbore may be noted)."""
    layout = teasel()
    widest = widest_pattern(layout, count, strict=strict, grid=1.0)
    report = run(with_screws(layout, "neck", widest.screws))
    bad = [
        f
        for f in report.findings
        if f.status in ("fail", "error")
        or strict
        and f.status == "warn"
        and f.check in (*BOLT_CHECKS, "wall", "joint-load")
    ]
    assert not bad and len(widest.stands) == count
    (thread,) = {screw.thread for screw in report.layout.stated(Screw) if screw.loaded}
    mm = {"mm": 1.0, "diameters": thread}
    margins = [
        f.margin * mm[f.unit]
        for f in report.findings
        if f.check in BOLT_CHECKS and f.margin is not None and f.unit in mm
    ]
    assert widest.margin == pytest.approx(min(margins), abs=1e-6)
    told = {f.code: f.value for f in report.findings if f.check == "joint-load"}
    for held in widest.held:
        assert held.enough
        if held.load.name != "pull":
            assert held.times == pytest.approx(told[f"joint-load.{held.load.name}"])


@pytest.mark.parametrize("sculpt", [0, 12, 18])
def test_the_widest_pattern_is_no_lopsided_cluster(sculpt):
    """Of the demo's heel, 64 mm long: symmetric, a pair near either end, every load held about
    as well as by the maker's own screws or better, and the worst of them better."""
    layout = teasel(f"heel_sculpt={sculpt}")
    widest, own = widest_pattern(layout), pattern_of(layout)
    assert widest.symmetric and not own.symmetric
    us = sorted(s.u for s in widest.screws)
    assert us[0] == us[1] < 16.0 and us[2] == us[3] > 42.0
    assert widest.lever > 1.35 * own.lever and widest.area > 1.3 * own.area
    pairs = [(one.times, two.times) for one, two in zip(widest.held, own.held)]
    assert all(one > 0.93 * two for one, two in pairs)
    assert min(one for one, _ in pairs) > min(two for _, two in pairs)


def test_more_freedom_never_stands_narrower():
    """Warnings allowed, more kinds of screw, a finer grid that holds the coarser: the least lever
    is as long, but for what symmetry and area may cost."""
    layout = teasel()
    base = widest_pattern(layout, 4, [(17.0, 34.0)], grid=2.0).lever
    for wish in (
        {"strict": False},
        {"grid": 1.0},
        {"options": [(17.0, 34.0), (16.0, 33.0)]},
    ):
        given = {"options": [(17.0, 34.0)], "grid": 2.0, **wish}
        assert widest_pattern(layout, 4, **given).lever >= base * (1.0 - SYMMETRY) - WITHIN


def test_what_a_pattern_holds_by_hand():
    """Two pairs at 15 and 60 mm, 16 mm of thread, sugar maple at 0.63 and 4.2 mm: the far screws
    draw out first, M = W (2 15^2 + 2 60^2) / 60; joint-load shares the strings' moment out alike.
    About the mouth, 76 mm on, the arms are 61 and 16; about a side 28 mm off, 44 and 12. Their
    rectangle is 45 by 32 mm, and reaches 16 mm from the heel's middle at u = 38."""
    layout = board(
        necked(
            *(Bolt(u, v, 16.0, 34.0) for u in (15.0, 60.0) for v in (-16.0, 16.0)),
            species="maple, sugar",
        )
    )
    found = pattern_of(layout)
    holds = screw_withdrawal(species("maple, sugar").gravity_at(AIR_DRY), 4.2, 16.0)
    most = {h.load.name: h.times * h.load.moment for h in found.held}
    assert most["pull"] == pytest.approx(holds * (2 * 15.0**2 + 2 * 60.0**2) / 60.0)
    assert most["push"] == pytest.approx(holds * (2 * 61.0**2 + 2 * 16.0**2) / 61.0)
    for side in ("twist.bass", "twist.treble"):
        assert most[side] == pytest.approx(holds * (2 * 44.0**2 + 2 * 12.0**2) / 44.0)
    forces = pulls(layout, neck_of(layout))
    assert found.held[0].times == pytest.approx(holds / max(forces))
    assert (found.lever, found.area, found.symmetric) == (
        pytest.approx(16.0),
        pytest.approx(45.0 * 32.0),
        True,
    )


def test_a_push_that_no_four_screws_hold_leaves_no_pattern():
    """The widest pattern holds 150 N 5.4 times; 300 N is held with the reserve of 1.4 by some
    pattern, 5000 N by none."""
    layout = teasel()
    hard, harder = (
        with_shop(layout, replace(layout.shop, neck_push=push)) for push in (300.0, 5000.0)
    )
    found = widest_pattern(hard, 4, grid=2.0, strict=False)
    assert found is not None and all(held.enough for held in found.held)
    assert widest_pattern(harder, 4, grid=2.0, strict=False) is None


def test_each_screw_is_of_the_kind_with_most_to_spare_that_holds():
    """Of 33 and 35 mm screws over 16 mm of wood the shorter has 2 mm more under the fretboard;
    where the longer's thread is needed it is taken."""
    layout = teasel()
    kinds = [(16.0, 33.0), (16.0, 35.0)]
    easy = widest_pattern(layout, 4, kinds, grid=2.0)
    assert {s.length for s in easy.screws} == {33.0}
    push = next(h for h in easy.held if h.load.name == "push")
    hard = with_shop(
        layout, replace(layout.shop, neck_push=1.05 * 150.0 * push.times / push.reserve)
    )
    stronger = widest_pattern(hard, 4, kinds, grid=2.0)
    assert 35.0 in {s.length for s in stronger.screws} and all(h.enough for h in stronger.held)


def test_a_floor_out_of_square_lets_no_screw_stand():
    """3 degrees is over the limit of 2; a shop that allows 4 has a map."""
    layout = board(necked(angle_deg=3.0))
    assert (
        not standing_of(layout, grid=4.0).any.any() and widest_pattern(layout, 4, grid=4.0) is None
    )
    wide = with_shop(layout, looser("bolt-seat.tilt", 4.0, 3.5, most=True))
    assert standing_of(wide, grid=4.0).any.any()


def test_with_screws_is_the_design_with_those_screws():
    """Its own screws give the same voids again, on either hand; others change nothing else."""
    for name in ("teasel", "left"):
        layout = BODIES[name]()
        same = with_screws(layout, "neck", bolts_of(layout))
        assert [v.id for v in same.voids] == [v.id for v in layout.voids]
        assert all(np.allclose(a.shape.box, b.shape.box) for a, b in zip(same.voids, layout.voids))
        other = with_screws(layout, "neck", [replace(b, u=b.u - 1.0) for b in bolts_of(layout)])
        moved = {
            a.id
            for a, b in zip(other.voids, layout.voids)
            if not np.allclose(a.shape.box, b.shape.box)
        }
        assert moved == {v.id for v in layout.voids if ".bolt." in v.id}


def test_options_and_other_input():
    """Nine kinds of the demo's screws; each bad input is one InputError."""
    layout = teasel()
    assert len(own_options(neck_of(layout))) == 9
    for wrong in (
        {"count": 2},
        {"count": True},
        {"options": []},
        {"options": [(0.0, 30.0)]},
        {"options": [16.0]},
        {"grid": 0.0},
        {"grid": 0.01},
        {"grid": math.nan},
        {"neck": "arm"},
    ):
        with pytest.raises(InputError):
            widest_pattern(layout, **wrong)
    with pytest.raises(InputError, match="held by screws"):
        widest_pattern(board())
    two = board(necked(), replace(necked(), id="second"))
    with pytest.raises(InputError, match="one of neck, second"):
        standing_of(two)
    assert standing_of(two, neck="second", grid=4.0).neck.id == "second"


def test_between_the_places_a_figure_falls_no_further_than_said():
    """Random points inside the demo's regions: the tightest figure is above the limit less 0.35 mm;
    no such promise is made for a tilted floor."""
    layout, rng = teasel(), np.random.default_rng(5)
    found = standing(layout, 16.0, 33.0)
    boxes = [r.outer for r in found.regions]
    points = [
        (u, v)
        for u, v in zip(rng.uniform(0.0, 64.0, 400), rng.uniform(-28.0, 28.0, 400))
        if any(b.contains(u, v) for b in boxes)
    ]
    margins = [
        s.margin
        for s in pattern_of(
            layout, [Bolt(float(u), float(v), 16.0, 33.0) for u, v in points]
        ).stands
    ]
    assert len(points) > 60 and min(margins) >= -found.between == pytest.approx(
        -0.5 / math.sqrt(2.0)
    )
    assert standing(BODIES["tilted"](), 16.0, 33.0, 4.0).between is None
