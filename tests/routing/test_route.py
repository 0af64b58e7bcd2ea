"""Ways for wires that `route` finds: every check that judges them passes, on bodies of many
kinds."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import pytest

from bodycad import load_design, route
from bodycad.checks.report import Report
from bodycad.checks.runner import run
from bodycad.cli.entry import main
from bodycad.design import check
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.interface import Terminal
from bodycad.layout.layout import Layout, Link, Placed
from bodycad.layout.place import Place
from bodycad.layout.void import Void
from bodycad.making.leads import leads
from bodycad.parts.channel import Channel
from bodycad.parts.control import Pot
from bodycad.routing import route as finder
from bodycad.routing.judged import without_ways
from bodycad.routing.plan import EACH_WAY
from bodycad.routing.route import propose, routed
from bodycad.shop import Shop
from bodycad.tools import Drill
from tests.checks.bench import TABLE, ask, board, cavity, controls, cut, hardtail, humbucker, pocket
from tests.sample import Loose

DEMO = "designs/teasel.py"
OWN = ("wire.pickups", "wire.control", "wire.switch", "ground")
JUDGES = (
    "wire-path",
    "ground-path",
    "drill-reach",
    "wall",
    "floor",
    "edge",
    "breakout",
    "complete",
)
"""The checks that a drilled way must pass."""


MOUTH = Prism(rectangle(40.0, 56.0, 0.0, 190.0, 0.0), -17.0, 0.0)
"""A neck's pocket that runs out of the board's end."""


@pytest.fixture(scope="module")
def demo():
    """The demo without its own drilled ways."""
    design = load_design(DEMO)
    return replace(design, parts=tuple(one for one in design.parts if one.id not in OWN))


@pytest.fixture(scope="module")
def found(demo):
    return route(demo)


def with_parts(layout: Layout, more) -> Layout:
    """The layout with the holes of those placed channels, cut as `lay_out` cuts them."""
    voids = [v for p in more for v in p.part.voids(p.id, p.place, layout.thickness)]
    body = replace(layout.body, voids=(*layout.voids, *voids))
    says = [one for p in more for one in p.part.interfaces(p.id, p.place, body)]
    return replace(
        layout,
        pieces=(body, *layout.pieces[1:]),
        placed=(*layout.placed, *more),
        interfaces=(*layout.interfaces, *says),
    )


def judged(layout: Layout) -> Report:
    return run(layout, [TABLE[name] for name in JUDGES])


def least_wood(report: Report, names) -> float:
    """The thinnest wood round those holes that the checks know, mm."""
    woods = ("wall", "floor", "edge", "pilot-tip")
    return min(f.value for f in report.findings if f.check in woods and {*f.subjects} & {*names})


def bad(report: Report, names) -> list[tuple[str, tuple[str, ...], str]]:
    """What fails or warns of those subjects."""
    states = ("fail", "warn", "error")
    return [
        (f.code, f.subjects, f.text)
        for f in report.findings
        if f.status in states and {*f.subjects} & {*names}
    ]


def test_the_demo_without_its_ways_is_solved(demo, found):
    """With at least as much wood as its hand-drawn ones leave, by every check."""
    report = check(replace(demo, parts=demo.parts + found))
    assert report.verdict == "pass"
    names = [one.id for one in found]
    assert least_wood(report, names) >= least_wood(check(load_design(DEMO)), OWN)


def test_a_whole_design_has_nothing_to_add():
    assert route(load_design(DEMO)) == ()


def test_equal_designs_get_equal_ways(demo, found):
    assert [(p.id, p.part) for p in route(demo)] == [(p.id, p.part) for p in found]


def test_a_left_hand_gets_the_same_ways(demo, found):
    """The script counts as for a right-handed body, whatever is drawn."""
    other = route(replace(demo, left_handed=True))
    assert [(p.id, p.part) for p in other] == [(p.id, p.part) for p in found]


def test_the_demos_own_ways_are_left_out_afresh():
    layout = load_design(DEMO).layout()
    bare = without_ways(layout)
    assert {one.id for one in layout.placed} - {one.id for one in bare.placed} == {*OWN}
    assert not bare.by_id.keys() & {*OWN}


SPOTS = [(-60.0, 40.0), (-20.0, 95.0), (35.0, -85.0), (70.0, 60.0)]


@pytest.mark.parametrize("x, y", SPOTS)
def test_a_pickup_and_a_cavity_anywhere_on_a_board(x, y):
    """A route 19 mm deep and a cavity from the back, near and far, on either side."""
    layout = board(
        pocket("a", 0.0, 0.0, 40.0, 72.0, 19.0),
        cavity("b", x * 1.8, y * 1.2, 60.0, 50.0, 6.0),
        links=[Link("a", "b", 4.0)],
    )
    (hole,) = route(layout)
    report = judged(with_parts(layout, [hole]))
    assert not bad(report, [hole.id, "a", "b"])
    assert least_wood(report, [hole.id]) >= 5.0


def test_one_drilling_runs_through_three_routes_in_line():
    """Three pickups' routes and the neck's pocket, open at the board's end: one hole joins them
    all, and a second leads to the cavity."""
    layout = board(
        *(pocket(f"p{k}", x, 0.0, 38.0, 72.0, 19.0) for k, x in enumerate((20.0, 80.0, 140.0))),
        cut("neck", MOUTH, opens={"front", "edge"}),
        cavity("b", 20.0, -90.0, 90.0, 50.0, 6.0),
        links=[Link(f"p{k}", "b", 3.0) for k in range(3)],
    )
    holes = route(layout)
    assert len(holes) == 2
    assert max(len(hole.part.through) for hole in holes) >= 3
    assert not bad(judged(with_parts(layout, holes)), [h.id for h in holes])


def test_a_jack_bore_lets_the_drill_in():
    """From a bore in the board's side that ends short of the cavity behind it."""
    shape = bore((0.0, -150.0, -22.0), (0.0, 1.0, 0.0), 22.0, 30.0)
    ends = Terminal(part="jack", kind="signal", voids=("jack.bore",), linked=True)
    void = Void("jack.bore", "jack", "edge", "BORE", shape, {"edge"})
    layout = board(
        Placed("jack", Loose((void,), says=(ends,))),
        cavity("b", 10.0, -70.0, 80.0, 40.0, 6.0),
        links=[Link("jack", "b", 4.0)],
    )
    (hole,) = route(layout)
    assert set(hole.part.through) == {"jack.bore", "b.cut"}
    assert not bad(judged(with_parts(layout, [hole])), [hole.id])


def test_a_ground_way_to_a_stud_in_the_wood():
    """Metal that stands in a hole of its own: the way leads into that hole."""
    shape = bore((-20.0, 30.0, 0.0), (0.0, 0.0, -1.0), 11.0, 26.0)
    void = Void("tail.stud", "tail", "front", "POST", shape, {"front"})
    says = (Terminal(part="tail", kind="ground", voids=("tail.stud",), linked=False),)
    layout = board(
        Placed("tail", Loose((void,), says=says)),
        humbucker(60.0),
        controls(),
        Placed("pot", Pot("control", 6.0), Place(0.0, -80.0)),
        links=[Link("pickup", "pot", 4.0)],
    )
    holes = route(layout)
    kinds = [hole.part.kind for hole in holes]
    assert kinds == ["wire", "ground"]
    assert "tail.stud" in holes[1].part.through
    assert not bad(judged(with_parts(layout, holes)), [h.id for h in holes])


def test_a_way_keeps_clear_of_what_a_post_leans_on():
    """A post between the pickup and the cavity: 10 mm of wood before it, not the 5 of a wall."""
    shape = bore((-35.0, -40.0, 0.0), (0.0, 0.0, -1.0), 11.0, 30.0)
    void = Void("tail.stud", "tail", "front", "POST", shape, {"front"})
    layout = board(
        Placed("tail", Loose((void,))),
        pocket("a", 0.0, 0.0, 40.0, 72.0, 19.0),
        cavity("b", -10.0, -95.0, 60.0, 40.0, 6.0),
        links=[Link("a", "b", 4.0)],
    )
    (hole,) = route(layout)
    found = ask(with_parts(layout, [hole]), "post-web")
    assert found and {f.status for f in found} == {"pass"}


def test_a_ground_way_under_the_plate():
    layout = board(humbucker(60.0), hardtail(), controls())
    (hole,) = route(layout)
    assert hole.part.from_face == "front" and hole.part.kind == "ground"
    assert not bad(judged(with_parts(layout, [hole])), [hole.id, "bridge.plate"])


@pytest.mark.parametrize("reach, many", [(300.0, 1), (45.0, 0)])
def test_a_short_drill_reaches_nothing_and_the_reason_is_said(reach, many):
    """The way is about 60 mm, and as much again to bring the chuck over the rim."""
    layout = board(
        pocket("a", 0.0, 0.0, 40.0, 72.0, 19.0),
        cavity("b", 0.0, -110.0, 60.0, 40.0, 6.0),
        links=[Link("a", "b", 4.0)],
        shop=Shop(drills=(Drill(6.35, reach),)),
    )
    found = propose(layout)
    assert len(found.holes) == many
    assert [one.names for one in found.missing] == [("a", "b")] * (1 - many)
    if not many:
        assert "wire" in found.missing[0].why


def test_what_the_checks_refuse_is_missing(monkeypatch):
    """However many plans are refused, each link that has no hole is told of, with the reason."""
    monkeypatch.setattr(finder, "_hole", lambda *_, **__: (None, "2.00 mm of wood"))
    layout = board(
        pocket("a", 0.0, 0.0, 40.0, 72.0, 19.0),
        cavity("b", 0.0, -110.0, 60.0, 40.0, 6.0),
        cavity("c", 110.0, -60.0, 50.0, 50.0, 6.0),
        links=[Link("a", "b", 4.0), Link("c", "b", 4.0)],
    )
    found = propose(layout)
    assert not found.holes and [one.names for one in found.missing] == [("a", "b"), ("c", "b")]
    assert all(one.why for one in found.missing)


def test_leads_that_share_a_way_get_a_wider_drill():
    """Two of 4 mm take 79 % of a 6.35 mm hole and 50 % of one of 8 mm."""
    layout = board(
        pocket("a", 20.0, 0.0, 38.0, 72.0, 19.0),
        pocket("p", 80.0, 0.0, 38.0, 72.0, 19.0),
        cut("neck", MOUTH, opens={"front", "edge"}),
        cavity("b", 20.0, -100.0, 70.0, 40.0, 6.0),
        links=[Link("a", "b", 4.0), Link("p", "b", 4.0)],
        shop=Shop(drills=(Drill(6.35, 300.0), Drill(8.0, 400.0))),
    )
    holes = route(layout)
    found = judged(with_parts(layout, holes)).findings
    shared = [f for f in found if f.code == "wire-path.shared"]
    assert {f.status for f in shared} <= {"pass"}
    assert {float(hole.part.diameter) for hole in holes} == ({8.0} if shared else {6.35})


def test_no_drill_of_the_size():
    layout = board(
        pocket("a", 0.0, 0.0, 40.0, 72.0, 19.0),
        cavity("b", 0.0, -110.0, 60.0, 40.0, 6.0),
        links=[Link("a", "b", 30.0)],
        shop=Shop(drills=(Drill(6.35, 300.0),)),
    )
    (lost,) = propose(layout).missing
    assert lost.why == "no drill on hand makes a hole of 30.5 mm"


def test_more_sites_than_are_tried_each_way():
    """A row of cavities, each linked to the next: joined by the best holes first."""
    count = EACH_WAY + 2
    row = [
        cavity(f"c{k}", -170.0 + 85.0 * (k % 5), -100.0 + 100.0 * (k // 5), 40.0, 40.0, 6.0)
        for k in range(count)
    ]
    links = [Link(f"c{k}", f"c{k + 1}", 3.0) for k in range(4)]
    links += [Link(f"c{k}", f"c{k + 1}", 3.0) for k in range(5, count - 1)]
    links += [Link("c0", "c5", 3.0)]
    layout = board(*row, links=links)
    holes = route(layout)
    assert len(holes) == count - 1
    assert not bad(judged(with_parts(layout, holes)), [h.id for h in holes])


def test_a_channel_is_no_place_to_begin():
    """A wire's way that is there already is kept, and walls are kept to it."""
    layout = board(
        pocket("a", 0.0, 0.0, 40.0, 72.0, 19.0),
        cavity("b", 0.0, -110.0, 60.0, 40.0, 6.0),
        cavity("c", 110.0, -60.0, 50.0, 50.0, 6.0),
        Placed("mine", Channel((0.0, -28.0, -12.0), (0.0, -94.0, -30.0), ("a.cut", "b.cut"))),
        links=[Link("a", "b", 3.0), Link("c", "b", 3.0)],
    )
    (hole,) = route(layout)
    assert not bad(judged(with_parts(layout, [hole])), [hole.id, "mine"])


@pytest.mark.parametrize("name", ["burdock", "sorrel"])
def test_other_bodies_without_their_ways_are_solved(name):
    """A fanned one, whose ground must be found before its wires, and one whose pickup's screws
    stand in its route's floor."""
    found = routed(load_design(f"designs/{name}.py").layout(), afresh=True)
    assert found.exit_status == 0 and found.found.holes
    states = {f.status for hole in found.found.holes for f in hole.findings}
    assert states == {"pass"}
    linked = [f for f in judged(found.after).findings if f.code == "wire-path.bundle"]
    assert linked and {f.status for f in linked} == {"pass"}


def test_a_battery_feeds_a_jack_by_plain_wire():
    """A jack's switch may end the supply: only the signal wants a screen."""
    layout = load_design("designs/woodruff.py").layout()
    links = *layout.links, Link("battery", "jack")
    rows = {(one.one, one.two): one.kind for one in leads(replace(layout, links=links))}
    assert rows["battery", "jack"] == "battery lead"
    assert [two for (_, two), kind in rows.items() if kind == "shielded lead"] == ["jack"]


def test_the_wire_list_of_the_demo():
    """Shielded to the jack, plain between pots and pickups; each at least as long as the straight
    line between its ends, and cut 100 mm longer, to the next 10."""
    layout = load_design(DEMO).layout()
    rows = {(one.one, one.two): one for one in leads(layout)}
    assert rows["volume", "jack"].kind == "shielded lead"
    assert rows["pickup.neck", "toggle"].kind == rows["tone", "volume"].kind == "plain wire"
    assert rows["bridge", "control.cavity"].kind == "ground wire"
    at = {one.id: one.place for one in layout.placed}
    for link in layout.links:
        row, (a, b) = rows[link.one, link.two], (at[link.one], at[link.two])
        assert row.length >= math.hypot(a.x - b.x, a.y - b.y) - 1e-9
        assert row.length + 100.0 <= row.cut < row.length + 110.0
    straight = rows["tone", "volume"].length
    assert straight == pytest.approx(math.hypot(86.0 - 42.0, 10.0))


def test_the_command(capsys):
    assert main(["route", DEMO, "--afresh", "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert not document["missing"] and len(document["holes"]) == 4
    for hole in document["holes"]:
        placed = eval(hole["script"].rstrip(","), {"Placed": Placed, "Channel": Channel})
        assert placed.id == hole["id"] and list(placed.part.start) == hole["start"]
        assert {f["status"] for f in hole["findings"]} == {"pass"}
    assert main(["route", DEMO]) == 0
    assert "nothing to add" in capsys.readouterr().out


def test_the_command_says_what_is_out_of_reach(tmp_path, capsys):
    path = tmp_path / "short.py"
    path.write_text(
        "import sys; sys.path.insert(0, 'designs')\n"
        "from dataclasses import replace\n"
        "import teasel\n"
        "from bodycad import *\n"
        "def design() -> Design:\n"
        "    short = tuple(Drill(d.diameter, 30.0, d.point_deg) for d in Shop().drills)\n"
        "    return replace(teasel.design(), shop=Shop(drills=short))\n"
    )
    assert main(["route", str(path), "--afresh"]) == 1
    said = capsys.readouterr().out
    assert "No way for" in said and "no drilling reaches" in said
