"""`pilot-tip`, `screw-grip`, `post-web` and `glue-joint` by hand."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bodycad.checks.rules.grip import screw_grip
from bodycad.checks.rules.screws import glue_joint, pilot_tip, post_web
from bodycad.fasteners import Insert
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.edge import Roundover, Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.blank import Blank, on_edge
from bodycad.layout.interface import Hides, Post, Screw
from bodycad.layout.layout import Placed
from bodycad.layout.void import Room, Void
from bodycad.parts.bridge import Hardtail
from bodycad.parts.jack import StrapButton
from tests.checks_more.bench import BOARD, bench, hole, loose, only, pocket

POINT = 1.2 / 1.6643
"""Length of a 2.4 mm twist drill's point: half of it over the tangent of 59 degrees, mm."""


def pilot(x=0.0, y=0.0, diameter=2.4, depth=20.0, name="p.screw", part="p"):
    return hole(name, x, y, diameter, depth, "PILOT", part)


@pytest.mark.parametrize("ceiling, status", [(-26.0, "pass"), (-24.0, "warn"), (-22.5, "fail")])
def test_tip_over_a_cavity(ceiling, status):
    """20 mm deep over a cavity whose ceiling lies at -26, -24, -22.5: 6, 4, 2.5 mm of wood,
    less the drill's point."""
    cavity = pocket("q.cavity", -20.0, 20.0, -44.0, ceiling, opens=("back",))
    found = only(
        pilot_tip(bench(loose(pilot()), loose(cavity, name="q"))),
        "pilot-tip",
        "p.screw",
        "q.cavity",
    )
    due = -20.0 - ceiling - POINT
    assert found.value == pytest.approx(due, abs=1e-3) and found.status == status


@pytest.mark.parametrize("depth, status", [(38.0, "pass"), (40.0, "warn"), (42.0, "fail")])
def test_tip_to_the_back(depth, status):
    found = only(
        pilot_tip(bench(loose(pilot(depth=depth)))), "pilot-tip", "p.screw", "the plain back"
    )
    due = 44.0 - depth - POINT
    assert found.value == pytest.approx(due, abs=1e-3) and found.status == status


def test_only_the_end_counts():
    """A cavity that ends 3 mm above the tip's last 2 mm and 1 mm beside the pilot: hypot(1, 3) from
    the end; the wall beside the shank is the wall check's."""
    cavity = pocket("q.cavity", 2.2, 22.2, -15.0, 0.0, opens=("front",))
    found = only(
        pilot_tip(bench(loose(pilot()), loose(cavity, name="q"))),
        "pilot-tip",
        "p.screw",
        "q.cavity",
    )
    assert found.value == pytest.approx((1.0 + 9.0) ** 0.5, abs=0.011)


def grip(*more, skin=None, bites=None, rooms=(), diameter=2.4, x=0.0, **changes):
    """The findings about a 4 mm thread in a hole 20 deep from the front of a board 44 thick."""
    sizes = {"reach": 20.0, "at": (x, 0.0, 0.0), "bites": bites, **changes}
    screw = Screw(part="p", number=1, hole="p.screw", way=(0, 0, -1), thread=4.0, **sizes)
    own = pilot(x=x, diameter=diameter)
    return list(screw_grip(bench(loose(own, *more, rooms=rooms, says=(screw,)), skin=skin)))


@pytest.mark.parametrize(
    "seat, reach, due, status",
    [(0.0, 8.0, 8.0, "pass"), (3.0, 9.0, 6.0, "warn"), (9.0, 13.0, 4.0, "fail")]
    + [(30.0, 20.0, -10.0, "fail"), (0.0, 60.0, 20.0, "far"), (90.0, 20.0, -60.0, "fail")],
)
def test_a_screw_bites_the_wood_round_its_hole(seat, reach, due, status):
    """From a seat so high over the front; a hole 20 deep holds no more than 20 mm of it."""
    found = grip(at=(0.0, 0.0, seat), reach=reach)
    if status == "far":
        assert [f.code for f in found] == ["screw-grip.far"]
        return
    found = only(found, "screw-grip", "p.screw", "body")
    assert found.value == pytest.approx(due, abs=1e-6) and found.status == status
    assert ("10.00 mm short" in found.text) == (due == -10.0)


def test_air_on_its_way_holds_no_screw():
    """Of 10 mm of screw 4 are in a pocket, or in the air beside an edge of 10 mm radius: 2 mm in,
    it falls by 10 - sqrt(100 - 64) = 4 mm."""
    shallow = pocket("p.recess", -20.0, 20.0, -4.0, 0.0, part="p", opens=("front",))
    for found in (
        grip(shallow, reach=10.0),
        grip(x=198.0, skin=Skin(BOARD, 44.0, Roundover(10.0), Square()), reach=10.0),
    ):
        assert only(found, "screw-grip", "p.screw", "body").value == pytest.approx(6.0, abs=0.01)


def test_a_strap_screw_that_is_too_short():
    layout = bench(Placed("s", StrapButton(-22.0, pilot_depth=4.0), on_edge(BOARD, -200.0, 0.0)))
    found = only(screw_grip(layout), "screw-grip", "s.screw", "body")
    assert found.value == pytest.approx(4.0, abs=1e-6) and found.status == "fail"


def test_a_hole_as_wide_as_the_thread_holds_nothing():
    assert only(grip(diameter=4.0), "screw-grip.free", "p.screw", "thread").status == "fail"
    insert = Insert(outside=6.0, hole=5.0, length=8.0, depth=9.0)
    found = only(grip(diameter=6.0, insert=insert), "screw-grip.thread", "p.screw", "body")
    assert found.value == pytest.approx(4.0) and found.status == "pass"


@pytest.mark.parametrize(
    "reach, pilot_width, code, due, status",
    [
        (30.0, 3.2, "screw-grip", 6.0, "warn"),
        (20.0, 3.2, "screw-grip", -4.0, "fail"),
        (30.0, None, "screw-grip.thread", 2.0, "pass"),
        (27.0, None, "screw-grip.thread", -1.0, "fail"),
    ],
)
def test_a_screw_bites_a_part(reach, pilot_width, code, due, status):
    """A block 10 mm thick, 24 mm from the seat: a wood screw, or a machine screw that wants one
    diameter of thread there."""
    block = Room("p.block", "p", "part", Prism(rectangle(20.0, 20.0), -34.0, -24.0))
    found = grip(bites="p.block", rooms=(block,), reach=reach, pilot=pilot_width)
    found = only(found, code, "p.screw", "p.block")
    assert found.value == pytest.approx(due, abs=1e-6) and found.status == status


@pytest.mark.parametrize("inward, status", [(20.0, "pass"), (15.0, "warn"), (10.0, "fail")])
def test_diameters_from_the_side(inward, status):
    """A 2.4 mm pilot belongs to a screw of 2.4/(0.9 * 2/3) = 4 mm: 5, 3.75 and 2.5 diameters."""
    found = only(
        pilot_tip(bench(loose(pilot(200.0 - inward)))),
        "pilot-tip",
        "p.screw",
        "edge",
        unit="diameters",
    )
    assert found.value == pytest.approx(inward / 4.0, abs=0.003) and found.status == status


@pytest.mark.parametrize(
    "z, due, status", [(-22.0, 4.714, "pass"), (-15.0, 3.214, "warn"), (-10.0, 2.143, "fail")]
)
def test_strap_screw_between_the_faces(z, due, status):
    """2.8 mm pilot: screw 4.667 mm; so many diameters from the nearer face."""
    layout = bench(Placed("s", StrapButton(z), on_edge(BOARD, -200.0, 0.0)))
    found = only(pilot_tip(layout), "pilot-tip", "s.screw", "the plain front", unit="diameters")
    assert found.value == pytest.approx(due, abs=0.003) and found.status == status


def test_parts_with_row_checks_keep_their_own_screws():
    """A bridge's screws against its own string holes are ferrule-wall's; those of an unknown part
    are judged here."""
    bridge = bench(Placed("b", Hardtail(52.5, screws=((3.0, 0.0),))))
    assert not [f for f in pilot_tip(bridge) if any("string" in s for s in f.subjects)]
    own = bench(
        loose(pilot(), pocket("p.cut", 3.2, 20.0, -44.0, 0.0, "p", opens=("front", "back")))
    )
    assert only(pilot_tip(own), "pilot-tip", "p.screw", "p.cut").value == pytest.approx(
        2.0, abs=0.011
    )


@pytest.mark.parametrize("ahead, status", [(12.0, "pass"), (8.0, "warn"), (5.0, "fail")])
def test_web_before_a_post(ahead, status):
    """An 11 mm post with a route so many mm ahead of its wall."""
    layout = bench(
        loose(hole("p.post", 0.0, 0.0, 11.0, 25.0, "POST")),
        loose(pocket("q.route", 5.5 + ahead, 60.0, -19.0, 0.0), name="q"),
    )
    found = only(post_web(layout), "post-web", "p.post", "q.route")
    assert found.value == pytest.approx(ahead, abs=1e-6) and found.status == status


def test_a_route_behind_a_post_is_left_to_wall():
    layout = bench(
        loose(hole("p.post", 0.0, 0.0, 11.0, 25.0, "POST")),
        loose(pocket("q.route", -60.0, -9.5, -19.0, 0.0), name="q"),
    )
    assert [(f.status, f.value) for f in post_web(layout)] == [("pass", None)]


def test_a_post_in_a_route_fails():
    layout = bench(
        loose(hole("p.post", 0.0, 0.0, 11.0, 25.0, "POST")),
        loose(pocket("q.route", -20.0, 20.0, -19.0, 0.0), name="q"),
    )
    assert only(post_web(layout), "post-web", "p.post", "q.route").status == "fail"


def test_no_posts_is_skipped():
    assert [f.status for f in post_web(bench(loose(pilot())))] == ["skip"]


@pytest.mark.parametrize(
    "voids, spare, status",
    [
        ((hole("p.post", 0.0, 20.0, 11.0, 25.0, "POST"),), 4.0 - 5.5, "warn"),
        ((pilot(0.0, 24.5),), 0.5 - 1.2, "pass"),
        ((pilot(0.0, 24.5), pilot(40.0, 24.0, name="p.screw.2")), 0.0 - 1.2, "warn"),
        ((pilot(0.0, 30.0),), 6.0 - 1.2, "pass"),
    ],
)
def test_joint_line_through_holes(voids, spare, status):
    """Joint at y = 24: a post warns, one hole of a part is noted, two of them warn, a near one
    passes."""
    found = list(glue_joint(bench(loose(*voids), joints=(24.0,))))[0]
    assert found.value == pytest.approx(spare, abs=1e-9) and (found.status, found.limit) == (
        status,
        None,
    )


def test_a_neck_screw_on_the_joint_warns():
    """Counterbore and hole of one screw are one place; the strings' pull goes through it, unless
    its record says otherwise."""
    cuts = hole("p.seat", 0.0, 24.0, 14.0, 10.0), hole("p.hole", 0.0, 24.0, 4.8, 30.0)
    for loaded, status in ((True, "warn"), (False, "pass")):
        screw = Screw(
            part="p",
            number=1,
            hole="p.hole",
            seat="p.seat",
            at=(0.0, 24.0, -10.0),
            way=(0.0, 0.0, 1.0),
            thread=4.2,
            reach=35.0,
            loaded=loaded,
        )
        found = list(glue_joint(bench(loose(*cuts, says=(screw,)), joints=(24.0,))))[0]
        assert found.status == status and "1 hole " in found.text


@pytest.mark.parametrize(
    "joints, wide, status",
    [
        ((24.0, 25.0), 1.0, "fail"),
        ((30.0, -20.0, 20.0), 10.0, "pass"),
        ((145.0,), 5.0, "warn"),
        ((-149.0,), 1.0, "fail"),
        ((160.0, 161.0, 0.0), 150.0, "pass"),
    ],
)
@pytest.mark.parametrize("left_handed", [False, True])
def test_the_narrowest_board_of_the_body(joints, wide, status, left_handed):
    """The board reaches from y = -150 to 150 in a blank to 165: joints in the waste are none."""
    layout = bench(loose(), joints=joints, left_handed=left_handed)
    found = only(glue_joint(layout), "glue-joint.board", "blank", "board")
    assert (found.value, found.status) == (pytest.approx(wide), status)


def test_the_narrowest_board_of_another_workpiece():
    """A top of its own, glued of two boards, 4 mm of one of which its outline reaches."""
    layout = bench(loose(), joints=(0.0,))
    skin = replace(layout.skin, outline=rectangle(100.0, 40.0))
    blank = Blank(-60.0, -30.0, 60.0, 30.0, layout.blank.species, joints=(16.0,))
    top = replace(layout.body, id="top", skin=skin, blank=blank)
    found = list(glue_joint(replace(layout, pieces=(*layout.pieces, top))))
    assert only(found, "glue-joint.board", "top.blank", "board").value == pytest.approx(4.0)
    assert only(found, "glue-joint.board", "blank", "board").value == pytest.approx(150.0)


def test_one_piece_is_skipped():
    assert [f.status for f in glue_joint(bench(loose(pilot())))] == ["skip"]


def test_an_own_screw_beside_its_own_cut_is_measured_unless_a_rim_hides_that_cut():
    """A pilot 2 mm from its own part's pocket: `pilot-tip` judges it, but where the part's rim
    hides that pocket, `ring-cover` does."""
    cuts = pilot(), pocket("p.cut", 3.2, 20.0, -44.0, 0.0, "p", opens=("front", "back"))
    cover = Room("p.ring", "p", "ring", Prism(rectangle(60.0, 60.0), 0.0, 2.0))
    rim = Hides(
        part="p",
        kind="on",
        name="ring",
        rim=rectangle(60.0, 60.0),
        room="p.ring",
        face="front",
        voids=("p.cut",),
        screws=("p.screw",),
    )
    for says, count in (((), 1), ((rim,), 0)):
        layout = bench(loose(*cuts, rooms=(cover,), says=says))
        assert len([f for f in pilot_tip(layout) if f.subjects == ("p.screw", "p.cut")]) == count


@pytest.mark.parametrize("pull, status", [((1.0, 0.0, 0.0), "fail"), ((0.0, 1.0, 0.0), "pass")])
def test_a_post_leans_the_way_that_it_states(pull, status):
    """A narrow route 5 mm ahead of it toward the nut, and nothing to its side."""
    post = hole("p.post", 0.0, 0.0, 11.0, 20.0, "POST")
    route = pocket("q.cut", 10.5, 40.0, -20.0, 0.0, "q", width=16.0)
    stated = Post(part="p", hole="p.post", pull=pull)
    found = list(post_web(bench(loose(post, says=(stated,)), loose(route, name="q"))))
    assert [f.status for f in found] == [status]


@given(turn=st.floats(-180.0, 180.0))
def test_what_stands_square_to_a_pull_is_never_before_its_post(turn):
    """A row of screws across the pull, and a route that ends 6 mm ahead at 12 mm aside: of it only
    what lies within 45 degrees, from (12, 12) on, counts; however post and all are turned."""
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))

    def at(u, v):
        return c * u - s * v, s * u + c * v

    row = [hole(f"p.{k}", *at(0.0, 8.0 * k), 2.4, 20.0, "PILOT") for k in (-1, 0, 1)]
    stated = Post(part="p", hole="p.0", pull=(c, s, 0.0))
    assert only(post_web(bench(loose(*row, says=(stated,)))), "post-web", "p.0").value is None
    plan = rectangle(20.0, 20.0, 0.0, 16.0, 22.0).moved(0.0, 0.0, turn)
    route = Void("q.cut", "q", "front", "POCKET", Prism(plan, -20.0, 0.0), {"front"})
    layout = bench(loose(*row, says=(stated,)), loose(route, name="q"))
    found = only(post_web(layout), "post-web", "p.0", "q.cut")
    assert found.value == pytest.approx(math.hypot(12.0, 12.0) - 1.2, abs=1e-6)
