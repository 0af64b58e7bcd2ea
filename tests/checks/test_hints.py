"""The cures that findings name in words are true where they are said: followed, they mend."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bodycad.geometry.plane.build import circle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.edge import Roundover
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.blank import on_edge
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.layout.void import Void
from bodycad.parts.jack import EndJack
from bodycad.parts.neckjoint import Bolt
from bodycad.shop import Shop
from bodycad.tools import Cutter, Drill
from tests.checks.bench import (
    T,
    ask,
    board,
    controls,
    cut,
    hardtail,
    humbucker,
    necked,
    one,
    pocket,
)
from tests.sample import Loose

OUTLINE = board().skin.outline


def jacked(y: float = 0.0, reach: float = 45.0, **changes):
    """A cavity behind a jack in the end of the board, which looks along y = `y`."""
    jack = EndJack("control", -22.0, **{"reach": reach, **changes})
    return board(controls(x=-120.0, y=0.0), Placed("jack", jack, on_edge(OUTLINE, -200.0, y)))


def test_a_jack_that_looks_at_its_cavity_is_lengthened_and_one_that_looks_past_it_is_not():
    """45 mm reach stop 5 mm short of a cavity 50 mm off, and 60 mm do not; 60 mm beside its middle
    no reach will do."""
    short, past = (one(jacked(y), "jack-path", "jack.bore", "control.cavity") for y in (0.0, 60.0))
    assert short.status == past.status == "fail"
    assert short.cure == "lengthen jack's reach"
    assert past.cure == "move or turn jack so that jack.bore meets control.cavity squarely"
    assert one(jacked(reach=60.0), "jack-path", "jack.bore", "control.cavity").status == "pass"
    assert one(jacked(60.0, 130.0), "jack-path", "jack.bore", "control.cavity").status == "fail"


def test_a_tight_bore_of_a_jack_is_widened():
    """13 mm across for a plug of 14."""
    found = one(jacked(reach=60.0, hole=13.0), "jack-path", "jack.plug", "wood")
    assert (found.status, found.cure) == ("fail", "widen jack.bore")


def test_a_plug_that_strikes_the_far_wall_wants_a_roomier_cavity():
    """A cavity 60 mm long begins 50 mm in: a plug of 115 mm strikes its end."""
    found = one(jacked(reach=60.0, plug=115.0), "jack-path", "jack.plug", "wood")
    assert found.status == "fail" and found.cure.startswith("make control.cavity roomier")


def channel(name: str, end, target: str) -> Placed:
    """A hole of 6 mm from the pocket of `one` toward `end`."""
    start = (-100.0, 0.0, -10.0)
    way = tuple(b - a for a, b in zip(start, end))
    length = sum(w * w for w in way) ** 0.5
    shape = bore(start, way, 6.0, length)
    void = Void(f"{name}.hole", name, "front", "CHANNEL", shape, frozenset(), frozenset({target}))
    return Placed(name, Loose((void,)))


@pytest.mark.parametrize(
    "end, cure",
    [((50.0, 0.0, -10.0), "make wire.hole 30 mm longer or more"), ((50.0, 60.0, -10.0), "aim ")],
)
def test_a_hole_that_stops_short_is_lengthened_where_it_looks_at_the_other(end, cure):
    """30 mm short of a pocket that begins at x = 80, and drilled on it meets; aimed aside it passes
    by."""
    layout = board(pocket("two", 100.0, 0.0, 40.0, 40.0, 20.0), channel("wire", end, "two.cut"))
    found = one(layout, "complete", "wire.hole", "two.cut")
    assert found.status == "fail" and found.cure.startswith(cure)


def round_(name: str, x: float, low: float, high: float = 0.0) -> Placed:
    return cut(name, Prism(circle(20.0, x), low, high))


def test_an_upright_wall_wants_narrower_voids_and_a_level_one_shallower_ones():
    """Two pockets side by side, one over the other, and one aside and deeper than the other."""
    cures = {
        name: one(board(*parts), "wall", "a.cut", "b.cut").cure.rpartition(" make one of them ")[2]
        for name, parts in {
            "beside": (round_("a", 0.0, -10.0), round_("b", 22.0, -10.0)),
            "over": (
                round_("a", 0.0, -20.0),
                cut("b", Prism(circle(20.0, 0.0), -T, -22.0), "back"),
            ),
        }.items()
    }
    assert cures == {"beside": "smaller", "over": "shallower"}


def test_a_floor_to_the_plain_face_is_not_told_to_move_the_face():
    (found,) = [f for f in ask(board(round_("a", 0.0, 2.0 - T)), "floor") if f.status == "fail"]
    assert found.cure == "make a.cut shallower, or use thicker stock"


def test_what_breaks_out_of_the_side_is_not_told_to_be_shallower():
    found = [f for f in ask(board(round_("a", 195.0, -10.0)), "breakout") if f.status == "fail"]
    assert [f.cure.partition(";")[0] for f in found] == ["make a.cut smaller or move it inward"]


def test_a_ferrule_over_a_plain_back_is_not_told_to_carve_less():
    """Nothing is carved there: it is let in deeper."""
    shallow = Bolt(40.0, 12.0, 26.5), Bolt(40.0, -12.0, 26.5)
    told = [f for f in ask(board(necked(*shallow)), "bolt-seat") if f.code == "bolt-seat.proud"]
    assert [f.status for f in told] == ["fail", "fail"]
    assert {f.cure for f in told} == {
        f"leave less wood under screw {k}, or use a lower ferrule" for k in (1, 2)
    }


def test_a_turned_bridge_is_not_told_another_spread():
    """Its saddles stand as far apart as the strings; one of 50 mm does not."""
    turned, narrow = (
        next(
            f
            for f in ask(board(hardtail(**changes)), "string-holes")
            if f.code == "string-holes.pitch" and f.subjects != ("bridge",) and f.status == "fail"
        )
        for changes in ({"turn_deg": 5.0}, {"spread": 48.0, "hole_pitch": 9.6})
    )
    assert "turn bridge by -5.00 degrees" in turned.cure and "spread" not in turned.cure
    assert "spread" in narrow.cure


@pytest.mark.parametrize("y, side", [(2.0, "treble"), (-2.0, "bass")])
def test_a_pickup_beside_the_strings_is_moved_and_one_of_another_spacing_changed(y, side):
    """52 mm of poles stand 2 mm aside; 44 mm of them in the middle."""
    aside, narrow = (
        next(f for f in ask(board(humbucker(0.0, **changes)), "pole-offset"))
        for changes in ({"y": y, "pole_spacing": 52.5}, {"pole_spacing": 44.0})
    )
    assert aside.cure == f"move pickup by 2.00 mm toward the {side}"
    assert "a pole spacing of" in narrow.cure


def test_a_wide_row_of_string_holes_is_told_its_pitch():
    found = one(board(hardtail(hole_pitch=11.5)), "string-holes", "bridge", text="beside their")
    assert found.status == "fail" and found.cure == "a hole pitch of 10.50 mm matches the saddles"


def test_a_foot_on_a_square_edge_is_not_told_of_a_roundover():
    """A lip of 50 mm on a 44 mm edge: only over a rounded one does less rounding help."""
    told = {}
    for name, edge in (("square", {}), ("rounded", {"front": Roundover(6.0)})):
        jack = EndJack("control", -15.0, 60.0, lip=34.0)
        layout = board(
            controls(x=-120.0, y=0.0), Placed("jack", jack, on_edge(OUTLINE, -200.0, 0.0)), **edge
        )
        told[name] = next(f.cure for f in ask(layout, "land") if f.status == "fail")
    assert "edge treatment" not in told["square"] and "edge treatment" in told["rounded"]


def test_an_outline_that_no_cutter_reaches_is_not_told_to_be_shallower():
    """It goes through; a pocket may be shallower."""
    shop = Shop(cutters=(Cutter(6.0, 15.0),))
    layout = board(pocket("one", 0.0, 0.0, 60.0, 60.0, 20.0), shop=shop)
    told = {f.subjects[0]: f.cure for f in ask(layout, "cutter-reach") if f.status == "fail"}
    assert "shallower" in told["one.cut"]
    assert "shallower" not in told["body.outline"]


@pytest.mark.parametrize(
    "x, cure",
    [(10.0, "use a larger blank or shift the outline in it"), (0.0, "use a larger blank")],
)
def test_an_outline_is_shifted_only_in_a_blank_that_is_large_enough(x, cure):
    """A board of 400 mm in a blank of 419 has 9.5 at each end when it is shifted, in one of 399
    nothing."""
    layout = board()
    blank = replace(layout.blank, x0=-199.0, x1=200.0 + 2.0 * x)
    found = [
        f
        for f in ask(layout.with_body(blank=blank), "stock")
        if f.subjects == ("blank", "bridge end")
    ]
    assert found[0].status == "fail" and found[0].cure == cure


@pytest.mark.parametrize("opens, told", [({"front"}, True), ({"front", "back"}, False)])
def test_a_hole_right_through_is_not_told_to_be_shallower(opens, told):
    """A drill that reaches 10 mm, for a hole of 30 or of 22 from each face."""
    shop = Shop(drills=(Drill(8.0, 10.0),))
    shape = bore((0.0, 0.0, 0.0), (0.0, 0.0, -1.0), 8.0, T if len(opens) > 1 else 30.0)
    void = Void("deep", "deep", "front", "BORE", shape, frozenset(opens))
    layout = board(Placed("deep", Loose((void,)), Place()), shop=shop)
    found = next(f for f in ask(layout, "drill-reach") if f.status == "fail")
    assert ("shallower" in found.cure) is told and "both faces" not in found.cure
