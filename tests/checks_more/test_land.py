"""`land` by hand on a 400 x 300 x 44 mm board."""

import math

import pytest

from bodycad.checks.rules.land import land
from bodycad.errors import InputError
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.solids.carve import FLAT, Carve, rectangle_between
from bodycad.geometry.solids.edge import Ledge, Roundover, Square
from bodycad.geometry.solids.skin import Contour, Skin
from bodycad.layout.blank import on_edge
from bodycad.layout.contours import fall_away
from bodycad.layout.interface import Land
from bodycad.layout.layout import Placed
from bodycad.layout.place import Depth, Place
from bodycad.parts.bridge import Hardtail
from bodycad.parts.cavity import Cavity
from bodycad.parts.jack import EndJack, StrapButton
from bodycad.parts.neckjoint import Bolt
from bodycad.parts.pickup import Humbucker
from bodycad.parts.sidejack import SideJack
from bodycad.parts.strap import StrapLock
from tests import sample
from tests.checks_more.bench import BOARD, T, bench, joint, loose, only

PLATE = ("jack.plate", "jack.bore")


def rounded(front=Roundover(6.0), back=Roundover(6.0), *contours):
    return Skin(BOARD, T, front, back, contours)


def cavity(x=-100.0):
    return Placed("c", Cavity(rectangle(60.0, 60.0, 10.0), Depth(35.0)), Place(x))


@pytest.mark.parametrize(
    "lip, spare, status", [(28.0, 2.0, "pass"), (31.0, 0.5, "warn"), (32.5, -0.25, "fail")]
)
def test_jack_lip_between_two_roundovers(lip, spare, status):
    """The side is flat from -6 to -38, its middle at -22: 16 mm less half the lip."""
    layout = bench(
        cavity(),
        Placed("jack", EndJack("c", -22.0, 70.0, lip=lip), on_edge(BOARD, -200.0, 0.0)),
        skin=rounded(),
    )
    found = only(land(layout), "land", "jack.lip", "edge")
    assert found.value == pytest.approx(spare, abs=1e-9) and found.status == status


@pytest.mark.parametrize(
    "part, foot, bore, spare, status",
    [
        (EndJack("c", -22.0, 70.0), "jack.lip", "jack.cup", 2.9, "pass"),
        (EndJack("c", -22.0, 70.0, lip=23.8), "jack.lip", "jack.cup", 0.8, "warn"),
        (EndJack("c", -22.0, 70.0, lip=20.0), "jack.lip", "jack.cup", -1.1, "fail"),
        (EndJack("c", -22.0, 70.0, lip=20.0), "jack.lip", "jack.bore", 1.5, "pass"),
        (StrapLock(-22.0, lip=15.0), "jack.button", "jack.cup", -0.5, "fail"),
        (StrapButton(-22.0, base=4.0), "jack.button", "jack.screw", 0.6, "warn"),
        (SideJack("c", -22.0, 70.0, plate_height=19.0, screw_rise=17.0), *PLATE, -0.5, "fail"),
    ],
)
def test_what_lies_on_the_side_is_wider_than_the_hole_under_it(part, foot, bore, spare, status):
    """Half of the foot less half of its hole: of the cup 22.2, of the bore 17, of the lock 16."""
    layout = bench(cavity(), Placed("jack", part, on_edge(BOARD, -200.0, 0.0)))
    (found,) = (f for f in land(layout) if f.code == "land.rim" and f.subjects == (foot, bore))
    assert found.value == pytest.approx(spare, abs=1e-9) and found.status == status


@pytest.mark.parametrize(
    "z, spare, side", [(-22.0, 8.6, "above"), (-30.0, 1.0, "below"), (-10.0, -3.4, "above")]
)
def test_strap_button_under_a_binding_ledge(z, spare, side):
    """Ledge 6.4 in front, roundover 6 behind: flat from -6.4 to -38; foot 14."""
    layout = bench(
        Placed("s", StrapButton(z), on_edge(BOARD, -200.0, 0.0)), skin=rounded(Ledge((1.5,), 6.4))
    )
    found = only(land(layout), "land", "s.button", "edge")
    assert (
        found.value == pytest.approx(spare, abs=1e-9)
        and side in found.text
        and found.status == ("fail" if spare < 0 else "pass")
    )


@pytest.mark.parametrize(
    "place, off, status",
    [
        (Place(-200.0, 0.0), 0.0, "pass"),
        (Place(-198.5, 0.0), 1.5, "warn"),
        (Place(-221.9, 0.0), 21.9, "fail"),
        (Place(-180.0, 0.0), 20.0, "fail"),
        (Place(-200.0, 0.0, 30.0), 3.5, "fail"),
        (Place(-200.5, 0.0, -30.0), 4.0, "fail"),
    ],
)
def test_a_foot_off_the_side_or_askew(place, off, status):
    """Foot 14: at 30 degrees its rim stands 7 sin 30 = 3.5 mm off. A button 22 mm off the body
    passed once: nothing asked where the side is."""
    layout = bench(Placed("s", StrapButton(-22.0), place), skin=rounded(Square(), Square()))
    found = only(land(layout), "land.off", "s.button", "edge")
    assert found.value == pytest.approx(off, abs=1e-9) and found.status == status


def test_a_contour_lowers_the_side():
    """A fall to 12 mm at the edge, 30 mm from where it starts: the side begins at -12 there, the
    foot's rim at -15. Its steepest place under the foot is at the edge itself, so 3 mm are left."""
    bevel = fall_away("arm", "front", T, (-170.0, 0.0), 180.0, run=30.0, drop=12.0)
    layout = bench(
        Placed("s", StrapButton(-22.0), on_edge(BOARD, -200.0, 0.0)),
        skin=rounded(Square(), Square(), bevel),
    )
    assert only(land(layout), "land", "s.button", "edge").value == pytest.approx(3.0, abs=1e-6)


@pytest.mark.parametrize(
    "y, spare, status", [(100.0, 4.0, "pass"), (103.5, 0.5, "warn"), (105.5, -1.5, "fail")]
)
def test_bridge_plate_and_the_roundover(y, spare, status):
    """Plate 80 wide: its side at y + 40, the flat ends at 150 - 6."""
    found = only(
        land(bench(Placed("b", Hardtail(52.5), Place(0.0, y)), skin=rounded())),
        "land",
        "b.plate",
        "edge",
    )
    assert found.value == pytest.approx(spare, abs=1e-9) and found.status == status


@pytest.mark.parametrize(
    "x, spare, status",
    [(10.0, 7.0, "pass"), (16.5, 0.5, "warn"), (20.0, -(92.5 - math.sqrt(92.5**2 - 9.0)), "fail")],
)
def test_bridge_plate_and_a_contour(x, spare, status):
    """The front falls from x = 50 by 5 mm in 30 (radius (900 + 25)/10 = 92.5); the plate ends 33 mm
    before its row. 3 mm over the line it hangs 92.5 - sqrt(92.5^2 - 9) = 0.049 mm free."""
    bevel = fall_away("arm", "front", T, (50.0, 0.0), 0.0, run=30.0, drop=5.0)
    found = only(
        land(bench(Placed("b", Hardtail(52.5), Place(x)), skin=rounded(Square(), Square(), bevel))),
        "land",
        "b.plate",
        "arm",
    )
    assert found.value == pytest.approx(spare, abs=1e-4) and found.status == status


@pytest.mark.parametrize("y, spare", [(90.0, 14.5 - 6.0), (110.0, -5.5 - 6.0)])
def test_ring_and_the_roundover(y, spare):
    """Ring 91 across: its end at y + 45.5; when it overhangs by 5.5 the flat is short by that and
    the roundover."""
    found = only(
        land(bench(Placed("n", Humbucker(50.0), Place(0.0, y)), skin=rounded())),
        "land",
        "n.ring",
        "edge",
    )
    assert found.value == pytest.approx(spare, abs=1e-9) and found.status == (
        "pass" if spare > 0 else "fail"
    )


@pytest.mark.parametrize(
    "x, spare, status", [(-150.0, 10.0, "pass"), (-159.5, 0.5, "warn"), (-161.0, -1.0, "fail")]
)
def test_cover_and_the_back_roundover(x, spare, status):
    """Recess 68 wide: its side 34 mm from the middle; the back is flat up to -194."""
    found = only(land(bench(cavity(x), skin=rounded())), "land", "c.recess", "edge")
    assert found.value == pytest.approx(spare, abs=1e-6) and found.status == status


def test_string_ferrules_and_a_contour_of_the_back():
    """The back falls from y = 40; the last ferrule of seven-and-nine tenths stands at 26.25: 9.8
    mm."""
    belly = fall_away("belly", "back", T, (0.0, 40.0), 90.0, run=30.0, drop=5.0)
    found = only(
        land(bench(Placed("b", Hardtail(52.5)), skin=rounded(Square(), Square(), belly))),
        "land",
        "b.ferrule.6",
        "belly",
    )
    assert found.value == pytest.approx(40.0 - 26.25 - 3.95, abs=1e-6)


def test_a_tilted_contour_counts_from_its_line_in_the_face():
    """A plane that leaves the back at y = 40 and falls at 12 degrees runs on into the air behind
    the back, where it comes nearer to the ferrules; the flat ends at its line in the face all the
    same."""
    plane = Carve(
        rectangle_between(-150.0, 150.0, -T - 160.0, -T), (0.0, 40.0), 0.0, (-30.0, 200.0), 12.0, -T
    )
    layout = bench(
        Placed("b", Hardtail(52.5)),
        skin=rounded(Square(), Square(), Contour("belly", "back", plane)),
    )
    found = only(land(layout), "land", "b.ferrule.6", "belly")
    assert found.value == pytest.approx(40.0 - 26.25 - 3.95 - FLAT, abs=1e-5)


@pytest.mark.parametrize("face", ["front", "back"])
def test_a_contour_whose_section_ends_in_the_face(face):
    """It falls 15 mm in 60 from x = 50 and is drawn no higher than the face: 7 mm after a plate
    that ends at 43."""
    rows = [(0.0, 0.0), (60.0, -15.0), (60.0, 0.0)]
    section = profile(rows if face == "front" else [(u, -T - w) for u, w in rows])
    layout = bench(
        Placed("b", Hardtail(52.5), Place(10.0)),
        cavity(9.0),
        skin=rounded(
            Square(),
            Square(),
            Contour("fall", face, Carve(section, (50.0, 0.0), 0.0, (-200.0, 200.0))),
        ),
    )
    subject = ("b.plate" if face == "front" else "c.recess", "fall")
    assert only(land(layout), "land", *subject).value == pytest.approx(7.0, abs=1e-3)


def test_a_tilted_contour_ends_where_its_sweep_ends():
    """A scoop along x from -30 to 30 that fades out: a cover 60 mm and more beyond its end lies on
    the flat."""
    scoop = Carve(circle(80.0, 0.0, -T - 30.0), (0.0, 0.0), -90.0, (-30.0, 30.0), 5.0, -T)
    layout = bench(cavity(140.0), skin=rounded(Square(), Square(), Contour("belly", "back", scoop)))
    found = [f for f in land(layout) if f.subjects[:1] == ("c.recess",)]
    assert [f.status for f in found] == ["pass"]


def test_neck_ferrules_stand_on_the_flat_or_in_a_contour():
    """Counterbore 14.15 across, 12 mm from the side: 12 - 7.075 - 6 = -1.075: the rounding eats its
    field. With a contour over it the same ferrule is left to bolt-seat."""
    neck = Placed("neck", joint(Bolt(60.0, 16.0, 18.0), Bolt(20.0, -16.0, 18.0)), Place(128.0))
    found = only(land(bench(neck, skin=rounded())), "land", "neck.bolt.1.seat", "edge")
    assert (
        found.value == pytest.approx(200.0 - 188.0 - 7.075 - 6.0, abs=1e-6)
        and found.status == "fail"
    )
    heel = fall_away("heel", "back", T, (170.0, 0.0), 0.0, run=30.0, drop=10.0)
    carved = list(land(bench(neck, skin=rounded(Roundover(6.0), Roundover(6.0), heel))))
    assert not [
        f for f in carved if f.subjects[:1] == ("neck.bolt.1.seat",)
    ] and "1 seats enter" in next(f.text for f in carved if f.code == "land.carved")


def test_nothing_to_lie_flat_is_skipped():
    assert [f.status for f in land(bench(loose()))] == ["skip"]


def test_a_contour_that_takes_the_binding_ledge_away_is_noted():
    """The sample's forearm bevel crosses a bound edge; without contours there is nothing to
    note."""

    def notes(contours):
        return [f for f in land(sample.design(contours).layout()) if "binding ledge" in f.text]

    assert [f.subjects for f in notes(True)] == [("contour.forearm", "edge.front")]
    assert notes(False) == []


@pytest.mark.parametrize(
    "given, missing",
    [
        ({"face": "front"}, "plan"),
        ({"face": "edge", "inward": (1.0, 0.0, 0.0), "diameter": 9.0}, "at"),
        ({"face": "edge", "at": (0.0, 0.0, 0.0), "diameter": 9.0}, "inward"),
        ({"face": "edge", "at": (0.0, 0.0, 0.0), "inward": (1.0, 0.0, 0.0)}, "diameter"),
    ],
)
def test_a_flat_that_does_not_say_where_it_is_is_refused(given, missing):
    with pytest.raises(InputError, match=f"the {missing} of a Land of p"):
        Land(part="p", name="p.foot", **given)
