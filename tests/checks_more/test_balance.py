"""`balance` by hand, and its quick weighing against the exact volume."""

from dataclasses import replace

import pytest

from bodycad.checks.rules.balance import (
    HEADSTOCK,
    Lump,
    advise,
    balance,
    body_mass,
    part_masses,
    together,
)
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.edge import Ledge, Roundover
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.interface import Mass
from bodycad.layout.layout import Placed
from bodycad.layout.place import Depth, Place
from bodycad.layout.void import Room, Void
from bodycad.layout.volume import body_figures
from bodycad.parts.cavity import Cavity
from bodycad.parts.jack import EndJack
from bodycad.parts.strap import StrapButton
from bodycad.shop import Limit
from tests import sample
from tests.checks_more.bench import T, bench, hole, loose, only


def hung(horn_x, horn_y=100.0, tail_y=0.0, left_handed=False):
    return bench(
        Placed("tail", StrapButton(-T / 2), Place(-200.0, tail_y)),
        Placed("horn", StrapButton(-T / 2), Place(horn_x, horn_y, 180.0)),
        left_handed=left_handed,
    )


def test_two_masses_as_one():
    assert together([Lump(2.0, (0.0, 0.0, 3.0)), Lump(1.0, (300.0, 60.0, 0.0))]) == Lump(
        3.0, (100.0, 20.0, 2.0)
    )


@pytest.mark.parametrize("left_handed", [False, True])
def test_quick_weighing_is_within_one_percent(left_handed):
    """Contours, binding, roundover, tilted pocket, slanted bores: against the exact sections."""
    layout = sample.design(left_handed=left_handed).layout()
    exact, quick = body_figures(layout), body_mass(layout)
    assert quick.kg == pytest.approx(exact.mass, rel=0.01)
    assert quick.centre == pytest.approx(exact.centroid, abs=1.0)


def test_a_plain_board_is_weighed_exactly_but_for_its_corners():
    """400 x 300 x 44 mm of alder at 8 %: density 450.996, corners lose 343.4 mm2: 2.3746 kg."""
    assert body_mass(bench(loose())).kg == pytest.approx(2.3746, rel=0.002)


def test_a_hole_takes_its_share():
    """A through cut of 100 x 100 mm takes a twelfth of the slab."""
    void = Void(
        "p.hole",
        "p",
        "front",
        "POCKET",
        Prism(rectangle(100.0, 100.0), -T, 0.0),
        frozenset(("front", "back")),
    )
    assert body_mass(bench(loose(void))).kg == pytest.approx(
        body_mass(bench(loose())).kg * (1 - 10000 / 119656.6), rel=0.002
    )


@pytest.mark.parametrize("horn, status", [(200.0, "warn"), (360.0, "pass")])
def test_share_of_the_horn(horn, status):
    """Board 2.3746 kg at 0; neck 0.56 kg at (647.7/3 + 647.7 + 180)/2 = 521.8; machines 0.21 kg at
    737.7; buttons 0.015 kg each at -206 and horn + 6. Centre 139.8 mm for a horn at 200: 85 %; at
    360 61 %."""
    nut = 647.7
    rows = [
        (2.3746, 0.0),
        (0.56, (nut / 3 + nut + HEADSTOCK) / 2),
        (0.21, nut + HEADSTOCK / 2),
        (0.015, -206.0),
        (0.015, horn + 6.0),
    ]
    x = sum(m * at for m, at in rows) / sum(m for m, _ in rows)
    found = only(balance(hung(horn)), "balance.share", "horn", "tail")
    assert found.value == pytest.approx(100.0 * (x + 200.0) / (horn + 200.0), abs=0.3)
    assert (found.status, found.limit) == (status, None)


def test_centre_under_the_strap_line():
    """Buttons at (-200, 0) and (360, 100): the line stands 100 * (x + 200)/560 over the centreline
    at the centre."""
    layout = hung(360.0)
    share, under = balance(layout)[2:]
    assert under.value == pytest.approx(share.value, abs=1.0) and under.status == "pass"


def test_centre_over_the_strap_line_warns():
    found = balance(hung(360.0, -60.0, -60.0))
    assert only(found, "balance.strap", "horn", "tail").status == "warn"


@pytest.mark.parametrize("left_handed", [False, True])
@pytest.mark.parametrize(
    "horn, status", [(-190.0, "fail"), (-51.0, "fail"), (-50.0, "warn"), (50.0, "pass")]
)
def test_buttons_near_each_other_hang_nothing(horn, status, left_handed):
    """The tail's stands at -200: 10, 149, 150 and 250 mm before it along the neck, 100 mm aside."""
    layout = hung(horn, left_handed=left_handed)
    found = only(balance(layout), "balance.span", "horn", "tail")
    assert (found.value, found.status) == (pytest.approx(horn + 200.0), status)


def test_left_hand_is_judged_alike():
    right, left = balance(hung(300.0)), balance(hung(300.0, left_handed=True))
    assert [f.value for f in right[1:]] == pytest.approx([f.value for f in left[1:]], abs=1e-6)


def test_without_two_buttons_it_says_so():
    assert [f.status for f in balance(bench(loose()))] == ["pass", "skip"]


def test_heavier_wood_weighs_more():
    plain = bench(loose())
    heavy = plain.with_body(
        blank=replace(plain.blank, species=replace(plain.blank.species, gravity=0.82))
    )
    assert body_mass(heavy).kg == pytest.approx(2.0 * body_mass(plain).kg, rel=1e-9)


def test_edges_count():
    """A 6 mm roundover behind and a 1.4 x 6.4 ledge in front, against the exact volume."""
    layout = bench(
        loose(), skin=Skin(rectangle(400.0, 300.0, 20.0), T, Ledge((1.5,), 6.4), Roundover(6.0))
    )
    assert body_mass(layout).kg == pytest.approx(body_figures(layout).mass, rel=0.01)


def test_advice_never_fails():
    found = advise((), 5.0, Limit(1.0, 0.5, most=True), "t", "c", code="balance")
    assert (found.status, found.limit, found.warn, found.cure) == ("warn", None, 0.5, "c")
    assert advise((), 0.4, Limit(1.0, 0.5, most=True), "t", "c", code="balance").status == "pass"


def test_a_mass_counts_where_it_is_stated_and_one_that_is_not_by_its_rooms():
    """A kilogram at (10, 20, -5); 100 cm3 of room at 2 kg a litre in its middle, named; a way for
    wires weighs nothing."""
    room = Room("q.block", "q", "part", Prism(rectangle(100.0, 100.0, 0.0, 60.0, 0.0), -10.0, 0.0))
    layout = bench(
        loose(says=(Mass(part="p", kg=1.0, at=(10.0, 20.0, -5.0)),)),
        loose(rooms=(room,), name="q"),
        loose(hole("r.way", 0.0, 0.0, 6.0, 20.0, "CHANNEL", "r"), name="r"),
    )
    lumps, guessed = part_masses(layout)
    assert lumps == [Lump(1.0, (10.0, 20.0, -5.0)), Lump(pytest.approx(0.2), (60.0, 0.0, -5.0))]
    assert guessed == ["q"]


def test_a_jack_weighs_where_it_stands():
    """Its cup runs in 20 mm from its lip, 1.5 mm out: not what is kept free for its plug, inside
    and out."""
    control = Placed("control", Cavity(rectangle(60.0, 50.0, 8.0), Depth(20.0)), Place(-120.0, 0.0))
    jack = Placed("jack", EndJack("control", -T / 2, 60.0), Place(-200.0, 0.0))
    x, y, z = [lump for lump in part_masses(bench(control, jack))[0] if lump.kg == 0.05][0].centre
    assert (x, y, z) == pytest.approx((-200.0 + 9.25, 0.0, -T / 2))
