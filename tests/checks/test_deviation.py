"""The order of findings: by what is spare over how far the shop's own work may move a figure."""

import math
from dataclasses import replace

import numpy as np
import pytest

from bodycad.chance.slopes import slopes
from bodycad.chance.variables import shop_variables
from bodycad.checks.deviation import deviation
from bodycad.checks.finding import Finding, judge, margin_key
from bodycad.checks.report import sorted_findings
from bodycad.checks.runner import run
from bodycad.checks.table import ASKED
from bodycad.exports.report.text import tightest
from bodycad.geometry.solids.bore import bore
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.parts.control import Pot
from bodycad.shop import Limit, Shop
from designs import teasel
from tests.checks.bench import (
    bevel,
    board,
    cavity,
    controls,
    cut,
    hardtail,
    humbucker,
    necked,
    one,
    pocket,
)

SHOP = Shop(
    template_repeat=0.15,
    depth_stop=0.2,
    thickness_tolerance=0.3,
    contour_tolerance=0.5,
    wander_deg=0.4,
)


def of(layout, check, *subjects):
    return deviation(one(layout, check, *subjects), layout)


def test_a_floor_hangs_on_its_depth_and_on_the_stock():
    """Cut from the back, measured to the front: the depth stop and the planed thickness, square to
    each other."""
    layout = board(cavity("c", 0.0, 0.0, 60.0, 40.0, 6.0), shop=SHOP)
    assert of(layout, "floor", "c.cut", "front") == pytest.approx(math.hypot(0.2, 0.3))
    measured = board(
        cavity("c", 0.0, 0.0, 60.0, 40.0, 6.0), shop=replace(SHOP, measured_stock=44.0)
    )
    assert of(measured, "floor", "c.cut", "front") == pytest.approx(0.2)
    plain = board(pocket("p", 0.0, 0.0, 60.0, 40.0, 20.0), shop=SHOP)
    assert of(plain, "floor", "p.cut", "back") == pytest.approx(math.hypot(0.2, 0.3))


def test_a_wall_hangs_on_both_set_ups():
    """Two pockets of two parts side by side stand off by each one's template; to the edge only one
    does."""
    layout = board(
        pocket("a", 0.0, 0.0, 40.0, 40.0, 10.0),
        pocket("b", 45.0, 0.0, 40.0, 40.0, 10.0),
        pocket("c", 0.0, 124.0, 40.0, 40.0, 10.0),
        shop=SHOP,
    )
    assert of(layout, "wall", "a.cut", "b.cut") == pytest.approx(0.15 * math.sqrt(2.0))
    assert of(layout, "edge", "c.cut", "edge") == pytest.approx(0.15)


def test_a_hole_wanders_where_its_figure_is_taken():
    """A 6 mm hole that runs level 90 mm deep under a pocket: the two templates take no part, the
    pocket's depth and the drill's wander at its far end do (0.4 degrees over 60 mm)."""
    hole = bore((-60.0, 0.0, -30.0), (1.0, 0.0, 0.0), 6.0, 90.0)
    layout = board(
        cut("h", hole, "edge", "BORE", opens=frozenset()),
        pocket("p", 20.0, 0.0, 40.0, 40.0, 22.0),
        shop=SHOP,
    )
    found = one(layout, "wall", "h.cut", "p.cut")
    spot = found.at[0]
    wander = (spot[0] + 60.0) * math.tan(math.radians(0.4))
    assert 55.0 < spot[0] + 60.0 <= 90.0
    assert deviation(found, layout) == pytest.approx(math.hypot(0.2, wander), abs=1e-6)


def test_a_shaped_surface_counts():
    """A cavity under a bevel: its depth and the surface's own tolerance."""
    layout = board(
        pocket("p", 150.0, 0.0, 40.0, 40.0, 22.0),
        contours=(bevel("back", (150.0, 0.0), 0.0),),
        shop=SHOP,
    )
    found = one(layout, "floor", "p.cut", "contour.back")
    steep = abs(found.at[1][2] - found.at[0][2]) / math.dist(*found.at)
    level = math.sqrt(1.0 - steep**2)
    wanted = math.sqrt(0.5**2 + (0.2 * steep) ** 2 + (0.15 * level) ** 2)
    assert deviation(found, layout) == pytest.approx(wanted, abs=1e-6)


@pytest.mark.parametrize(
    "changes",
    [
        {"unit": "deg"},
        {"unit": "times"},
        {"at": None},
        {"at": ((1.0, 2.0, 3.0),) * 2},
        {"limit": None},
        {"value": None},
        {"subjects": ("p.cut", "p.other")},  # one part's own cuts stand to each other as one
        {"value": 2.0},  # no distance between the two points
    ],
)
def test_where_no_error_is_known_to_reach_a_figure(changes):
    layout = board(
        pocket("p", 0.0, 0.0, 60.0, 40.0, 20.0),
        pocket("q", 90.0, 0.0, 60.0, 40.0, 20.0),
        shop=SHOP,
    )
    found = Finding(
        "wall",
        "pass",
        ("p.cut", "q.cut"),
        "",
        30.0,
        limit=3.0,
        warn=5.0,
        at=((30.0, 0.0, -5.0), (60.0, 0.0, -5.0)),
    )
    assert deviation(found, layout) == pytest.approx(0.15 * math.sqrt(2.0))
    assert deviation(replace(found, **changes), layout) == 0.0


def test_deviations_rank_before_bands_and_bands_before_bare_figures():
    """Of what holds: the least deviations first, whatever its millimetres; then what the shop does
    not move, by bands; a length that is as true as the shop can cut is never tight."""

    def made(code, value, limit, off=0.0, unit="mm"):
        return replace(judge((code,), value, limit, "", "", unit=unit, code=code), deviation=off)

    rows = [
        made("true", 0.1, Limit(0.5, 0.3, most=True), 0.2),  # 2 bands, once 2.0 deviations
        made("nil", 0.0, Limit(-0.3, -0.1), 0.2),  # 1.5 bands
        made("fine", 9.0, Limit(3.0, 5.0), 0.2),  # 30 deviations
        made("bare", 0.02, Limit(0.0, 0.0)),
        made("near", 5.1, Limit(3.0, 5.0), 0.5),  # 4.2 deviations
        made("angle", 0.0, Limit(2.0, 1.0, most=True), unit="deg"),  # 2 bands, 2.00 left
        made("load", 0.69, Limit(0.9, 0.8, most=True), unit="times"),  # 2.1 bands
        made("offset", 0.9, Limit(2.5, 1.5, most=True), 0.2),  # 8 deviations
    ]
    assert all(one.status == "pass" for one in rows)
    assert [one.code for one in sorted(rows, key=margin_key)] == [
        "near",
        "offset",
        "fine",
        "nil",
        "true",
        "angle",
        "load",
        "bare",
    ]


def test_failures_stand_before_what_is_spare_and_the_deepest_first():
    """Status first; a figure short by many deviations before one that is short by few."""
    limit = Limit(3.0, 5.0)

    def made(code, value, off):
        return replace(judge((code,), value, limit, "", "", code=code), deviation=off)

    rows = made("warn", 4.0, 0.1), made("few", 2.0, 0.5), made("many", 2.5, 0.1), made("e", 1.0, 0)
    assert [f.code for f in sorted_findings(list(rows))] == ["many", "few", "e", "warn"]


@pytest.fixture(scope="module")
def whole():
    """A board with a neck, a pickup, a bridge and a control."""
    return board(
        necked(),
        humbucker(60.0, rest_height=4.0),
        hardtail(),
        controls(),
        Placed("volume", Pot("control", 6.0), Place(0.0, -80.0)),
        contours=(bevel("back", (150.0, -10.0), -25.0),),
    )


@pytest.fixture(scope="module")
def exact(whole):
    """By (code, subjects): the root of the sum of the squares of what each error of the shop moves
    the figure by, as the chances follow it, each error on a body of its own."""
    followed = [c for c in ASKED if c.name not in ("joint-load", "balance", "season")]
    found = slopes(whole, [v for v in shop_variables(whole) if v.tolerance > 0.0], followed)
    by = np.maximum(np.abs(found.up), np.abs(found.down))
    rows = (found.rows.slice(k) for k in range(len(found.findings)))
    least = [s.start + int(found.margins[s].argmin()) for s in rows]
    return {
        f.identity: float(np.sqrt((by[:, k] ** 2).sum())) for f, k in zip(found.findings, least)
    }


def test_it_is_what_the_bodies_with_those_errors_say(whole, exact):
    """Second opinion, by another way: of what is tight, at least nine of ten are within a factor of
    1.6 of the deviation that the followed errors give."""
    near = [
        f
        for f in run(whole).findings
        if f.deviations is not None and not f.true and f.deviations < 15.0 and f.identity in exact
    ]
    shares = sorted(f.deviation / max(exact[f.identity], 1e-9) for f in near)
    good = [s for s in shares if 1.0 / 1.6 < s < 1.6]
    assert len(near) >= 12 and len(good) >= 0.9 * len(near), shares


def test_no_figure_that_stays_as_drawn_stands_among_the_first_five(whole, exact):
    """What no error moves, or what is drawn true, is a default, not a risk."""
    held = [f for f in run(whole).findings if f.status == "pass" and f.margin is not None]
    for f in held[:5]:
        assert exact[f.identity] > 0.01 and not f.true and abs(f.value) > 0.01, f
    table = tightest(run(whole))
    assert [f.identity for f in table[:1]] == [held[0].identity]


def test_the_seats_own_figure_has_a_row(whole):
    """Beside the tightest of `bolt-seat` its first question, the flange, has a row of its own."""
    rows = [f.code for f in tightest(run(whole)) if f.check == "bolt-seat"]
    assert "bolt-seat" in rows and len(rows) <= 2


def test_in_the_demo_no_mere_default_stands_among_the_first_five():
    """Whatever its numbers are: each of the first five is a length that the shop's work moves, and
    is not drawn true."""
    found = tightest(teasel.design().check())
    assert len(found) > 20
    for f in found[:5]:
        assert f.deviations is not None and not f.true and abs(f.value) > 1e-6, f
    least = [f.deviations for f in found if f.deviations is not None and not f.true]
    assert least == sorted(least)
