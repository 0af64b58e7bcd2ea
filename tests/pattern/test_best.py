"""The map and the best pattern of whole designs: laws, the demo, and the real report of the body
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
from bodycad.parts.neckjoint import Bolt
from bodycad.pattern.best import best_pattern, pattern_of, with_screws
from bodycad.pattern.standing import neck_of, own_options, own_screws, standing, standing_of
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
    mine, theirs = best_pattern(right, 4, grid=1.0), best_pattern(left, 4, grid=1.0)
    assert theirs.moments.pull == pytest.approx(mine.moments.pull)
    assert [s.point for s in theirs.stands] == [(x, -y) for x, y in (s.point for s in mine.stands)]


@pytest.mark.parametrize("count", [3, 4, 5])
@pytest.mark.parametrize("strict", [True, False])
def test_the_best_pattern_passes_the_real_checks(count, strict):
    """The whole report of the demo with it: no failure at all, and no warning of a bolt or a wall
    where none is allowed (a glue joint under a counterbore may be noted)."""
    layout = teasel()
    best = best_pattern(layout, count, strict=strict, grid=1.0)
    report = run(with_screws(layout, "neck", best.screws))
    bad = [
        f
        for f in report.findings
        if f.status in ("fail", "error")
        or strict
        and f.status == "warn"
        and f.check in (*BOLT_CHECKS, "wall")
    ]
    assert not bad and len(best.stands) == count
    margins = [
        f.margin
        for f in report.findings
        if f.check in BOLT_CHECKS and f.margin is not None and f.unit == "mm"
    ]
    assert best.margin == pytest.approx(min(margins), abs=1e-6)
    us, vs = [b.u for b in best.screws], [b.v for b in best.screws]
    assert max(us) - min(us) >= 32.0 and min(vs) < 0.0 < max(vs)


def test_more_freedom_never_resists_less():
    """More kinds of screw, no span, warnings allowed, a finer grid that holds the coarser: each at
    least as much."""
    layout = teasel()
    base = best_pattern(layout, 4, [(17.0, 34.0)], grid=2.0).moments.pull
    assert best_pattern(layout, 4, [(17.0, 34.0), (16.0, 35.0)], grid=2.0).moments.pull > base
    for wish in ({"span": 0.0}, {"strict": False}, {"grid": 1.0}, {"both": False}):
        assert best_pattern(
            layout, 4, [(17.0, 34.0)], **{"grid": 2.0, **wish}
        ).moments.pull >= base * (1.0 - 1e-9)
    present = best_pattern(layout, 4, grid=1.0).moments.pull
    assert present > pattern_of(layout).moments.pull


def test_what_a_pattern_resists_by_hand():
    """Two pairs at 15 and 60 mm, 16 mm of thread, sugar maple at 0.63 and 4.2 mm: the far screws
    draw out first, M = W (2 15^2 + 2 60^2) / 60; joint-load shares the strings' moment out
    alike."""
    layout = board(
        necked(
            *(Bolt(u, v, 16.0, 34.0) for u in (15.0, 60.0) for v in (-16.0, 16.0)),
            species="maple, sugar",
        )
    )
    found = pattern_of(layout)
    holds = screw_withdrawal(species("maple, sugar").gravity_at(AIR_DRY), 4.2, 16.0)
    assert found.moments.pull == pytest.approx(holds * (2 * 15.0**2 + 2 * 60.0**2) / 60.0)
    # About the mouth, 76 mm on, the arms are 61 and 16; about a side 28 mm off, 44 and 12.
    assert found.moments.back == pytest.approx(holds * (2 * 61.0**2 + 2 * 16.0**2) / 61.0)
    assert (
        found.moments.bass
        == found.moments.treble
        == pytest.approx(holds * (2 * 44.0**2 + 2 * 12.0**2) / 44.0)
    )
    forces = pulls(layout, neck_of(layout))
    assert found.times == pytest.approx(holds / max(forces))


def test_the_tightest_check_has_most_to_spare_among_the_strongest():
    """One kind of screw on a plain board: the pair apart along the row of the best moment goes as
    far from both edges as it can. No pattern as strong with 0.05 mm more to spare exists among all
    of them."""
    layout = board(necked())
    best = best_pattern(layout, 3, [(18.0, 35.0)], grid=6.0, strict=False, span=30.0)
    found = standing_of(layout, [(18.0, 35.0)], 6.0)
    spots = [
        (float(found.u[i]), float(found.v[j]), float(found.margins[0, i, j]))
        for i, j in np.argwhere(found.any)
    ]
    top = 0.0
    for a, one in enumerate(spots):
        for b, two in enumerate(spots[:a]):
            for three in spots[:b]:
                trio = (one, two, three)
                us, vs = [s[0] for s in trio], [s[1] for s in trio]
                moment = sum(u * u for u in us) / max(us)
                apart = min(
                    math.dist(p[:2], q[:2]) for p, q in ((one, two), (one, three), (two, three))
                )
                if (
                    max(us) - min(us) >= 30.0
                    and min(vs) < 0.0 < max(vs)
                    and moment >= sum(b.u**2 for b in best.screws) / best.screws[0].u - 1e-6
                ):
                    top = max(top, min(*(s[2] for s in trio), apart - 14.15 - 3.0))
    assert top - 0.05 <= best.margin <= top + 1e-9


def test_a_floor_out_of_square_lets_no_screw_stand():
    """3 degrees is over the limit of 2; a shop that allows 4 has a map."""
    layout = board(necked(angle_deg=3.0))
    assert not standing_of(layout, grid=4.0).any.any() and best_pattern(layout, 4, grid=4.0) is None
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
        {"span": -1.0},
        {"span": 900.0},
    ):
        with pytest.raises(InputError):
            best_pattern(layout, **wrong)
    with pytest.raises(InputError, match="held by screws"):
        best_pattern(board())
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
