"""A maker's own necks, bolted and glued: each right one passes for the right reasons.

Each spoiled one fails with the codes and figures of the shipped `NeckJoint` of the same sizes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import pytest

from bodycad import Bolt, Heel, InputError, NeckFerrule, NeckJoint, Place, Placed, widest_pattern
from bodycad.chance.chance import with_chance
from bodycad.exports.pattern_text import compare
from tests.strangers.bench import BOLTS, HEEL_X, THICKNESS, quoin
from tests.strangers.necks import GluedNeck, OwnNeck, Stud, Tongue

ASKED = ("bolt-seat", "bolt-grip", "bolt-tip", "bolt-edge", "pocket-fit", "joint-load", "stack")
SLOT = 17.0
STUDS = tuple(Stud(b.u, b.v, THICKNESS - SLOT - b.wood, b.length) for b in BOLTS)
OWN = OwnNeck(Tongue(), STUDS)


def with_neck(neck, **changes):
    """The design with that neck."""
    return quoin(swap={"neck": Placed("neck", neck, Place(HEEL_X))}, **changes)


def found(neck):
    """The report's findings with that neck; none of them is a check that broke."""
    findings = with_neck(neck).check().findings
    assert not [f.text for f in findings if f.status == "error"]
    return findings


def shipped(own: OwnNeck) -> NeckJoint:
    """The shipped class with the sizes of the maker's own."""
    t = own.tongue
    bolts = tuple(
        Bolt(s.along, s.across, THICKNESS + own.height(s.along) - s.seat, s.length)
        for s in own.studs
    )
    return NeckJoint(
        Heel(t.width, t.width, t.length, t.wood + t.board, t.radius),
        own.slot,
        t.board,
        bolts,
        NeckFerrule(own.cup, 6.0, own.cup_floor, own.cup_bore - own.cup),
        own.fall_deg,
        side_clearance=own.play,
        end_clearance=own.play,
        corner=own.slot_radius,
        masked=own.bare,
        screw=own.thread,
        hole=own.clear,
        pilot=own.pilot,
    )


def rows(findings):
    """Code, status, figure and limit of what is asked of a neck, in an order of their own."""
    return sorted(
        (f.code, f.status, f.value if f.value is not None else 0.0, f.limit or 0.0)
        for f in findings
        if f.check in ASKED
    )


def stud(k: int, **changes) -> OwnNeck:
    """The own neck with one screw changed."""
    studs = list(STUDS)
    studs[k] = replace(studs[k], **changes)
    return replace(OWN, studs=tuple(studs))


SPOILED = {
    "seat over the carve": (
        stud(3, along=60.0, across=-20.0, seat=4.0, length=40.0),
        "bolt-seat",
    ),
    "no wall beside the carve": (
        stud(3, along=56.0, across=-20.0, seat=4.0, length=40.0),
        "bolt-seat.wall",
    ),
    "seat behind the back": (stud(1, seat=-3.0, length=46.0), "bolt-seat"),
    "too little wood": (stud(0, seat=22.0), "bolt-seat.wood"),
    "out of square": (replace(OWN, fall_deg=3.0), "bolt-seat.tilt"),
    "short thread": (stud(1, length=29.0), "bolt-grip"),
    "tip in the fretboard": (stud(1, length=41.0), "bolt-tip"),
    "screw in the truss rod": (stud(2, across=-4.0), "bolt-tip.rod"),
    "screw at the heel's edge": (stud(1, across=25.0), "bolt-edge"),
    "two counterbores meet": (stud(1, along=46.0), "bolt-edge"),
    "slot too tight": (replace(OWN, play=0.2, bare=False), "pocket-fit.least.finished"),
    "square tongue": (replace(OWN, tongue=Tongue(radius=0.0)), "pocket-fit.least.corners"),
    "slot too wide": (replace(OWN, play=0.7), "pocket-fit.most"),
    "slot too deep": (replace(OWN, slot=20.5), "stack.treble"),
    "wide hole in the neck": (replace(OWN, pilot=4.0), "joint-load.pilot"),
    "small cup": (replace(OWN, cup=8.0, cup_bore=8.15), "joint-load.crush"),
}


def test_the_right_neck_is_judged_like_the_shipped_one():
    mine, theirs = found(OWN), found(shipped(OWN))
    same(mine, theirs)
    assert not [f.text for f in mine if f.check in ASKED and f.status in ("fail", "warn", "skip")]
    assert {f.code for f in mine} >= {
        "bolt-seat.wall",
        "bolt-grip",
        "bolt-tip",
        "bolt-edge",
        "pocket-fit.season",
        "joint-load",
        "joint-load.crush",
    }


def test_every_other_check_sees_the_same_body_too():
    """Walls, lands, wires, balance: the whole report has the same codes and figures."""

    def whole(findings):
        return sorted((f.code, f.status, round(f.value or 0.0, 7)) for f in findings)

    assert whole(found(OWN)) == whole(found(shipped(OWN)))


@pytest.mark.parametrize("name", SPOILED)
def test_a_spoiled_neck_fails_like_the_shipped_one(name):
    own, code = SPOILED[name]
    mine = found(own)
    same(mine, found(shipped(own)))
    assert code in {f.code for f in mine if f.status == "fail"}


def same(mine, theirs):
    """Assert that two reports ask the same of a neck and find the same."""
    one, two = rows(mine), rows(theirs)
    assert [r[:2] for r in one] == [r[:2] for r in two]
    for a, b in zip(one, two, strict=True):
        assert a[2:] == pytest.approx(b[2:], abs=1e-9), a


class States(OwnNeck):
    """An own neck that states other records than it has: `change` is put to each."""

    def interfaces(self, part, place, piece):
        told = super().interfaces(part, place, piece)
        return tuple(new for one in told if (new := self.change(one)) is not None)

    def change(self, record):
        """The record as it is stated, None for one that is left out."""
        raise NotImplementedError


def stating(change):
    """The own neck with each record changed by `change`."""
    kind = dataclass(frozen=True)(type("Stating", (States,), {"change": lambda _, r: change(r)}))
    return kind(Tongue(), STUDS)


def only(kind: str, **changes):
    """A change of every record of one kind."""
    return lambda r: replace(r, **changes) if type(r).__name__ == kind else r


def without(kind: str):
    """A change that leaves out every record of one kind."""
    return lambda r: None if type(r).__name__ == kind else r


def shifted(dx: float, dz: float):
    """A change of every screw's seat."""

    def change(record):
        if type(record).__name__ != "Screw":
            return record
        x, y, z = record.at
        return replace(record, at=(x + dx, y, z + dz))

    return change


MISSTATED = {
    "no screws": (without("Screw"), {f"{c}.screws" for c in ASKED[:4]} | {"joint-load.screws"}),
    "screws beside their holes": (shifted(1.0, 0.0), {"bolt-seat.axis", "bolt-seat.bed"}),
    "seats that were cut deeper": (shifted(0.0, 1.0), {"bolt-seat.bed"}),
    "no counterbores": (only("Screw", seat=None), {"bolt-seat.bed"}),
    "cups wider than their beds": (only("Screw", flange=15.0), {"bolt-seat.enter"}),
    "screws that hold in the body": (only("Screw", bites=None), {"bolt-seat.bites"}),
    "no hole in the neck": (only("Screw", pilot=None), {"joint-load.drilled"}),
    "short threads": (only("Screw", grip=8.0), {"bolt-grip"}),
    "screws that carry nothing": (only("Screw", loaded=False), {"joint-load.screws"}),
    "an end that is elsewhere": (only("Joint", end=(150.0, 0.0, -17.0)), {"pocket-fit.end"}),
    "glue without an area": (only("Joint", mount="glue"), {"joint-load.glue.area"}),
}


@pytest.mark.parametrize("name", MISSTATED)
def test_a_neck_that_misstates_itself_fails_by_name(name):
    change, codes = MISSTATED[name]
    findings = found(stating(change))
    assert codes <= {f.code for f in findings if f.status == "fail"}


def test_every_finding_of_a_neck_has_an_identity_of_its_own():
    for neck in (OWN, GluedNeck(Tongue()), stating(without("Screw")), stating(shifted(1.0, 0.0))):
        names = [f.identity for f in found(neck) if f.check in ASKED and f.subjects]
        assert len(set(names)) == len(names)


def test_a_glued_neck_is_judged_by_its_glue():
    """412 N over 76 x 56 mm is 0.097 MPa; alder at G 0.41 shears at 21.9 G^1.13 = 7.997 MPa (law
    from memory). Its rounded floor has 4235 mm2; the strings run 0.5 + 2.4 x 0.7275 + 9.6 + 17 =
    28.85 mm over it: 6 x 412 x 28.85 N mm peel it, over 4235 x 76 mm3."""
    findings = {f.code: f for f in found(GluedNeck(Tongue())) if f.check in ASKED}
    for check in ASKED[:4]:
        assert findings[check].status == "skip" and findings[check].text == "neck is glued"
    shear, peel = findings["joint-load.glue"], findings["joint-load.glue.peel"]
    assert shear.value == pytest.approx(7.997 / (412.0 / 4256.0), rel=2e-3)
    assert peel.value == pytest.approx(10.1 * 0.41**1.3 * 4235 * 76 / (6 * 412 * 28.85), rel=2e-3)
    assert {shear.status, peel.status} == {"pass"} and shear.limit == 2.9
    # Pushed back by 150 N at the nut, 610 mm from the saddles; the mouth is at HEEL_X + 76.
    push, bass = findings["joint-load.glue.push"], findings["joint-load.glue.twist.bass"]
    moment = 150.0 * (610.0 - HEEL_X - 76.0)
    assert push.value == pytest.approx(10.1 * 0.41**1.3 * 4235 * 76 / (6 * moment), rel=2e-3)
    assert bass.value == pytest.approx(10.1 * 0.41**1.3 * 4235**2 / 76 / (6 * 15_000.0), rel=2e-3)
    assert {push.status, bass.status} == {"pass"} and push.limit == bass.limit == 1.45
    # Glue faces are masked: the finish takes nothing, and no season loosens them.
    fit = findings["pocket-fit.least.finished"]
    assert fit.value == pytest.approx(0.15) and "pocket-fit.season" not in findings


@pytest.mark.parametrize(
    "neck, code, status",
    [
        (GluedNeck(Tongue(), glue=90.0), "joint-load.glue", "fail"),
        (GluedNeck(Tongue(), glue=200.0), "joint-load.glue", "warn"),
        (GluedNeck(Tongue(length=26.0), glue=1400.0), "joint-load.glue.peel", "fail"),
        (GluedNeck(Tongue(), glue=50_000.0), "joint-load.glue.area", "fail"),
        (GluedNeck(Tongue(length=60.0), glue=3200.0), "joint-load.glue.push", "warn"),
        (GluedNeck(Tongue(length=40.0), glue=2200.0), "joint-load.glue.push", "fail"),
        (GluedNeck(Tongue(width=20.0), glue=1500.0), "joint-load.glue.twist.bass", "fail"),
        (GluedNeck(Tongue(), play=-0.1), "pocket-fit.least", "fail"),
        (GluedNeck(Tongue(), slot=20.5), "stack.treble", "fail"),
    ],
)
def test_a_spoiled_glued_neck(neck, code, status):
    assert status in {f.status for f in found(neck) if f.code == code}


def test_two_necks_are_judged_each():
    """A second neck beside the first, its slot out of the same end."""
    second = Placed("second", OWN, Place(HEEL_X, 75.0))
    findings = quoin(second, swap={"neck": Placed("neck", OWN, Place(HEEL_X))}).check().findings
    for code in ("bolt-grip", "pocket-fit.least", "joint-load.crush", "bolt-seat.tilt"):
        owners = {f.subjects[0].partition(".")[0] for f in findings if f.code == code}
        assert owners == {"neck", "second"}, code
    assert not [f.text for f in findings if f.status == "error"]


def test_no_neck_at_all_is_said():
    findings = quoin(swap={"neck": None}).check().findings
    assert {f.check for f in findings if f.status == "skip"} >= set(ASKED[:6])
    assert not [f.text for f in findings if f.status == "error"]


def test_a_left_handed_own_neck_has_the_same_figures():
    for neck in (OWN, stud(3, along=72.0, across=-22.0)):
        left = with_neck(neck, left_handed=True).check().findings
        same(left, found(neck))


def test_chance_follows_an_own_neck():
    """Without `fitted` its figures still follow the wood: they are read from the cuts."""
    report = with_chance(with_neck(OWN).check(), 200)
    told = {f.code: f.chance for f in report.findings if f.subjects[:1] == ("neck.cup1",)}
    assert all(0.9 <= told[code] <= 1.0 for code in ("bolt-seat.wood", "bolt-edge"))


@dataclass(frozen=True)
class Movable(OwnNeck):
    """An own neck that takes other screws."""

    def with_screws(self, screws):
        seats = [THICKNESS + self.height(s.u) - s.wood for s in screws]
        studs = [Stud(s.u, s.v, z, s.length) for s, z in zip(screws, seats, strict=True)]
        return replace(self, studs=tuple(studs))


def test_the_widest_pattern_of_an_own_neck_is_that_of_the_shipped_one():
    mine, theirs = (
        widest_pattern(with_neck(neck).layout(), 4, grid=2.0) for neck in (OWN, shipped(OWN))
    )
    assert mine.screws == theirs.screws and mine.margin == pytest.approx(theirs.margin, abs=1e-9)
    layout = with_neck(Movable(Tongue(), STUDS)).layout()
    report = compare(layout, 4, grid=2.0).report
    assert not [f.text for f in report.findings if f.status == "fail" and f.check in ASKED]
    with pytest.raises(InputError, match="with_screws"):
        compare(with_neck(OWN).layout(), 4, grid=4.0)


@pytest.mark.parametrize(
    "change, words",
    [
        ({"ferrule": None}, "a neck joint's ferrule is None"),
        ({"heel": None}, "a neck joint's heel is None"),
        ({"bolts": (None, None)}, "item 1 of a neck joint's bolts is None"),
        ({"species": "maple, reed"}, "a wood species"),
        ({"grain": "curly"}, "a neck joint's grain is"),
    ],
)
def test_a_shipped_neck_with_something_missing_is_one_line(change, words):
    with pytest.raises(InputError, match=words) as caught:
        with_neck(replace(shipped(OWN), **change)).check()
    assert "\n" not in str(caught.value)


class Cupless(NeckJoint):
    """A shipped neck whose maker left the counterbores out."""

    def voids(self, part, place, thickness):
        cuts = super().voids(part, place, thickness)
        kept = [v for v in cuts if not v.id.endswith(".seat")]
        return tuple(replace(v, meets=v.meets & {w.id for w in kept}) for v in kept)


def test_a_subclass_without_counterbores_fails_by_name():
    whole = shipped(OWN)
    bare = Cupless(**{name: getattr(whole, name) for name in whole.__dataclass_fields__})
    missing = [f for f in found(bare) if f.code == "bolt-seat.bed" and f.status == "fail"]
    assert len(missing) == len(STUDS) and "no counterbore" in missing[0].text
