"""Workpieces of a maker's own, as a script writes them: a drilling fixture, a guard on the front.

The lighthouse's relief keeper drills one body a year and trusts no eye over a row of holes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import pytest

from bodycad import (
    Face,
    Frame,
    InputError,
    Land,
    Place,
    Placed,
    Prism,
    Profile,
    Room,
    Screw,
    Skin,
    Square,
    Void,
    Workpiece,
    bore,
    profile,
    rectangle,
)
from tests.strangers.bench import THICKNESS, own_parts, quoin

BOTH = frozenset({"front", "back"})
L_PLATE = profile(
    [(0, 0), (70, 0), (70, 26), (34, 26, math.tan(-math.pi / 8)), (26, 34), (26, 60), (0, 60)]
)
"""An L with a hollow corner of 8 mm radius."""


def through(name: str, x: float, y: float, diameter: float, thickness: float, part: str = ""):
    """A hole drilled right through a sheet."""
    shape = bore((x, y, 0.0), (0, 0, -1), diameter, thickness)
    return Void(name, part, "front", "BORE", shape, BOTH)


# A fixture of 8 mm sheet for the ferrules of the strings, clamped on the back.
FERRULES = [v for v in quoin().layout().voids if v.id.startswith("bridge.ferrule.")]
X0 = FERRULES[0].shape.start[0]


def fixture(thickness: float = 8.0, shift: float = 0.0, *more: Void, **changes) -> Workpiece:
    """One guide hole for each ferrule, seen from behind, where y runs the other way; `shift` puts
    the third hole beside its ferrule."""
    guides = tuple(
        through(
            f"fixture.guide.{k}",
            0.0,
            -(v.shape.start[1] + (shift if k == 3 else 0.0)),
            v.shape.diameter,
            thickness,
        )
        for k, v in enumerate(FERRULES, 1)
    )
    given = {
        "skin": Skin(rectangle(34.0, 84.0, 6.0), thickness, Square(), Square()),
        "frame": Frame(X0, 0.0, -THICKNESS - thickness, turned_over=True),
        "title": "drilling fixture for the string ferrules",
        "sheet": True,
        **changes,
    }
    return Workpiece("fixture", voids=guides + more, **given)


@dataclass(frozen=True, eq=False)
class Guard:
    """A guard plate of the maker's own that lies on the front, with its screws."""

    plan: Profile = L_PLATE
    screws: tuple[tuple[float, float], ...] = ((6.0, 6.0), (64.0, 6.0), (6.0, 54.0))
    thickness: float = 2.4
    hole: float = 3.4
    aside: float = 0.0
    """How far the first hole of the plate lies beside its pilot."""
    lifted: float = 0.0
    """How far the plate is drawn over the room kept for it."""
    more: tuple[Void, ...] = ()
    roomy: bool = True
    says: object = (("head", "flat"), ("rise", 2.0), ("proud", 2.0))
    """What its screws say of their heads."""
    astray: bool = False
    """Whether its screws are said to pass their own pilots instead of the plate."""

    def voids(self, part, place, thickness):
        return tuple(
            Void(
                f"{part}.pilot.{k}",
                part,
                "front",
                "PILOT",
                bore((*place.point(u, v), 0.0), (0, 0, -1), 2.0, 12.0),
                frozenset({"front"}),
            )
            for k, (u, v) in enumerate(self.screws, 1)
        )

    def rooms(self, part, place, thickness):
        plate = Prism(place.profile(self.plan), 0.0, self.thickness)
        return (Room(f"{part}.plate", part, "plate", plate),) if self.roomy else ()

    def pieces(self, part, place, piece):
        holes = (
            through(
                f"{part}.plate.screw.{k}",
                u + (self.aside if k == 1 else 0.0),
                v,
                self.hole,
                self.thickness,
                part,
            )
            for k, (u, v) in enumerate(self.screws, 1)
        )
        return (
            Workpiece(
                f"{part}.plate",
                Skin(self.plan, self.thickness, Square(), Square()),
                (*holes, *self.more),
                frame=Frame(place.x, place.y, self.thickness + self.lifted, place.turn_deg),
                part=part,
                sheet=True,
            ),
        )

    def interfaces(self, part, place, piece):
        screws = (
            Screw(
                part=part,
                number=k,
                hole=f"{part}.pilot.{k}",
                at=(*place.point(u, v), 0.0),
                way=(0.0, 0.0, -1.0),
                flange=6.0,
                thread=3.0,
                reach=12.0,
                free=f"{part}.pilot.{k}" if self.astray else f"{part}.plate.screw.{k}",
                **dict(self.says),
            )
            for k, (u, v) in enumerate(self.screws, 1)
        )
        plan = place.profile(self.plan)
        return (Land(part=part, name=part, face="front", plan=plan), *screws)


def guarded(**changes):
    """The design with the guard on the treble side of its neck end."""
    return quoin(Placed("guard", Guard(**changes), Place(120.0, -78.0)))


def faults(design) -> dict[tuple[str, tuple[str, ...]], float | None]:
    """What fails, warns or breaks, by code and subjects, with its figure."""
    return {
        f.identity: f.value
        for f in design.check().findings
        if f.status in ("fail", "warn", "error")
    }


USUAL = faults(quoin())


def new(design):
    """What fails or warns that does not without the piece."""
    return {key: value for key, value in faults(design).items() if key not in USUAL}


def codes(design) -> set[str]:
    return {code for code, _ in new(design)}


def test_a_right_fixture_and_a_right_guard_pass_for_the_right_reasons():
    assert new(quoin(pieces=(fixture(),))) == {} == new(guarded())
    held = {f.identity: f for f in quoin(pieces=(fixture(),)).check().findings}
    for k in range(1, 7):
        assert held["piece-fit.centre", (f"fixture.guide.{k}", f"bridge.ferrule.{k}")].value == 0.0
    assert ("stock.offcut", ()) in held and ("cutter-reach", ("fixture.outline",)) in held
    held = {f.identity: f for f in guarded().check().findings}
    assert held["piece-fit.room", ("guard.plate",)].status == "pass"
    assert held["piece-fit.screw", ("guard.plate.screw.2", "guard.pilot.2")].value == (
        pytest.approx((3.4 - 3.0) / 2.0)
    )
    assert held["edge.sheet", ("guard.plate.screw.1", "guard.plate.edge")].value == (
        pytest.approx(6.0 - 1.7)
    )
    # 8 mm of hollow corner against the 3.175 of a 6.35 mm cutter.
    corner = held["cutter-corner", ("guard.plate.outline",)]
    assert corner.value == pytest.approx(8.0 - 3.175)
    # Its place is told in the instrument's frame: the arc's middle, moved with the guard.
    middle = (34.0 - 8.0 / math.sqrt(2.0) + 120.0, 34.0 - 8.0 / math.sqrt(2.0) - 78.0)
    assert corner.at[0][:2] == pytest.approx(middle)


def test_a_left_handed_guard_is_judged_alike():
    right, left = (
        {f.identity: f for f in replace(guarded(), left_handed=hand).check().findings}
        for hand in (False, True)
    )
    mine = [key for key in right if any("guard" in s for s in key[1])]
    assert len(mine) > 12
    for key in mine:
        assert left[key].status == right[key].status, key
        assert left[key].value == pytest.approx(right[key].value, abs=1e-9), key


SHARP = profile([(0, 0), (70, 0), (70, 30), (30, 30), (30, 60), (0, 60)])


@pytest.mark.parametrize(
    "changes, code, subjects, value",
    [
        # The rim: 2.2 from the axis less half of 3.4.
        (
            {"screws": ((2.2, 6.0), (64.0, 6.0), (6.0, 54.0))},
            "edge.sheet",
            ("guard.plate.screw.1", "guard.plate.edge"),
            2.2 - 1.7,
        ),
        ({"plan": SHARP}, "cutter-corner", ("guard.plate.outline",), -3.175),
        # A screw of 3 mm in 3.4 has 0.2 to spare, and needs 0.5.
        (
            {"aside": 0.5},
            "piece-fit.screw",
            ("guard.plate.screw.1", "guard.pilot.1"),
            0.2 - 0.5,
        ),
        (
            {"hole": 2.8},
            "piece-fit.screw",
            ("guard.plate.screw.3", "guard.pilot.3"),
            -0.1,
        ),
        ({"lifted": 0.1}, "piece-fit.room", ("guard.plate",), 0.1),
        ({"roomy": False}, "piece-fit.no-room", ("guard.plate",), None),
        ({"astray": True}, "piece-fit.free", ("guard.pilot.2", "guard.pilot.2"), None),
        (
            {"more": (through("guard.plate.hole", 40.0, 12.0, 5.0, 2.4, "guard"),)},
            "piece-fit.nothing",
            ("guard.plate.hole",),
            None,
        ),
        # Two holes of one part, 7 apart: no check of the part's own asks for the wall.
        (
            {"screws": ((6.0, 6.0), (10.5, 6.0), (6.0, 54.0))},
            "wall.sheet",
            ("guard.plate.screw.1", "guard.plate.screw.2"),
            4.5 - 3.4,
        ),
        (
            {
                "more": (
                    Void(
                        "guard.plate.pocket",
                        "guard",
                        "front",
                        "POCKET",
                        Prism(rectangle(20.0, 14.0, 4.0, 38.0, 13.0), -1.9, 0.0),
                        frozenset({"front"}),
                    ),
                )
            },
            "floor.sheet",
            ("guard.plate.pocket", "back"),
            0.5,
        ),
        (
            {"screws": ((1.0, 6.0), (64.0, 6.0), (6.0, 54.0))},
            "breakout",
            ("guard.plate.screw.1", "guard.plate.edge"),
            -0.7,
        ),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_a_spoiled_guard_fails_by_name(changes, code, subjects, value):
    found = new(guarded(**changes))
    assert (code, subjects) in found, found
    if value is not None:
        assert found[code, subjects] == pytest.approx(value, abs=1e-9)


WINDOW = Void(
    "fixture.window",
    "",
    "front",
    "POCKET",
    Prism(rectangle(12.0, 30.0, 0.0, 10.5, 0.0), -8.0, 0.0),
    BOTH,
)


@pytest.mark.parametrize(
    "piece, code, subjects",
    [
        (fixture(8.0, 0.4), "piece-fit.centre", ("fixture.guide.3", "bridge.ferrule.3")),
        (
            fixture(8.0, 0.0, through("fixture.stray", 11.0, 38.0, 3.0, 8.0)),
            "piece-fit.nothing",
            ("fixture.stray",),
        ),
        (fixture(8.0, 0.0, WINDOW), "cutter-corner", ("fixture.window",)),
        (fixture(8.0, 0.0, WINDOW), "wall.sheet", ("fixture.guide.3", "fixture.window")),
        (fixture(60.0), "cutter-corner", ("fixture.outline",)),
        (
            fixture(frame=Frame(X0 + 1.0, 0.0, -THICKNESS - 8.0, turned_over=True)),
            "piece-fit.centre",
            ("fixture.guide.1", "bridge.ferrule.1"),
        ),
        (
            fixture(skin=Skin(rectangle(34.0, 62.0, 6.0), 8.0, Square(), Square())),
            "edge.sheet",
            ("fixture.guide.1", "fixture.edge"),
        ),
    ],
    ids=["beside", "stray", "sharp window", "thin", "thick", "shifted", "narrow"],
)
def test_a_spoiled_fixture_fails_by_name(piece, code, subjects):
    found = new(quoin(pieces=(piece,)))
    assert (code, subjects) in found, found


def test_what_goes_through_a_guard_needs_its_opening():
    """The pickup's ring is 45 mm wide; a guard over it needs an opening, and a wide enough one."""

    def over(*more: Void):
        plan = rectangle(80.0, 120.0, 8.0)
        guard = Guard(plan, ((-34.0, -54.0), (34.0, -54.0), (-34.0, 54.0)), more=more)
        swapped = {"bridge": None}
        return quoin(Placed("guard", guard, Place(50.0)), swap=swapped)

    def window(width: float, length: float) -> Void:
        shape = Prism(rectangle(width, length, 4.0), -2.4, 0.0)
        return Void("guard.plate.window", "guard", "front", "POCKET", shape, BOTH)

    def windows(design):
        return {s: v for (code, s), v in faults(design).items() if code == "piece-fit.window"}

    rooms = {
        r.id: r
        for r in over().layout().rooms
        if r.part == "pickup" and r.shape.box[2] < 2.4 and r.shape.box[5] > 0.0
    }
    assert rooms and windows(over()).keys() == {("guard.plate", name) for name in rooms}
    assert windows(over(window(30.0, 60.0))).keys() == windows(over()).keys()
    widest = max(r.shape.box[3] - r.shape.box[0] for r in rooms.values())
    longest = max(r.shape.box[4] - r.shape.box[1] for r in rooms.values())
    assert not windows(over(window(widest + 2.0, longest + 2.0)))


def test_what_is_no_piece_is_one_line():
    skin = fixture().skin
    for broken, said in (
        (lambda: Workpiece("drill/jig", skin), "the id of the workpiece drill/jig"),
        (lambda: Workpiece("jig", "plate"), "the workpiece jig's skin"),
        (lambda: Workpiece("jig", skin, [1]), "the workpiece jig's voids"),
        (lambda: quoin(pieces=("jig",)).layout(), "item 1 of the design's pieces"),
        (lambda: quoin(pieces=(Workpiece("body", skin),)).layout(), "a workpiece id"),
        (lambda: quoin(pieces=(Workpiece("a.b", skin), Workpiece("a-b", skin))).layout(), "a-b"),
        (lambda: quoin(pieces=(fixture(part="bridge"),)).layout(), "the part of the workpiece"),
        (
            lambda: guarded(more=(through("guard.x", 9.0, 30.0, 3.0, 2.4, "other"),)).layout(),
            "the part of guard.x",
        ),
        (lambda: quoin(pieces=(fixture(), fixture())).layout(), "fixture"),
    ):
        with pytest.raises(InputError, match=said):
            broken()


def test_a_void_of_a_piece_may_not_take_the_id_of_one_of_the_body():
    taken = through("bridge.string.1", 11.0, 38.0, 3.0, 8.0)
    with pytest.raises(InputError, match="bridge.string.1"):
        quoin(pieces=(fixture(8.0, 0.0, taken),)).layout()
    assert "bridge" in own_parts() and Face.FRONT == "front"


@pytest.mark.parametrize(
    "says, code, figure",
    [
        ({"head": "countersunk"}, "piece-fit.head", 2.4 - (6.0 - 3.0) / 2.0),
        ({"head": "flat", "rise": 2.0, "proud": 1.5}, "piece-fit.proud", -0.5),
        ({"head": "flat"}, "piece-fit.head.rise", None),
        ({}, "complete.screw.head", None),
    ],
)
def test_the_heads_of_a_guards_screws(says, code, figure):
    """A countersink for a 6 mm head over a 3 mm thread takes 1.5 of the plate's 2.4 mm; a flat
    head of 2 mm stands out, and says by how much it may."""
    found = guarded(says=tuple(says.items())).check().findings
    held = {f.code: f for f in found if any(s.startswith("guard") for s in f.subjects)}
    assert code in held and held[code].value == (
        figure if figure is None else pytest.approx(figure)
    )
