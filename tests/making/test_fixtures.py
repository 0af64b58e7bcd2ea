"""Fixtures: the drill through the string holes, the frame round the heel, the jack's plate."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bodycad.checks.order.jobs import Work
from bodycad.exports.sheet import cut_sheet
from bodycad.guides import DrillBush
from bodycad.layout.interface import Joint, StringHole
from bodycad.layout.layout import Layout
from bodycad.making.fixtures import fixtures
from bodycad.making.order import cut_order
from bodycad.shop import Limit, Shop
from tests.drawn import layout_of
from tests.making.cutting import grown, inside, polygon


def of(layout: Layout, start: str):
    return [one for one in fixtures(layout) if one.id.startswith(start)]


def circles(piece, face, ids=None):
    """Centres and diameters of the drilled holes of one face, as drawn."""
    return sorted(
        (*item.region.outer.circle[0], 2.0 * item.region.outer.circle[1])
        for layer in cut_sheet(piece, face).layers
        for item in layer.items
        if item.region.outer.circle and (ids is None or set(item.ids) & ids)
    )


@pytest.mark.parametrize("name", ["teasel", "burdock"])
@pytest.mark.parametrize("left", [False, True])
def test_the_string_holes_are_the_layouts(name, left):
    """On both faces, to 1e-9 mm: the fixture, turned over with the blank, lies on its back. They
    are as wide as the drill: 3.5 where burdock's are drawn 3.4."""
    layout = layout_of(name).mirrored() if left else layout_of(name)
    (one,) = of(layout, "string-holes")
    ids = {record.hole for record in layout.stated(StringHole)}
    front = circles(one.piece, "front", ids)
    holes = [layout.by_id[i].shape.hole for i in ids]
    wide = {"teasel": 3.2, "burdock": 3.5}[name]
    meant = sorted((h.start[0], h.start[1], wide) for h in holes)
    assert np.allclose(front, meant, rtol=0.0, atol=1e-9)
    turned = sorted((x, -y, d) for x, y, d in front)
    seen = sorted((h.start[0], -h.start[1], wide) for h in holes)
    assert np.allclose(turned, seen, rtol=0.0, atol=1e-9)
    pins = [(p.x, p.y, p.diameter) for p in layout.blank.pins]
    found = circles(one.piece, "front", {f"pin.{k}" for k in range(1, 4)})
    assert np.allclose(found, sorted(pins), rtol=0.0, atol=1e-9)
    assert not one.faults
    assert any(f"guide holes {wide:g} mm, the drill's own size" in note for note in one.notes)


@pytest.mark.parametrize("name", ["teasel", "burdock"])
def test_string_holes_and_seats_are_drilled_in_the_order_of_the_work(name):
    """The front's half, the seats, the other half: a seat's bit wants wood under its point."""
    layout = layout_of(name)
    ids = {record.hole for record in layout.stated(StringHole)}
    seats = {record.seat for record in layout.stated(StringHole)}
    steps = [step for step in cut_order(layout).steps if step.work in (Work.VOID, Work.MEET)]
    first = [k for k, step in enumerate(steps) if ids & set(step.ids)]
    seated = [k for k, step in enumerate(steps) if seats & set(step.ids)]
    assert first[0] < min(seated) and max(seated) < first[-1]
    (one,) = of(layout, "string-holes")
    said = " ".join(one.notes)
    where = [said.index(part) for part in ("half way", "bore the seats", "drill the other half")]
    assert where == sorted(where)


def test_holes_that_a_drill_takes_right_through():
    """A long drill and a shop that does not mind: no half, and a seat that a pin leads."""
    layout = layout_of("teasel")
    easy = Limit(40.0, 30.0, "tests", most=True)
    shop = replace(layout.shop, limits={**layout.shop.limits, "drill-reach.ratio": easy})
    (one,) = of(replace(layout, shop=shop), "string-holes")
    assert any("right through" in note for note in one.notes)
    assert any("a bit with a pin" in note for note in one.notes)


def test_drill_bushes_of_the_shop():
    """Bushes of 6 mm stand in rows of 10.5 mm with 4.5 between them; of 9 mm they do not."""
    layout = layout_of("teasel")
    for outside, size in ((6.0, 6.0), (9.0, 3.2)):
        shop = Shop(drill_bushes=(DrillBush(3.2, outside),))
        (one,) = of(replace(layout, shop=shop), "string-holes")
        ids = {record.hole for record in layout.stated(StringHole)}
        assert {round(d, 9) for *_, d in circles(one.piece, "front", ids)} == {size}
    assert Shop(drill_bushes=(DrillBush(3.0, 6.0),)).drill_bush(3.2) is None


def test_two_pins_are_told():
    layout = layout_of("teasel")
    bare = layout.with_body(blank=replace(layout.blank, pins=layout.blank.pins[:2]))
    (one,) = of(bare, "string-holes")
    assert any("more than one way" in fault for fault in one.faults)


def test_no_string_holes_no_fixture():
    assert not of(layout_of("bistort"), "string-holes")
    layout = layout_of("teasel")
    bare = tuple(one for one in layout.interfaces if not isinstance(one, (Joint, StringHole)))
    assert not fixtures(replace(layout, interfaces=bare))


@pytest.mark.parametrize("name", ["teasel", "bramble", "mallow"])
def test_the_cheeks_close_on_the_heel(name):
    """Together with the heel they fill the frame, but for the gap behind the heel; a bearing bit
    led by them cuts no more than the heel and the gap."""
    layout = layout_of(name)
    bass, treble = of(layout, "heel")
    joint = layout.stated(Joint)[0]
    x, y, _ = joint.end
    heel = polygon(layout.rooms_by_id[joint.heel].shape.plan.moved(-x, -y))
    one, two = polygon(bass.piece.skin.outline), polygon(treble.piece.skin.outline)
    assert one.intersection(heel).area < 0.01 and two.intersection(heel).area < 0.01
    assert one.distance(two) == pytest.approx(2.0)
    assert one.distance(heel) < 1e-6 and two.distance(heel) < 1e-6
    assert one.bounds[1] >= 1.0 - 1e-9 and two.bounds[3] <= -1.0 + 1e-9
    sides = grown(heel, 0.01).intersection(one).area + grown(heel, 0.01).intersection(two).area
    x0, y0, x1, y1 = heel.bounds
    assert sides == pytest.approx(0.01 * (2.0 * (x1 - x0) + (y1 - y0) - 2.0), rel=0.1)


def test_the_cheeks_follow_the_hand():
    layout = layout_of("teasel")
    right, left = of(layout, "heel-bass")[0], of(layout.mirrored(), "heel-bass")[0]
    one = polygon(right.piece.skin.outline.mirrored())
    assert one.symmetric_difference(polygon(left.piece.skin.outline)).area < 1e-6


def test_the_packing_is_the_pockets_play():
    """Teasel's pocket: 56.3 at the heel's end and 0.15 mm of play a side."""
    (bass,) = of(layout_of("teasel"), "heel-bass")
    assert any("packing of 0.15 mm on each side" in note for note in bass.notes)


def test_without_bearing_bits_a_frame_guides_nothing():
    layout = replace(layout_of("teasel"), shop=Shop(bearing_bits=()))
    for one in of(layout, "heel"):
        assert one.faults == ("no bearing bit on hand follows it",)


def test_a_jack_plate_as_a_part():
    """Woodruff's: 38 by 32 of 1.6 mm, four holes where its screws are, 28 by 22 mm apart."""
    (plate,) = of(layout_of("woodruff"), "jack-plate")
    x0, y0, x1, y1 = plate.piece.skin.outline.box
    assert (x1 - x0, y1 - y0) == pytest.approx((38.0, 32.0))
    assert plate.piece.thickness == pytest.approx(1.6)
    spots = [
        (round(abs(x), 6), round(abs(y), 6))
        for x, y, d in circles(plate.piece, "front")
        if d != 3.0
    ]
    screws = [s for s in layout_of("woodruff").voids if s.id.startswith("jack.screw")]
    assert len(spots) == len(screws) == 4 and len(set(spots)) == 1
    across = {round(abs(s.shape.hole.start[2] + 22.5), 6) for s in screws}
    assert {y for _, y in spots} == across
    assert inside(plate.piece.skin.outline, 0.1, 0.1).area == pytest.approx(38.0 * 32.0, abs=0.1)
