"""The neutral sheet: layers, depths, mirroring, exact merging, start vertices."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from bodycad.errors import InputError
from bodycad.exports.sheet import cut_sheet, layer_name, written
from bodycad.geometry.plane.build import circle, rectangle, rounded, slot
from bodycad.geometry.plane.profile import Profile, profile
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.void import Void, from_back, from_front
from bodycad.making.upright import depth_of, in_plan, set_aside
from tests import sample
from tests.exports.bodies import hole, layout_of, pocket


def layer(sheet, name):
    return next(la for la in sheet.layers if la.name == name)


def test_layers_of_the_sample_body():
    """Names of layers: hundredths of a mm, diameters for bores only; the
    outline goes right through 44 mm, the tilted pocket is named by its deepest 16 + 40 x 0.01, the
    pilot of 20 mm to its tip by its full diameter, 1.2 / tan 59 degrees = 0.72 less. In the order
    of work: holes, recesses, pockets, ledge, and the outline with the last face."""
    front, back = (cut_sheet(sample.design().layout().body, face) for face in ("front", "back"))
    assert [la.name for la in front.layers] == [
        "DATUM",
        "CHECK",
        "OUTLINE-MARK",
        "FRONT_BORE_D0800_DIA950",
        "FRONT_BORE_D4400_DIA320",
        "FRONT_PILOT_D1928_DIA240",
        "FRONT_POCKET_D1640",
        "FRONT_POCKET_D1900",
        "FRONT_POCKET_D2700",
        "FRONT_LEDGE_D0640",
    ]
    assert [la.name for la in back.layers] == [
        "DATUM",
        "CHECK",
        "BACK_BORE_D1000_DIA800",
        "BACK_RECESS_D0300",
        "BACK_POCKET_D3700",
        "BACK_OUTLINE_D4400",
    ]


@pytest.mark.parametrize(
    "args, name",
    [
        (("front", "POCKET", 19.0), "FRONT_POCKET_D1900"),
        (("back", "BORE", 10.0, 8.0), "BACK_BORE_D1000_DIA800"),
        (("front", "OUTLINE", 44.5), "FRONT_OUTLINE_D4450"),
        (("front", "LEDGE", 6.4), "FRONT_LEDGE_D0640"),
        (("front", "PILOT", 0.125, 2.405), "FRONT_PILOT_D0013_DIA241"),
    ],
)
def test_layer_names(args, name):
    assert layer_name(*args) == name


@pytest.mark.parametrize(
    "operation", ["POCKET.A", "pocket 2", "FRÄSEN", "CABLE_CHANNEL", "A-VERY-LONG-OPERATION"]
)
def test_a_layer_name_that_readers_refuse_is_an_input_error(operation):
    with pytest.raises(InputError, match="layer name"):
        layer_name("front", operation, 19.0, 20.0)


def test_another_face_is_an_input_error():
    with pytest.raises(InputError, match="front, back"):
        cut_sheet(sample.design().layout().body, "edge")


def test_what_is_no_plan_cut_is_left_out_and_named():
    layout = sample.design().layout()
    drawn = {
        i
        for face in ("front", "back")
        for la in cut_sheet(layout.body, face).layers
        for d in la.items
        for i in d.ids
    }
    assert {v.id for v in set_aside(layout.body, "front")} == {"wire", "jack.bore"}
    assert {v.id for v in set_aside(layout.body, "back")} == {"jack.bore"}
    assert drawn == {v.id for v in layout.voids} - {"wire", "jack.bore"} | {
        "body.outline",
        "body.ledge",
    }


def test_depths_run_from_the_plain_face_to_the_deepest_point_at_full_width():
    """A pilot of 20 mm to the tip of its 118 degree point: 1.2 / tan 59 degrees less."""
    by_id = sample.design().layout().by_id
    assert depth_of(by_id["neck.pocket"], 44.0) == pytest.approx(16.4)
    assert depth_of(by_id["bridge.screw.1"], 44.0) == pytest.approx(20.0 - 0.72103, abs=1e-5)
    assert depth_of(by_id["b.cavity"], 44.0) == pytest.approx(37.0)
    sunk = Void("s", "p", "back", "RECESS", from_back(rectangle(9.0, 9.0), 12.0, 44.0, start=3.0))
    assert depth_of(sunk, 44.0) == pytest.approx(12.0)


def test_the_ledge_is_a_ring_of_wood_to_remove():
    """A 400 x 300 board with 20 mm corners, 1.5 of binding left 0.1 proud: within it 397.2 x 297.2
    with corners 18.6; 6.5 outside it 413 x 313 with corners 26.5."""
    made = layer(cut_sheet(sample.design().layout().body, "front"), "FRONT_LEDGE_D0640")
    (item,) = made.items
    (inner,) = item.region.holes
    round_corners = 4.0 - math.pi
    assert inner.area == pytest.approx(397.2 * 297.2 - round_corners * 18.6**2, rel=1e-12)
    assert inner.box == pytest.approx((-198.6, -148.6, 198.6, 148.6))
    outer = 413.0 * 313.0 - round_corners * 26.5**2
    assert made.area == pytest.approx(outer - inner.area, rel=1e-12)
    assert item.ids == ("body.ledge",) and item.depth == pytest.approx(6.4)


def test_the_back_is_drawn_as_seen_from_the_back():
    """The cavity at y = -60 appears at +60, the pins at y 0 and 120 at 0 and -120; x stays."""
    back = cut_sheet(sample.design().layout().body, "back")
    cavity = layer(back, "BACK_POCKET_D3700").items[0].region.outer
    assert cavity.centroid == pytest.approx((-60.0, 60.0))
    pins = [d.region.outer.circle for d in layer(back, "DATUM").items if d.region.outer.circle]
    assert [v for centre, radius in pins for v in (*centre, radius)] == pytest.approx(
        [-208, 0, 3, 208, -120, 3]
    )


def test_a_left_handed_front_is_the_mirrored_right_handed_front():
    right, left = (
        cut_sheet(sample.design(left_handed=hand).layout().body, "front") for hand in (False, True)
    )
    for one, two in zip(right.layers, left.layers, strict=True):
        assert one.name == two.name and one.area == pytest.approx(two.area, rel=1e-12)
        if one.name != "CHECK":
            x0, y0, x1, y1 = one.box
            assert two.box == pytest.approx((x0, -y1, x1, -y0))


def test_datum_and_check_bar_on_both_sheets():
    for face in ("front", "back"):
        sheet = cut_sheet(sample.design().layout().body, face)
        cross = layer(sheet, "DATUM").items[0].region.outer
        assert cross.contains(0.0, 0.0) and cross.centroid == pytest.approx((0.0, 0.0), abs=1e-12)
        x0, y0, x1, y1 = layer(sheet, "CHECK").box
        assert x1 - x0 == pytest.approx(100.0, abs=1e-12) and y1 - y0 < 10.0


def test_the_stock_takes_in_the_run_out_of_cuts_that_open_to_the_edge():
    long = rectangle(80.0, 56.0, 5.0, 190.0, 0.0)
    open_ended = Void(
        "n", "p", "front", "POCKET", from_front(long, 16.0), frozenset({"front", "edge"})
    )
    assert cut_sheet(layout_of(open_ended).body, "front").stock == pytest.approx(
        (-215.0, -165.0, 230.0, 165.0)
    )
    assert cut_sheet(layout_of(pocket("n", long)).body, "front").stock == pytest.approx(
        (-215.0, -165.0, 215.0, 165.0)
    )


def test_overlapping_cuts_of_one_layer_become_one():
    """Two 40 x 20 rectangles crossed at right angles: 2 x 800 - 400."""
    sheet = cut_sheet(
        layout_of(
            pocket("one", rectangle(40.0, 20.0)),
            pocket("two", rectangle(20.0, 40.0)),
            pocket("far", rectangle(10.0, 10.0, 2.0, 80.0, 0.0)),
        ).body,
        "front",
    )
    drawn = layer(sheet, "FRONT_POCKET_D1000").items
    assert [d.ids for d in drawn] == [("far",), ("one", "two")]
    assert drawn[1].region.area == pytest.approx(1200.0, rel=1e-12)


def test_cuts_of_different_depth_are_not_merged():
    layout = layout_of(
        pocket("one", rectangle(40.0, 20.0)), pocket("two", rectangle(20.0, 40.0), 12.0)
    )
    sheet = cut_sheet(layout.body, "front")
    assert [layer(sheet, f"FRONT_POCKET_D{d}").area for d in ("1000", "1200")] == pytest.approx(
        [800.0, 800.0]
    )


def test_cuts_that_share_an_edge_become_one():
    layout = layout_of(
        pocket("one", rectangle(40.0, 20.0)), pocket("two", rectangle(40.0, 20.0, 0.0, 40.0))
    )
    (drawn,) = layer(cut_sheet(layout.body, "front"), "FRONT_POCKET_D1000").items
    assert drawn.ids == ("one", "two") and drawn.region.outer.box == pytest.approx(
        (-20.0, -10.0, 60.0, 10.0)
    )


def test_cuts_round_an_island_keep_it():
    """Four bars that leave a square: 80 x 80 less 60 x 60."""
    bars = [rectangle(80.0, 10.0, 0.0, 0.0, y) for y in (-35.0, 35.0)]
    bars += [rectangle(10.0, 80.0, 0.0, x) for x in (-35.0, 35.0)]
    sheet = cut_sheet(
        layout_of(*(pocket(f"bar.{k}", shape) for k, shape in enumerate(bars))).body, "front"
    )
    (drawn,) = layer(sheet, "FRONT_POCKET_D1000").items
    assert drawn.ids == ("bar.0", "bar.1", "bar.2", "bar.3")
    assert [h.area for h in drawn.region.holes] == pytest.approx([3600.0])
    assert drawn.region.area == pytest.approx(2800.0)


def test_a_cut_within_an_island_keeps_its_own_id():
    """Two half rings about a small round pocket: one ring with a round hole, and the pocket in
    it."""
    half = profile([(30.0, 0.0, 1.0), (-30.0, 0.0), (-20.0, 0.0, -1.0), (20.0, 0.0)])
    layout = layout_of(
        pocket("upper", half),
        pocket("lower", half.moved(turn_deg=180.0)),
        pocket("well", circle(9.0)),
    )
    drawn = {
        d.ids: d.region for d in layer(cut_sheet(layout.body, "front"), "FRONT_POCKET_D1000").items
    }
    assert set(drawn) == {("lower", "upper"), ("well",)}
    assert drawn[("well",)].area == pytest.approx(math.pi * 4.5**2)
    assert drawn[("lower", "upper")].area == pytest.approx(math.pi * (30.0**2 - 20.0**2))


def test_merged_cuts_of_one_hundredth_take_the_deeper_depth():
    layout = layout_of(
        pocket("one", rectangle(40.0, 20.0), 10.004), pocket("two", rectangle(20.0, 40.0), 10.001)
    )
    (drawn,) = layer(cut_sheet(layout.body, "front"), "FRONT_POCKET_D1000").items
    assert drawn.ids == ("one", "two") and drawn.depth == pytest.approx(10.004, abs=1e-9)


def test_the_same_hole_twice_is_drilled_once():
    sheet = cut_sheet(layout_of(hole("a", 5.0, 5.0), hole("b", 5.0, 5.0)).body, "front")
    (drawn,) = layer(sheet, "FRONT_BORE_D1000_DIA800").items
    centre, radius = drawn.region.outer.circle
    assert drawn.ids == ("a", "b") and (*centre, radius) == pytest.approx((5.0, 5.0, 4.0))


def test_holes_that_run_into_each_other_are_a_contour_without_diameter():
    """Two circles of radius 4 with centres 4 apart; lens area r^2 (2 pi/3 - sqrt(3)/2) at d = r."""
    sheet = cut_sheet(
        layout_of(hole("a", 0.0, 0.0), hole("b", 4.0, 0.0), hole("c", 30.0, 0.0)).body, "front"
    )
    (pair,), (lone,) = (layer(sheet, f"FRONT_BORE_D1000{dia}").items for dia in ("", "_DIA800"))
    assert pair.ids == ("a", "b") and lone.ids == ("c",)
    lens = 16.0 * (2.0 * math.pi / 3.0 - math.sqrt(3.0) / 2.0)
    assert pair.region.area == pytest.approx(32.0 * math.pi - lens, rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.integers(-150, 150), st.integers(-100, 100), st.integers(8, 60), st.integers(8, 60)
        ),
        min_size=1,
        max_size=8,
    )
)
def test_a_layer_covers_what_its_cuts_cover(rows):
    """Against shapely's union; every id stands once and no two regions overlap."""
    shapes = [rectangle(a, b, 0.0, x + 0.5, y) for x, y, a, b in rows]
    sheet = cut_sheet(
        layout_of(*(pocket(f"c.{k}", shape) for k, shape in enumerate(shapes))).body, "front"
    )
    made = layer(sheet, "FRONT_POCKET_D1000")
    truth = shapely.union_all([shapely.Polygon(shape.vertices[:, :2]) for shape in shapes])
    assert made.area == pytest.approx(truth.area, rel=1e-9)
    assert sorted(i for d in made.items for i in d.ids) == sorted(
        f"c.{k}" for k in range(len(shapes))
    )
    regions = [d.region for d in made.items]
    polygons = [
        shapely.Polygon(r.outer.vertices[:, :2], [h.vertices[:, :2] for h in r.holes])
        for r in regions
    ]
    assert shapely.union_all(polygons).area == pytest.approx(
        sum(p.area for p in polygons), rel=1e-9
    )


CONTOURS = {
    "rectangle": rectangle(40.0, 20.0, 4.0, 3.0, 1.0),
    "slot": slot(60.0, 12.0, 5.0, 5.0, 30.0),
    "triangle": rounded([(0.0, 0.0), (30.0, 0.0), (0.0, 25.0)], 3.0),
    "keyhole": profile(
        [(0.0, -2.0), (20.0, -2.0), (20.0, 2.0), (0.0, 2.0, math.tan(math.radians(300.0) / 4.0))]
    ),
    "circle": circle(9.0, 1.0, 2.0),
}


@pytest.mark.parametrize("name", CONTOURS)
def test_a_written_contour_starts_on_a_straight_segment_wherever_it_was_begun(name):
    shape = CONTOURS[name]
    rows = written(shape)
    assert rows[0, 2] == 0.0 or name == "circle"
    for turn in range(1, len(shape.vertices)):
        assert written(Profile(np.roll(shape.vertices, turn, axis=0))) == pytest.approx(
            rows, abs=1e-12
        )


@pytest.mark.parametrize("name", CONTOURS)
def test_a_written_contour_keeps_its_area_and_turns_as_asked(name):
    shape = CONTOURS[name]
    assert Profile(written(shape)).area == pytest.approx(shape.area, rel=1e-12)
    assert Profile(written(shape, hole=True)).area == pytest.approx(-shape.area, rel=1e-12)
    assert np.abs(written(shape)[:, 2]).max() <= 1.0


def test_arcs_over_half_a_turn_are_split():
    """The keyhole's 300 degrees: twice tan(37.5 degrees) = 0.767327."""
    bulges = written(CONTOURS["keyhole"])[:, 2]
    assert sorted(bulges) == pytest.approx([0.0, 0.0, 0.0, 0.767327, 0.767327], abs=1e-6)


def test_a_tilted_bore_is_no_plan_cut_but_a_tilted_floor_is():
    tilted = Void("t", "p", "front", "BORE", bore((0, 0, 0), (0.1, 0, -1), 3.0, 20.0))
    floor = Void("f", "p", "front", "POCKET", Prism(rectangle(9, 9), -5.0, 0.0, (0.1, 0.0)))
    assert not in_plan(tilted, "front") and in_plan(floor, "front") and not in_plan(floor, "back")
