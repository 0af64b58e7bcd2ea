"""`--chance`: slopes against bodies truly built, draws against the closed form, the report, the
command line."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass, replace

import numpy as np
import pytest

from bodycad.chance.built import Errors, as_built, right_handed
from bodycad.chance.chance import Chance, judged, with_chance
from bodycad.chance.concern import about
from bodycad.chance.draw import draw, triangle
from bodycad.chance.match import pairs
from bodycad.chance.reads import watched
from bodycad.chance.slopes import margin, slopes, tokens
from bodycad.chance.variables import combined, shop_variables, size_variables
from bodycad.checks.finding import judge
from bodycad.checks.owner import owner_of
from bodycad.checks.page import Check, Page
from bodycad.checks.runner import answers, run
from bodycad.checks.wood.ends import ends_in_air
from bodycad.cli import entry as cli
from bodycad.errors import InputError
from bodycad.exports.report.html import html_text
from bodycad.exports.report.json import json_report
from bodycad.exports.report.text import report_text
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import same
from bodycad.layout.interface import Hides, Land
from bodycad.layout.layout import Placed, drilled, opened
from bodycad.layout.place import Depth, Place
from bodycad.layout.void import Room, Void, from_front
from bodycad.parts.neckjoint import Bolt
from bodycad.parts.part import own_pieces
from bodycad.parts.pickup import Humbucker
from bodycad.script import load_design
from bodycad.shop import Limit, Shop
from bodycad.units import measured
from tests.checks.bench import (
    HEEL,
    TABLE,
    bevel,
    board,
    cavity,
    controls,
    cut,
    hardtail,
    humbucker,
    necked,
    pocket,
)
from tests.checks.test_runner import LAYOUTS
from tests.sample import design as sample

STILL = {
    "template_repeat": 0.0,
    "depth_stop": 0.0,
    "thickness_tolerance": 0.0,
    "contour_tolerance": 0.0,
    "wander_deg": 0.0,
}
"""A shop that never errs."""
CHECKS = [
    TABLE[name]
    for name in (
        "floor",
        "wall",
        "edge",
        "bolt-grip",
        "bolt-tip",
        "stack",
        "saddle-window",
        "string-margin",
        "pickup-room",
        "pocket-fit",
    )
]


def small(left_handed: bool = False, **shop):
    """Neck, bridge, pickup, two cavities near each other and a carved back: limits set close to
    what is drawn."""
    limits = {
        "pickup-room.side": Limit(0.45, 0.6),
        "bolt-grip": Limit(14.8, 15.5),
        "wall": Limit(4.9, 5.5),
        "floor": Limit(5.9, 8.0),
        "stack": Limit(1.2, 2.0),
    }
    bolts = tuple(
        Bolt(u, v, 18.0, measured(35.0, 0.3)) for u in (13.0, 60.0) for v in (-16.0, 16.0)
    )
    parts = (
        necked(*bolts),
        hardtail(saddle_low=9.0),
        humbucker(60.0),
        cavity("one", -100.0, 60.0, 40.0, 40.0, 6.0),
        pocket("two", -55.0, 60.0, 40.0, 30.0, 20.0),
    )
    return board(
        *parts,
        contours=(bevel("back", (-150.0, -100.0), 180.0),),
        shop=Shop(limits=limits, **shop),
        left_handed=left_handed,
    )


def every(layout):
    """All variables with a tolerance."""
    return [v for v in (*shop_variables(layout), *size_variables(layout)) if v.tolerance > 0.0]


def true_margins(layout, found, variables, x):
    """Margins (n, f) of bodies built with errors x (n, v) in parts of their tolerances; nan where a
    finding is gone."""
    table = np.full((len(x), len(found.findings)), np.nan)
    for n, row in enumerate(x):
        built = as_built(layout, combined(variables, row * [v.tolerance for v in variables]))
        for check in CHECKS:
            base = [(k, f) for k, f in enumerate(found.findings) if f.check == check.name]
            rows = answers(check, built)
            same, _ = pairs([f for _, f in base], rows)
            for i, j in same.items():
                table[n, base[i][0]] = margin(rows[j])
    return table


@pytest.mark.parametrize("left_handed", (False, True))
def test_slopes_tell_what_bodies_truly_built_have(left_handed):
    """A few hundred bodies: figures within 0.1 mm (0.4 on the safe side, where several errors share
    a kink), chances of single findings and of the whole within what so few bodies can show."""
    layout = small(left_handed)
    variables = every(layout)
    found = slopes(layout, variables, CHECKS)
    x = next(triangle([v.name for v in variables], 100 if left_handed else 300))
    rows = found.margins + np.maximum(x, 0.0) @ found.up + np.maximum(-x, 0.0) @ found.down
    told, margins = found.rows.least(rows), found.rows.least(found.margins)
    true = true_margins(layout, found, variables, x)
    # The pocket's walls are judged from a place beside the mouth that is sampled every 0.2 mm: a
    # step, no slope.
    near = (margins < 5.0) & np.array(
        [f.subjects != ("neck.pocket", "edge") for f in found.findings]
    )
    off = (true - told)[:, near]
    assert near.sum() > 18 and np.isfinite(off).mean() > 0.98
    assert np.nanmin(off) > -0.1 and np.nanmax(off) < 0.4
    spread = np.sqrt(np.nanmean((true - margins)[:, near] ** 2, axis=0))
    moved = spread > 0.05
    assert moved.sum() > 10
    for side, share in (
        (np.minimum(off, 0.0), 0.25),
        (off, 0.9),  # the margins' difference is the absolute sum of several errors
    ):  # what is told is sooner too little than too much
        assert (np.sqrt(np.nanmean(side[:, moved] ** 2, axis=0)) < share * spread[moved]).all()
    holds_true, holds_told = np.where(np.isnan(true), True, true >= 0.0), told >= 0.0
    assert np.abs(holds_true.mean(axis=0) - holds_told.mean(axis=0)).max() < 0.06
    both = holds_true.all(axis=1), holds_told.all(axis=1)
    assert 0.0 < both[1].mean() < 1.0 and abs(both[0].mean() - both[1].mean()) < 0.1


def test_a_gap_in_closed_form_is_the_gap_of_the_body_built():
    """Wall and floors: the closed form against a body with one error, for every error of the
    shop."""
    layout = small()
    names = ("floor", "wall")
    variables = [
        v for v in shop_variables(layout) if v.subject.split(".")[0] in ("one", "two", "stock")
    ]
    found = slopes(layout, variables, [TABLE[n] for n in names])
    assert {v.kind for v in variables} == {"shift", "depth", "thickness"}
    for k, v in enumerate(variables):
        for sign, table in ((1.0, found.up), (-1.0, found.down)):
            told = found.rows.least(found.margins + table[k]) - found.rows.least(found.margins)
            built = as_built(layout, combined([v], [sign * v.tolerance]))
            for n in names:
                base = [(c, f) for c, f in enumerate(found.findings) if f.check == n]
                rows = answers(TABLE[n], built)
                for i, j in pairs([f for _, f in base], rows)[0].items():
                    column, f = base[i]
                    assert told[column] == pytest.approx(margin(rows[j]) - margin(f), abs=2e-3), (
                        v,
                        f.subjects,
                    )


def test_the_wood_is_cut_as_drawn_whatever_the_part_is():
    """A pickup with longer feet does not get a longer route: its room is less by up to half of it
    (they near a rounded corner)."""
    layout = small(**STILL)
    built = as_built(layout, Errors(sizes={("pickup", "feet_span"): 0.4}))
    assert all(a is b for a, b in zip(layout.voids, built.voids))
    assert tokens(layout, built) == {"pickup.feet_span", "room:pickup.feet"}
    room = [
        min(f.value for f in answers(TABLE["pickup-room"], b) if "beside the feet" in f.text)
        for b in (layout, built)
    ]
    assert 0.1 < room[0] - room[1] <= 0.2


def test_a_wider_heel_takes_its_play_from_the_pocket():
    """The pocket was cut for the drawn heel."""
    layout = board(necked(), shop=Shop(**STILL))
    for path in ("heel.width_mouth", "heel.width_end"):
        built = as_built(layout, Errors(sizes={("neck", path): 0.1}))
        play = next(
            f.value for f in answers(TABLE["pocket-fit"], built) if "side play as cut" in f.text
        )
        assert play == pytest.approx(0.2)


def test_depth_and_stock_reach_screws_and_controls():
    """A seat cut 0.2 deeper lets the screw 0.2 further in; thicker stock takes it back; a hole
    drilled through has no stop."""
    layout = small(**STILL)
    grip = [
        next(
            f.value
            for f in answers(TABLE["bolt-grip"], as_built(layout, e))
            if f.code == "bolt-grip" and f.subjects[0] == "neck.bolt.1.hole"
        )
        for e in (Errors(), Errors(deeper={"neck.bolt.1.seat": 0.2}), Errors(thicker=0.2))
    ]
    assert grip == [pytest.approx(15.0), pytest.approx(15.2), pytest.approx(14.8)]
    assert ends_in_air(layout.by_id["neck.bolt.1.hole"], layout) and ends_in_air(
        layout.by_id["bridge.string.1"], layout
    )
    assert not ends_in_air(layout.by_id["neck.bolt.1.seat"], layout) and not ends_in_air(
        layout.by_id["pickup.screw.1"], layout
    )


def test_the_neck_carries_the_strings():
    """A pocket 0.2 nearer the bridge leaves the saddles 0.2 less room behind, as a bridge 0.2
    nearer the nut does."""
    layout = small(**STILL)
    rows = [
        {
            f.subjects: f.value
            for f in answers(TABLE["saddle-window"], as_built(layout, Errors(shifts=s)))
        }
        for s in ({}, {"neck": (-0.2, 0.0)}, {"bridge": (0.2, 0.0)})
    ]
    key = ("bridge.saddle.6",)
    assert rows[1][key] == pytest.approx(rows[2][key]) != rows[0][key]


@pytest.mark.parametrize("name", ("bolts.1.length", "ferrule.web"))
def test_one_size_against_the_triangle(name):
    """One variable: the chance of a screw's grip is that of the triangular law."""
    limit = Limit(14.9, 15.5)
    bolts = [Bolt(u, v, 18.0, measured(35.0, 0.0)) for u in (13.0, 60.0) for v in (-16.0, 16.0)]
    part = necked(*bolts)
    ferrule = replace(
        part.part.ferrule,
        flange=14.0,
        height=6.0,
        web=measured(2.0, 0.3 if name == "ferrule.web" else 0.0),
    )
    if name != "ferrule.web":
        bolts[0] = Bolt(13.0, -16.0, 18.0, measured(35.0, 0.3))
    joint = replace(part.part, bolts=tuple(bolts), ferrule=ferrule, screw=4.2)
    layout = board(replace(part, part=joint), shop=Shop(limits={"bolt-grip": limit}, **STILL))
    report = with_chance(run(layout, [TABLE["bolt-grip"]]))
    chance = next(f.chance for f in report.findings if f.subjects[0] == "neck.bolt.1.hole")
    assert chance == pytest.approx(1.0 - (1.0 - 0.1 / 0.3) ** 2 / 2.0, abs=0.005)
    assert next(
        f.worst for f in report.findings if f.subjects[0] == "neck.bolt.1.hole"
    ) == pytest.approx(14.7, abs=0.02)


def test_draws_of_known_sums():
    """Two equal triangles about a margin of nil: a half; halving one never changes that; all needs
    both."""
    up = np.array([[1.0, 0.0], [0.0, 1.0]])
    found = draw(np.zeros(2), up, -up, ["a", "b"], [0, 1], 40_000)
    assert found.holds / found.bodies == pytest.approx(
        [0.5, 0.5], abs=0.01
    ) and found.all / found.bodies == pytest.approx(0.25, abs=0.01)
    assert np.abs(found.halved - found.all).max() == 0
    kink = draw(
        np.array([0.5]), -np.ones((1, 1)), -np.ones((1, 1)), ["a"], [0], 40_000
    )  # 0.5 - |x|
    assert (
        kink.holds[0] / kink.bodies == pytest.approx(0.75, abs=0.01)
        and kink.halved[0] == kink.bodies
    )


def test_triangles_have_their_spread_and_keep_within_their_tolerance():
    x = np.vstack(list(triangle(["a", "b"], 50_000)))
    assert x.shape == (50_000, 2) and np.abs(x).max() <= 1.0
    assert (
        x.std(axis=0) == pytest.approx([1.0 / math.sqrt(6.0)] * 2, abs=0.005)
        and abs(np.corrcoef(x.T)[0, 1]) < 0.02
    )
    assert np.array_equal(next(triangle(["b"], 100))[:, 0], x[:100, 1])


def without_tolerances(layout):
    """The same body of parts without tolerances, in a shop that never errs."""

    def exact(part):
        if isinstance(part, Humbucker):
            return replace(
                part,
                ring=replace(
                    part.ring,
                    **{
                        n: float(getattr(part.ring, n))
                        for n in ("length", "width", "height", "screw_length", "screw_width")
                    },
                ),
                **{
                    n: float(getattr(part, n))
                    for n in (
                        "frame_length",
                        "frame_width",
                        "feet_span",
                        "feet_width",
                        "body_depth",
                        "foot_depth",
                        "leg_depth",
                        "coil_spacing",
                        "pole_height",
                    )
                },
                rest_height=part.rest,
            )
        return part

    instrument = replace(
        layout.instrument,
        **{
            n: float(getattr(layout.instrument, n))
            for n in ("action12_treble", "action12_bass", "nut_action", "fret_height")
        },
    )
    heel = {
        n: float(getattr(layout.instrument.neck.heel, n))
        for n in ("width_mouth", "width_end", "length", "thickness")
    }
    neck = replace(instrument.neck, heel=replace(instrument.neck.heel, **heel))
    return replace(
        layout,
        placed=tuple(replace(p, part=exact(p.part)) for p in layout.placed),
        instrument=replace(instrument, neck=neck),
    )


@pytest.mark.parametrize("gap", (1.0, 0.3))
def test_without_tolerances_everything_is_sure(gap):
    """Exactly 1 for what holds and 0 for what fails; the whole body likewise."""
    layout = without_tolerances(
        board(
            humbucker(60.0, gap=gap),
            shop=Shop(limits={"pickup-room.side": Limit(0.45, 0.6)}, **STILL),
        )
    )
    checks = [TABLE[n] for n in ("pickup-room", "floor", "edge")]
    assert not every(layout)
    report = run(layout, checks)
    report = judged(report, slopes(layout, every(layout), checks), 1000)
    assert {f.chance for f in report.findings if f.status in ("pass", "warn")} == {1.0}
    assert {f.chance for f in report.findings if f.status == "fail"} <= {0.0}
    assert (
        report.chance.all
        == (0.0 if report.verdict == "fail" else 1.0)
        == (1.0 if gap == 1.0 else 0.0)
    )
    assert report.chance.tighten == () and all(
        f.worst == pytest.approx(f.value, abs=0.011)
        for f in report.findings
        if f.margin is not None
    )


def chances(layout, bodies=20_000):
    return judged(run(layout, CHECKS), slopes(layout, every(layout), CHECKS), bodies)


def test_what_to_tighten_is_what_gains():
    """Halving the tolerance named first gives the gain foretold, on the same draws; the same run
    gives the same figures."""
    report = chances(small())
    again, best = chances(small()), report.chance.tighten[0]
    assert report.chance == again.chance and [f.chance for f in report.findings] == [
        f.chance for f in again.findings
    ]
    gains = [t.gain for t in report.chance.tighten]
    assert (
        gains == sorted(gains, reverse=True) and gains[-1] > 0.0 and 0.0 < report.chance.all < 1.0
    )
    for name in ("depth_stop", "template_repeat"):
        told = next((t.gain for t in report.chance.tighten if t.what == f"shop.{name}"), 0.0)
        half = chances(small(**{name: getattr(Shop(), name) / 2.0}))
        assert half.chance.all >= report.chance.all
        assert half.chance.all - report.chance.all == pytest.approx(told, abs=2e-3), best


def test_the_keys_of_the_report():
    """The keys of the JSON report with --chance, every figure finite, and none of them without."""
    report = chances(small(), 1000)
    found = json.loads(json.dumps(json_report(report), allow_nan=False))
    assert {"bodies", "all", "tighten"} <= set(found["chance"]) and found["chance"][
        "bodies"
    ] == 1000
    assert all(set(t) == {"what", "tolerance", "unit", "gain"} for t in found["chance"]["tighten"])
    for f in found["findings"]:
        assert f["chance"] is None or 0.0 <= f["chance"] <= 1.0
        assert (f["chance"] is not None) or f["limit"] is None
        if f["worst"] is not None:  # it is worse than what is drawn, whichever way the limit runs
            assert (f["value"] - f["worst"]) * (
                -1.0 if "looser" in f["text"] or "differ" in f["text"] else 1.0
            ) >= -1e-9
    plain = json_report(run(small(), CHECKS[:1]))
    assert "chance" not in plain and not any(
        {"chance", "worst"} & set(f) for f in plain["findings"]
    )
    page = html_text(report)
    assert (
        ">Chance<" in page
        and "of 1,000 bodies come out right" in page
        and "Halve this tolerance" in page
    )
    text = report_text(report)
    assert (
        "of 1,000 bodies come out right" in text
        and "Tighten first" in text
        and all(len(line) <= 96 for line in text.splitlines())
    )


def test_a_waived_finding_does_not_count_for_the_whole():
    """What the maker accepts no longer holds the body's chance at nil."""
    layout = small(**STILL)
    bad = run(
        replace(layout, shop=replace(layout.shop, limits={"bolt-grip": Limit(16.0, 17.0)})), CHECKS
    )
    found = slopes(bad.layout, every(bad.layout), CHECKS)
    accepted = replace(
        bad,
        findings=tuple(
            replace(f, waiver="tried", status="pass") if f.check == "bolt-grip" else f
            for f in bad.findings
        ),
    )
    assert judged(bad, found, 1000).chance.all == 0.0 < judged(accepted, found, 1000).chance.all


def test_a_fault_without_a_figure_is_certain():
    """The sample body lacks a bridge: nothing that is drawn at random mends that."""
    report = with_chance(run(sample().layout(), [TABLE["complete"]]), 10)
    assert isinstance(report.chance, Chance) and report.chance.all == 0.0
    assert {f.chance for f in report.findings if f.status == "fail"} == {0.0}


@pytest.mark.parametrize("value", ("0", "-5", "1e5", "many", "2.5", "", "99999999999"))
def test_a_bad_number_of_bodies_is_one_line(capsys, tmp_path, value):
    path = tmp_path / "body.py"
    path.write_text("from tests.sample import design\n")
    assert cli.main(["check", str(path), f"--chance={value}"]) == 2
    out, err = capsys.readouterr()
    assert out == "" and err.count("\n") == 1 and "number of bodies" in err


@pytest.mark.parametrize("argv, bodies", ((("--chance",), 100_000), (("--chance", "1000"), 1000)))
def test_the_command(capsys, tmp_path, argv, bodies):
    """`--chance` and `--chance N` after the design; the exit status stays that of the check."""
    path = tmp_path / "body.py"
    path.write_text("from tests.sample import design\n")
    status = cli.main(["check", str(path), "--json", "--no-cures", *argv])
    found = json.loads(capsys.readouterr().out)
    assert status == 1 and found["chance"]["bodies"] == bodies and found["chance"]["all"] == 0.0


@pytest.mark.parametrize(
    "name, value",
    (
        ("template_repeat", -0.1),
        ("depth_stop", math.nan),
        ("thickness_tolerance", 9.0),
        ("depth_stop", "0.2"),
    ),
)
def test_the_shops_tolerances_are_checked(name, value):
    with pytest.raises(InputError):
        Shop(**{name: value})


def test_a_depth_by_what_is_left_is_cut_to_the_number():
    """Thicker stock leaves more wood under a cavity whose depth was set from the drawing."""
    layout = board(controls(6.0), shop=Shop(**STILL))
    assert layout.placed[0].part.depth == Depth(leave=6.0)
    wood = [
        min(
            f.value
            for f in answers(TABLE["floor"], as_built(layout, Errors(thicker=t)))
            if f.subjects[:1] == ("control.cavity",)
        )
        for t in (0.0, 0.3)
    ]
    assert wood[1] - wood[0] == pytest.approx(0.3)


@dataclass(frozen=True)
class Lens:
    """A part of a maker's own: a glass in a route 1 mm wider than drawn, without `fitted`."""

    width: float = 20.0
    shares: str = ""

    def voids(self, part, place, thickness):
        shape = from_front(rectangle(self.width + 1.0, 12.0, 2.0, place.x, place.y), 5.0)
        return (Void(f"{part}.route", part, "front", "POCKET", shape, frozenset({"front"})),)

    def rooms(self, part, place, thickness):
        plan = rectangle(self.width, 11.0, 2.0, place.x, place.y)
        return (Room(f"{part}.glass", part, "part", Prism(plan, -5.0, 0.0)),)

    def interfaces(self, part, place, piece):
        cut = piece.by_id[f"{part}.route"].shape.profile
        return (
            Land(part=part, name="the rim", face="front", plan=cut),
            Hides(
                part=part,
                kind="on",
                name="glass",
                rim=rectangle(self.width, 11.0, 2.0, place.x, place.y),
                room=f"{part}.glass",
                face="front",
                voids=(f"{part}.route", "control.cavity"),
            ),
        )

    def shared_sizes(self):
        return {"width": self.shares} if self.shares else {}


def lens(**changes):
    """A board with that part beside a cavity, of which it speaks."""
    part = Lens(**{"width": measured(20.0, 0.4), **changes})
    return board(controls(6.0), Placed("lens", part, Place(60.0, 40.0)), shop=Shop(**STILL))


@pytest.mark.parametrize("left_handed", (False, True))
def test_a_part_of_ones_own_states_itself_as_it_is_in_the_wood_as_cut(left_handed):
    """A glass 0.4 mm wider: its room and its rim grow, its route and what it says of the route do
    not. Beside its place: all of it moves, once."""
    layout = lens().mirrored() if left_handed else lens()
    wider = as_built(layout, Errors(sizes={("lens", "width"): 0.4}))
    assert wider.by_id["lens.route"] is layout.by_id["lens.route"]
    assert tokens(layout, wider) == {"lens.width", "room:lens.glass", "interface:lens.Hides.1.rim"}
    moved = as_built(layout, Errors(shifts={"lens": (0.3, -0.2)}))
    side = -1.0 if left_handed else 1.0
    rims = [
        [getattr(r, name) for one in (layout, moved) for r in one.stated(kind) if r.part == "lens"]
        for kind, name in ((Land, "plan"), (Hides, "rim"))
    ]
    for old, new in rims:
        by = new.vertices[:, :2] - old.vertices[:, :2]
        assert np.allclose(by, (0.3, side * -0.2), atol=1e-12)


@pytest.mark.parametrize("name", ["teasel", "sample", "empty"])
def test_a_watched_layout_is_answered_like_the_layout_itself(name):
    """Every check gives the same findings, whatever it asks a record or a part; and it is seen to
    read something of a body that has something."""
    layout = LAYOUTS[name]()
    for check in TABLE.values():
        seen = set()
        rows = answers(check, watched(layout, seen.add))
        assert [(*f.identity, f.status, f.value) for f in rows] == [
            (*f.identity, f.status, f.value) for f in answers(check, layout)
        ], check.name
        known = check.name == "stock" or {f.status for f in rows} <= {"skip"}  # skin and blank
        assert len(seen) > 1 or known or name != "teasel", check.name


def test_whose_a_subject_is_and_who_hangs_on_whom():
    """As voids, rooms and records say, whatever the ids are; the cavity that a part speaks of."""
    layout = lens()
    names = {"the rim": "lens", "lens.glass": "lens", "control.cavity": "control", "blank": None}
    assert {name: owner_of(name, layout) for name in names} == names
    assert about([], {"lens"}, layout) == {"lens", "control"} == about([], {"control"}, layout)


def test_a_size_is_shared_only_where_the_part_says_so():
    """A saddle spread of the instrument's value is another size, but for a part that says it is the
    same; a share that names no size of the instrument is one line."""
    shared = [v.sizes for v in size_variables(lens(width=52.5, shares="bridge_spread"))]
    assert (("instrument", "bridge_spread"), ("lens", "width")) in shared
    apart = [v.sizes for v in size_variables(lens(width=52.5))]
    assert (("lens", "width"),) in apart and (("instrument", "bridge_spread"),) in apart
    with pytest.raises(InputError, match="shared_sizes of lens is 'bridge'.*neck.scale"):
        size_variables(lens(shares="bridge"))


def test_a_check_that_reads_the_outline_alone_is_asked_again():
    """A neck pocket cut 0.2 nearer the bridge is a body that reaches 0.2 farther to the nut."""

    def reach(layout):
        value = float(layout.skin.outline.box[2])
        yield judge(("neck",), value, Limit(190.0, 190.0), "the horn", "cut it", code="reach")

    layout = board(necked(), shop=Shop(**STILL | {"template_repeat": 0.2}))
    along = [v for v in shop_variables(layout) if (v.subject, v.axis) == ("neck", 0)]
    found = slopes(layout, along, [Check("reach", reach, Page("?", ".", (), "."))])
    assert (found.up[0, 0], found.down[0, 0]) == (pytest.approx(-0.2), pytest.approx(0.2))


# What the worst case must count. Each body is built with the errors named, and asked.


def worst_of(layout, code, subject, only=lambda v: True):
    """The stated worst case of the finding on `subject`, of those errors."""
    check = TABLE[code.partition(".")[0]]
    report = run(layout, [check])
    found = slopes(layout, [v for v in every(layout) if only(v)], [check])
    rows = [f for f in judged(report, found, 1000).findings if f.code == code]
    return next(f for f in rows if subject in f.subjects)


def built_with(layout, code, subject, **errors):
    """The figure of that finding on the body with those errors."""
    rows = answers(TABLE[code.partition(".")[0]], as_built(layout, Errors(**errors)))
    return min(f.value for f in rows if f.code == code and subject in f.subjects)


def carved(**shop):
    """A ferrule whose counterbore ends beside the slope of a heel's carve."""
    bolts = [Bolt(u, v, 18.0, 35.0) for u in (13.0, 60.0) for v in (-16.0, 16.0)]
    slope = bevel("back", (184.0, -60.0), -90.0)
    turned = bevel("back", (150.0, -26.0), -90.0, run=30.0, drop=14.0)
    assert slope.id == turned.id
    return board(necked(*bolts), contours=(turned,), shop=Shop(**STILL | shop))


def test_a_counterbore_beside_a_carve_hangs_on_the_depth_of_its_seat():
    """The wall round a seat is taken in the level of the seat: 0.2 shallower, and the slope is 0.2
    / tan(slope) nearer."""
    layout = carved(depth_stop=0.2)
    code, seat = "bolt-seat.wall", "neck.bolt.1.seat"
    drawn = built_with(layout, code, seat)
    nearer = 0.2 * 30.0 / 14.0
    assert built_with(layout, code, seat, deeper={seat: -0.2}) == pytest.approx(drawn - nearer)
    assert worst_of(layout, code, seat).worst == pytest.approx(drawn - nearer, abs=0.002)


def test_a_flange_moves_with_the_template_of_its_pocket():
    """All seats are cut with the pocket, the carve is not: 0.15 toward it is 0.15 nearer."""
    layout = carved(template_repeat=0.15)
    for code in ("bolt-seat", "bolt-seat.wall"):
        drawn = built_with(layout, code, "neck.bolt.1.seat")
        moved = built_with(layout, code, "neck.bolt.1.seat", shifts={"neck": (0.0, -0.15)})
        assert moved == pytest.approx(drawn - 0.15)
        worst = worst_of(layout, code, "neck.bolt.1.seat", lambda v: v.kind == "shift").worst
        assert worst == pytest.approx(drawn - 0.15, abs=0.002)


def test_a_shaped_surface_has_errors_of_its_own():
    """Carved 0.5 deeper, 0.5 nearer: both count, for a seat beside the slope and for a floor over
    it."""
    layout = carved(contour_tolerance=0.5)
    kinds = {(v.kind, v.subject, v.axis) for v in every(layout) if v.kind == "carve"}
    assert kinds == {("carve", "contour.back", axis) for axis in range(3)}
    code, seat = "bolt-seat.wall", "neck.bolt.1.seat"
    drawn, errors = built_with(layout, code, seat), {"contour.back": (0.0, 0.5, 0.5)}
    told = worst_of(layout, code, seat, lambda v: v.kind == "carve").worst
    assert built_with(layout, code, seat, carved=errors) == pytest.approx(told, abs=0.002)
    assert told == pytest.approx(drawn - 0.5 - 0.5 * 30.0 / 14.0, abs=0.002)
    floor = (
        built_with(layout, "floor.pocket", "neck.pocket"),
        built_with(layout, "floor.pocket", "neck.pocket", carved=errors),
    )
    told = worst_of(layout, "floor.pocket", "neck.pocket", lambda v: v.kind == "carve").worst
    assert floor[1] < floor[0] and told <= floor[1] + 0.001


def test_a_drill_that_wanders_is_nearest_at_the_end_of_the_wall():
    """A hole 3.2 wide and 40 deep beside a wall 30 high: 0.4 degrees off, its side is tan(0.4) x 30
    nearer at the foot of the wall, whatever the middle does."""
    wall = pocket("well", 20.0, 0.0, 30.0, 30.0, 30.0)
    hole = cut("hole", bore((0.0, 0.0, 0.0), (0.0, 0.0, -1.0), 3.2, 40.0))
    layout = board(wall, hole, shop=Shop(**STILL | {"wander_deg": 0.4}))
    found = worst_of(layout, "wall", "hole.cut")
    assert found.value == pytest.approx(3.4)
    assert found.worst == pytest.approx(3.4 - 30.0 * math.tan(math.radians(0.4)), abs=0.02)
    tilts = [{"hole.cut": (a, b)} for a in (-0.4, 0.0, 0.4) for b in (-0.4, 0.0, 0.4)]
    least = min(built_with(layout, "wall", "hole.cut", tilts=t) for t in tilts)
    assert least == pytest.approx(found.worst, abs=0.02)


@pytest.mark.parametrize("way", (1.0, -1.0))
def test_two_errors_under_one_least_are_bounded(way):
    """The heel is 0.05 wider or narrower at its end and at its mouth: one alone may leave the
    lesser play as it is, both together do not."""
    paths = ("width_end", "width_mouth")
    heel = replace(HEEL, **dict.fromkeys(paths, measured(56.0, 0.05)))
    layout = board(necked(heel=heel), shop=Shop(**STILL))
    only = {v.name for v in every(layout) if v.subject.endswith(paths)}
    code = "pocket-fit.most" if way < 0.0 else "pocket-fit.least"
    told = worst_of(layout, code, "neck.pocket", lambda v: v.name in only)
    by = {("neck", f"heel.{path}"): way * 0.05 for path in paths}
    assert {v.tolerance for v in every(layout) if v.name in only} == {0.05}
    built = built_with(layout, code, "neck.pocket", sizes=by)
    assert built == pytest.approx(0.3 - way * 0.05) and told.worst == pytest.approx(built)


def test_the_end_of_a_slanted_way_moves_with_what_it_opens_into():
    """A way that starts in a route and runs out of it toward the back: with the route 0.15 farther
    back on the way, the wood begins sooner, nearer to the front."""
    route = pocket("route", 0.0, 0.0, 40.0, 40.0, 20.0)
    start, end = (10.0, 0.0, -12.0), (90.0, 0.0, -32.0)
    size = math.dist(start, end)
    way = bore(start, tuple((b - a) / size for a, b in zip(start, end)), 6.0, size)
    slanted = cut("way", way, operation="CHANNEL", opens=(), meets=("route.cut",))
    layout = board(route, slanted, shop=Shop(**STILL | {"template_repeat": 0.15}))
    subjects = ("way.cut", "front")
    rows = [
        next(f for f in answers(TABLE["floor"], as_built(layout, e)) if f.subjects == subjects)
        for e in (Errors(), Errors(shifts={"route": (-0.15, 0.0)}))
    ]
    assert rows[0].value - rows[1].value == pytest.approx(0.15 * 20.0 / 80.0, abs=1e-4)
    told = worst_of(layout, "floor", "front", lambda v: (v.subject, v.axis) == ("route", 0))
    assert told.worst == pytest.approx(rows[1].value, abs=1e-3)


def test_the_neck_is_held_against_its_place_where_the_template_put_it():
    """A template 0.15 off puts the pocket 0.15 off its place; on the strings, which the neck
    carries, it is the bridge that lies off."""
    layout = board(necked(), hardtail(), shop=Shop(**STILL | {"template_repeat": 0.15}))
    for code, subject in (
        ("neck-place.along", "scale"),
        ("neck-place.heel", "strings"),
        ("neck-place.nut", "strings"),
    ):
        assert worst_of(layout, code, subject).worst == pytest.approx(
            built_with(layout, code, subject) + 0.15, abs=1e-6
        )


def test_what_no_error_uses_up_has_no_worst_case():
    """A margin that is not followed is sure, and no figure is stated as its worst."""
    report = with_chance(run(small(), [TABLE["drill-reach"]]), 10)
    rows = [f for f in report.findings if f.margin is not None]
    assert rows and all(f.margin > 25.0 and f.chance == 1.0 and f.worst is None for f in rows)


def test_two_errors_that_make_each_other_worse_both_count():
    """500 less the product of depths of 20 and 10 that may each be 0.5 more: by themselves 5 and 10
    worse, together 0.25 besides."""
    wells = [pocket("a", 40.0, 0.0, 30.0, 30.0, 20.0), pocket("b", -40.0, 0.0, 30.0, 30.0, 10.0)]

    def stiff(layout):
        low = [layout.by_id[f"{name}.cut"].low for name in ("a", "b")]
        at, limit = ((0.0, 0.0, 0.0), (1.0, 0.0, 0.0)), Limit(290.0, 290.0)
        yield judge(("a.cut", "b.cut"), 500.0 - low[0] * low[1], limit, "it", "cut it", at=at)

    layout = board(*wells, shop=Shop(**STILL | {"depth_stop": 0.5}))
    check = Check("stiff", stiff, Page("?", ".", (), "."))
    found = slopes(layout, shop_variables(layout), [check])
    (row,) = judged(run(layout, [check]), found, 1000).findings
    assert row.value == 300.0 and row.worst == pytest.approx(500.0 - 20.5 * 10.5, abs=1e-6)


@pytest.mark.parametrize("name", ("bistort", "campion"))
def test_a_size_leaves_the_rooms_and_pieces_alone_that_are_made_without_it(name):
    """What stays the drawn body's own is what the part with that size makes of it."""
    layout = load_design(f"designs/{name}.py").layout()
    drawn, kept, made = right_handed(layout), 0, 0
    for variable in size_variables(drawn):
        try:
            built = as_built(drawn, combined([variable], [variable.reach]))
        except InputError:  # no part has that size
            continue
        its = {p.id: p for p in built.pieces}
        for was, now in zip(drawn.placed, built.placed, strict=True):
            if now.part is was.part:
                continue
            rooms = {r.id: r for r in now.part.rooms(now.id, now.place, drawn.thickness)}
            for room in drawn.rooms:
                if room.part == was.id:
                    real = next(r for r in built.rooms if r.id == room.id)
                    assert (real is room) == same(room.shape, rooms[room.id].shape), room.id
                    kept, made = kept + (real is room), made + (real is not room)
            for piece in own_pieces(now.part, now.id, now.place, drawn.body):
                piece = drilled(opened(piece, drawn.placed), drawn.shop)
                real = its[piece.id]
                assert real.thickness == piece.thickness and real.frame == piece.frame
                shapes = ([v.shape for v in one.voids] for one in (real, piece))
                assert all(map(same, *shapes)), piece.id
                plans = (one.skin.outline.vertices for one in (real, piece))
                assert np.array_equal(*plans), piece.id
    assert kept and made
