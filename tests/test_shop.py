"""The shop: what cannot be is one line that names it, and says what is allowed."""

from __future__ import annotations

import math

import pytest

from bodycad.errors import InputError
from bodycad.guides import BearingBit, DrillBush, GuideBush
from bodycad.shop import LIMITS, Limit, Shop
from bodycad.tools import DRILLS, FLAT, Cutter, Drill, EdgeBit


@pytest.mark.parametrize(
    "make, words",
    [
        (lambda: Shop(limits={"walls": Limit(1, 2)}), "name is 'walls'.*did you mean wall"),
        (lambda: Shop(limits={3: Limit(1, 2)}), "a name in the shop's limits is 3"),
        (
            lambda: Shop(limits={"wall": 3.0}),
            r"wall in the shop's limits is 3; allowed: a Limit\(fail, warn",
        ),
        (lambda: Shop(limits=Limit(1, 2)), "the shop's limits is"),
        (lambda: Shop(limits={"wall": Limit(2, 1, most=True)}), "sense of the shop limit wall"),
        (lambda: Limit(3, 2), "warning limit is 2; allowed: at least the failing limit 3"),
        (lambda: Limit(3, 4, most=True), "at most the failing limit 3"),
        (lambda: Limit("3", 4), "without quotes"),
        (lambda: Limit(3, math.nan), "a limit's warn is nan"),
        (lambda: Limit(3, 4, ""), "a limit's source"),
        (lambda: Shop(cutters=()), "one or more Cutter"),
        (lambda: Shop(cutters=(6.35,)), "the shop's cutters"),
        (lambda: Shop(cutters=Cutter(6.0, 30.0)), "the shop's cutters"),
        (lambda: Shop(drills=(Cutter(3.0, 60.0),)), "the shop's drills.*Drill"),
        (lambda: Shop(drills=()), "one or more Drill"),
        (lambda: Shop(bits=(Drill(6.0, 9.0),)), r"the shop's bits.*EdgeBit\(form, size\)"),
        (lambda: EdgeBit("straight", 6.0), "an edge bit's form is 'straight'; allowed: roundover"),
        (lambda: EdgeBit("cove", 0.0), "an edge bit's size"),
        (lambda: Shop(bushes=(Cutter(6.35, 32.0),)), "the shop's bushes.*GuideBush"),
        (lambda: Shop(bearing_bits=BearingBit(12.7, 25.4, 48.0)), "the shop's bearing_bits"),
        (lambda: Shop(template_thickness=()), "the shop's template_thickness"),
        (lambda: Shop(template_thickness=(1.0,)), "template_thickness"),
        (lambda: Shop(router_base=0.0), "the shop's router_base"),
        (lambda: GuideBush(2.0, 5.0), "a guide bush's outside"),
        (lambda: BearingBit(12.7, 25.4, 1.0), "a bearing bit's reach"),
        (lambda: BearingBit(12.7, 60.0, 20.0), "bearing bit's flutes is 60.*20"),
        (lambda: DrillBush(3.2, outside=1.0), "drill bush's outside is 1.*4.2"),
        (lambda: Shop(chuck=-1.0), "the shop's chuck"),
        (lambda: Shop(humidity=(65.0, 35.0)), "the dampest air"),
        (lambda: Shop(humidity=40.0), "the shop's humidity"),
        (lambda: Shop(finish=-0.1), "the shop's finish"),
        (lambda: Drill(3.0, 0.0), "a drill's reach"),
        (lambda: Drill(3.0, 50.0, 30.0), "point_deg"),
        (lambda: Cutter(True, 30.0), "a cutter's diameter"),
    ],
)
def test_what_cannot_be_is_one_line(make, words):
    with pytest.raises(InputError, match=words):
        make()


@pytest.mark.parametrize("name", LIMITS)
def test_a_limit_knows_its_name_and_its_source(name):
    """Its own or the shop's, which overrides it with its own source."""
    mine = Limit(LIMITS[name].fail, LIMITS[name].warn, "my calipers", LIMITS[name].most)
    assert Shop().limit(name).name == name and Shop().limit(name).source.strip()
    found = Shop(limits={name: mine}).limit(name)
    assert (found.name, found.source, found.fail) == (name, "my calipers", mine.fail)


def test_a_twist_drill_has_a_point_and_a_flat_bit_has_none():
    """Half of 9.6 over the tangent of 59 degrees (1.664) is 2.88."""
    assert Drill(9.6, 90.0).point == pytest.approx(4.8 / 1.664, abs=0.002)
    assert Drill(9.6, 90.0, FLAT).point == pytest.approx(0.0, abs=1e-9)


def test_the_drill_for_a_hole_reaches_it_and_is_flat_where_asked():
    """Of those within 0.15 mm that reach with their point (2.4 mm of the long one), the nearest in
    size; else the longest there is."""
    near, long, flat = Drill(7.9, 40.0), Drill(8.0, 90.0), Drill(8.0, 60.0, FLAT)
    shop = Shop(drills=(near, long, flat, Drill(5.0, 70.0)))
    assert shop.drill_for(7.9, 30.0) is near and shop.drill_for(7.9, 50.0) is long
    assert shop.drill_for(7.9, 70.0) is long and shop.drill_for(7.9, 95.0) is long
    assert shop.drill_for(7.9, 37.0) is near and shop.drill_for(7.9, 38.0) is long
    assert shop.drill_for(8.1, 70.0, flat=True) is flat and shop.drill_for(8.2) is None
    assert shop.drill_for(5.0, flat=True) is None


def test_a_shop_owns_drills_by_whole_and_half_millimetres_to_13():
    """Common practice, no source; flutes of the long series from memory: 66 mm for 3, 134 for
    13."""
    have = [d.diameter for d in DRILLS if d.point_deg != FLAT]
    assert all(k / 2.0 in have for k in range(2, 27)) and min(have) == 1.0
    assert {d.reach for d in DRILLS if d.diameter in (3.0, 13.0) and d.point_deg != FLAT} == {
        66,
        134,
    }
    assert Shop().drill_for(5.2) is None and Shop().drill_for(13.3) is None
    assert Shop().drill_for(22.2, 20.0, flat=True).reach == 110.0
    assert max(d.reach for d in DRILLS) == 300.0
