"""Fits through a season, by hand: alder body and maple neck cut at 8 %, air from 35 to 65 % at 21
C.

Table 4-2 (70 F) gives 12.0 % at 65 % and 6.2 % at 30 %.
"""

from dataclasses import replace

import pytest

from bodycad.checks.rules.season import (
    season,
    season_cover,
    season_ferrules,
    season_pocket,
    season_ring,
)
from bodycad.errors import InputError
from bodycad.geometry.plane.build import rectangle
from bodycad.layout.layout import Placed
from bodycad.layout.place import Depth, Place
from bodycad.parts.bridge import Ferrule, Hardtail
from bodycad.parts.cavity import Cavity, Cover
from bodycad.parts.pickup import Humbucker
from bodycad.shop import Shop
from bodycad.wood import Species
from tests.checks_more.bench import bench, joint, loose, only


def test_season_is_the_printed_moisture():
    found = season(bench(loose(), shop=Shop(humidity=(30.0, 65.0), temperature=21.1)))
    assert (found.cut, found.dry, found.damp) == (
        8.0,
        pytest.approx(6.2, abs=0.05),
        pytest.approx(12.0, abs=0.05),
    )


@pytest.mark.parametrize("masked, due, status", [(False, -0.154, "warn"), (True, 0.086, "pass")])
def test_heel_in_its_pocket(masked, due, status):
    """8 to 12 %: pocket 56.3 * 0.00256 * 4 = +0.577, heel 56 * 0.00353 * 4 = +0.791: 0.214 mm
    tighter than the 0.06 as finished (0.30 masked)."""
    found = only(
        season_pocket(bench(Placed("neck", joint(masked=masked), Place(120.0)))),
        "pocket-fit",
        "neck.pocket",
        "neck.heel",
    )
    assert found.value == pytest.approx(due, abs=0.004)
    assert (found.status, found.limit) == (status, None) and "65 %" in found.text


@pytest.mark.parametrize("gap, due, status", [(0.2, -0.169, "warn"), (0.4, 0.031, "pass")])
def test_cover_in_its_recess(gap, due, status):
    """Recess 108 mm across the grain, 8 to 6.2 %: 108 * 0.00256 * 1.8 = 0.498 narrower, half on
    each side; gap less the 0.12 mm film."""
    cavity = Cavity(rectangle(60.0, 100.0, 10.0), Depth(30.0), Cover(gap=gap))
    found = only(
        season_cover(
            bench(Placed("c", cavity), shop=Shop(humidity=(30.0, 65.0), temperature=21.1))
        ),
        "cover-fit",
        "c.cover",
        "c.recess",
    )
    assert (
        found.value == pytest.approx(due, abs=0.008)
        and found.status == status
        and "30 %" in found.text
    )


def test_ring_over_a_wider_route():
    """Route 72 mm across the grain, 8 to 12 %: 0.737 mm wider, 0.369 each side, off the 3.0 (route:
    frame 38 + 2 under a ring 46.5 wide: 3.25 along, (91 - 72)/2 across; least 3.25)."""
    found = only(season_ring(bench(Placed("n", Humbucker(50.0)))), "ring-cover", "n", "n.route")
    assert (
        found.value == pytest.approx(3.25 - 72.0 * 0.00256 * 4.0 / 2.0, abs=0.005)
        and found.status == "pass"
    )
    tight = Humbucker(50.0, frame_width=43.0)
    assert (
        only(season_ring(bench(Placed("n", tight))), "ring-cover", "n", "n.route").status == "warn"
    )


@pytest.mark.parametrize("hole, status", [(7.9, "pass"), (12.0, "warn")])
def test_ferrule_holes(hole, status):
    """hole * 0.00256 * 4: 0.081 mm at 7.9, 0.123 at 12."""
    found = only(
        season_ferrules(
            bench(Placed("b", Hardtail(52.0, hole_pitch=14.0, ferrule=Ferrule(hole=hole))))
        ),
        "ferrule-wall",
        "b.ferrule.1",
    )
    assert (
        found.value == pytest.approx(hole * 0.00256 * 4.0, abs=0.0015)
        and found.status == status
        and "opens" in found.text
    )


def test_quartersawn_is_a_field_of_the_blank():
    """A quartersawn body moves less than a flatsawn; another word is refused."""
    layout = bench(Placed("b", Hardtail(52.0)))
    layout = layout.with_body(blank=replace(layout.blank, grain="radial"))
    assert only(season_ferrules(layout), "ferrule-wall", "b.ferrule.1").value == pytest.approx(
        7.9 * 0.00151 * 4.0, abs=0.001
    )
    with pytest.raises(InputError, match="the blank's grain is 'plywood'"):
        replace(layout.blank, grain="plywood")


def test_unknown_wood_is_skipped_with_its_reason():
    layout = bench(
        Placed("b", Hardtail(52.0)),
        Placed("neck", joint(), Place(120.0)),
        wood=Species("mystery", 0.5),
    )
    found = [*season_ferrules(layout), *season_pocket(layout)]
    assert [f.status for f in found] == ["skip", "skip"] and all("mystery" in f.text for f in found)


def test_a_season_that_changes_nothing_changes_no_fit():
    """Air in balance with the wood as cut: the play is that of the finished parts."""
    layout = bench(Placed("neck", joint(), Place(120.0)))
    now = season(layout)
    still = replace(
        layout.with_body(blank=replace(layout.blank, moisture=now.damp)),
        shop=Shop(humidity=(65.0, 65.0)),
    )
    assert only(
        season_pocket(still), "pocket-fit", "neck.pocket", "neck.heel"
    ).value == pytest.approx(0.06, abs=1e-9)


@pytest.mark.parametrize(
    "bad",
    [
        {"humidity": (65, 35)},
        {"humidity": (35,)},
        {"humidity": 35},
        {"humidity": (35, 120)},
        {"temperature": 90},
        {"measured_stock": 0},
    ],
)
def test_bad_shop(bad):
    with pytest.raises(InputError):
        Shop(**bad)
