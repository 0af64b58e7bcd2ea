"""Controls and boxes of a maker's own: right ones pass, spoiled ones fail as shipped ones do.

The rotary switch has the sizes of a shipped `Toggle`, the box of the README those of a shipped
`Cavity`: where a shipped part can express the same sizes, codes, subjects and figures are compared
to 1e-9.
"""

from __future__ import annotations

import re
import shutil
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from bodycad import (
    Bush,
    Cavity,
    Channel,
    Cover,
    Depth,
    EndJack,
    Fit,
    Hardware,
    InputError,
    Link,
    Mass,
    Place,
    Placed,
    Prism,
    Room,
    Roundover,
    Skin,
    Sweep,
    Terminal,
    Toggle,
    Void,
    bore,
    load_design,
    on_edge,
    rectangle,
)
from tests.strangers.bench import LINKS, OUTLINE, THICKNESS, quoin

ROOT = Path(__file__).resolve().parents[2]
SAME = 1e-9


@dataclass(frozen=True)
class Rotary:
    """A rotary switch with a square body under its bush, hung in a placed cavity."""

    cavity: str = "control"
    side: float = 30.0
    depth: float = 22.0
    bush: float = 12.0
    knob: float = 20.0
    panel: float = 6.0
    wired: bool = True
    thread: float | None = 9.4

    def voids(self, part, place, thickness):
        hole = bore((place.x, place.y, 0.0), (0, 0, -1), 9.6, self.panel)
        meets = {f"{self.cavity}.cavity"}
        return (Void(f"{part}.hole", part, "front", "BORE", hole, {"front"}, meets),)

    def rooms(self, part, place, thickness):
        body = place.profile(rectangle(self.side, self.side, 1.0))
        grip = bore((place.x, place.y, 1.0), (0, 0, 1), self.knob, 16.0)
        return (
            Room(f"{part}.can", part, "can", Prism(body, -self.panel - self.depth, -self.panel)),
            Room(f"{part}.knob", part, "knob", grip),
        )

    def interfaces(self, part, place, piece):
        hole, inside = f"{part}.hole", f"{self.cavity}.cavity"
        at, ends = (place.x, place.y, 0.0), (inside, f"{self.cavity}.recess")
        return (
            Bush(
                part=part,
                hole=hole,
                under=inside,
                at=at,
                clamps=self.bush - 4.0,
                washer=8.8,
                diameter=self.thread,
            ),
            Fit(
                part=part, kind="control", name="can", room=f"{part}.can", outer=inside, hangs=True
            ),
            Sweep(part=part, kind="hand", room=f"{part}.knob"),
            *((Terminal(part=part, kind="signal", voids=ends),) if self.wired else ()),
            Mass(part=part, kg=0.04),
            Hardware(part=part, what="rotary switch with its knob", fills=("can", "knob")),
        )


def shipped(own: Rotary) -> Toggle:
    """The shipped toggle with the sizes of a rotary."""
    return Toggle(
        own.cavity,
        own.panel,
        own.side,
        own.side,
        own.depth,
        own.bush,
        hole=9.6,
        knob=own.knob,
        thread=own.thread,
    )


def rows(report) -> dict[tuple[str, tuple[str, ...]], tuple[str, float | None]]:
    """Status and figure of each finding by its identity, which is its own."""
    found = {f.identity: (f.status, f.value) for f in report.findings if f.subjects}
    assert len(found) == len([f for f in report.findings if f.subjects])
    return found


def alike(one: tuple[str, float | None], two: tuple[str, float | None]) -> bool:
    if one[0] != two[0] or (one[1] is None) != (two[1] is None):
        return False
    return one[1] is None or one[1] == pytest.approx(two[1], abs=SAME)


def with_switch(part, x: float = -85.0, y: float = -85.0, **changes):
    """The body with a switch in its cavity and the jack moved to where its plug clears it."""
    jack = Placed(
        "jack", EndJack("control", -22.0, 40.0, lip=25.0), on_edge(OUTLINE, -58.0, -135.0)
    )
    links = *LINKS, Link("switch", "volume", 3.0)
    return quoin(Placed("switch", part, Place(x, y)), swap={"jack": jack}, links=links, **changes)


def test_an_own_rotary_passes_for_the_right_reasons():
    report = with_switch(Rotary()).check()
    assert not [f.text for f in report.findings if f.status in ("fail", "error")]
    asked = {f.code for f in report.findings if f.subjects[:1] in (("switch",), ("switch.knob",))}
    assert asked >= {
        "control-clamp",
        "control-room.depth",
        "control-room.side",
        "control-reach.string",
        "control-reach.edge",
        "wire-path.bundle",
    }


@pytest.mark.parametrize(
    "changes, place, codes",
    [
        ({}, (-85.0, -85.0), set()),
        ({"bush": 9.5}, (-85.0, -85.0), {"control-clamp"}),
        ({"depth": 36.0}, (-85.0, -85.0), {"control-room.depth"}),
        ({}, (-92.5, -85.0), {"control-room.side"}),
        ({}, (-59.5, -85.0), {"control-room.side"}),
        ({"knob": 100.0}, (-85.0, -85.0), {"control-reach.edge"}),
        ({"thread": 9.7}, (-85.0, -85.0), {"control-clamp.play"}),
        ({"thread": 8.0}, (-85.0, -85.0), {"control-clamp.play.most"}),
        ({"panel": 4.0}, (-85.0, -85.0), {"complete"}),
    ],
)
def test_a_spoiled_rotary_fails_as_a_toggle_of_its_sizes(changes, place, codes):
    """A bush too short, a body too deep, one against the wall, one against the pot beside it, a
    knob that reaches the edge, a hole that stops short of the cavity."""
    own = Rotary(**changes)
    mine, theirs = (rows(with_switch(part, *place).check()) for part in (own, shipped(own)))
    assert mine.keys() == theirs.keys()
    assert not [key for key in mine if not alike(mine[key], theirs[key])]
    assert {code for (code, _), (status, _) in mine.items() if status == "fail"} >= codes


def test_a_rotary_without_a_terminal_fails_by_name():
    report = with_switch(Rotary(wired=False)).check()
    found = {f.identity: f.text for f in report.findings if f.status == "fail"}
    assert found.keys() == {
        ("complete.terminal", ("switch",)),
        ("wire-path.bundle", ("switch", "volume")),
    }
    assert "switch states no Terminal" in found["complete.terminal", ("switch",)]


def test_a_rotary_that_hangs_in_no_cavity_is_refused_by_name():
    with pytest.raises(InputError, match=r"switch\.hole leads into.*attic\.cavity"):
        with_switch(Rotary(cavity="attic")).layout()


def script(folder: Path) -> Path:
    """The README's own part as a script beside the demo."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    block = re.search(r"```python\n(from dataclasses.*?class LightBox.*?)```", text, re.S)
    assert block and block[1].count("\n") <= 100
    shutil.copy(ROOT / "designs" / "teasel.py", folder)
    (folder / "lantern.py").write_text(block[1], encoding="utf-8")
    return folder / "lantern.py"


@pytest.fixture(scope="module")
def lantern(tmp_path_factory):
    """Findings of the README's script by its settings."""
    path = script(tmp_path_factory.mktemp("readme"))

    def found(*settings: str):
        return load_design(path, settings).check().findings

    found.path = path
    return found


def test_the_readmes_box_passes_and_is_asked(lantern):
    findings = lantern()
    assert not [(f.code, f.text) for f in findings if f.status in ("fail", "error")]
    own = {f.code for f in findings if any(s.split(".")[0] == "light" for s in f.subjects)}
    assert own >= {
        "control-room.depth",
        "control-room.side",
        "cover-fit.gap",
        "cover-fit.gap.finished",
        "cover-fit.ledge",
        "cover-fit.boss",
        "cover-fit.season",
        "land",
        "floor",
        "drill-reach",
        "wire-path.open",
        "wire-path.bundle",
    }


def test_the_readme_shows_the_findings_that_the_box_gets(lantern):
    """Each row of the README's table: a setting, and the finding that it gets, word for word."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = re.findall(r"^\| `(\w+=[\d.]+)` \| `([\w.-]+)` \| (.*?) \|$", text, re.M)
    assert len(shown) >= 5
    for setting, code, words in shown:
        failed = [(f.code, f.text) for f in lantern(setting) if f.status == "fail"]
        assert (code, words) in failed, (setting, failed)


def lit(lantern, **changes):
    """The body with the README's box, some of its fields changed."""
    design = load_design(lantern.path)
    light = next(p for p in design.parts if p.id == "light")
    part = replace(light.part, **{k: v for k, v in changes.items() if k != "place"})
    swapped = replace(light, part=part, place=changes.get("place", light.place))
    return replace(design, parts=tuple(swapped if p.id == "light" else p for p in design.parts))


OWN_NAMES = {"light.cavity": "light.box", "light.cover": "light.lid"}
COVER_CODES = ("cover-fit", "land", "pilot-tip", "floor", "breakout", "cutter")


@pytest.mark.parametrize(
    "changes, codes",
    [
        ({}, set()),
        ({"ledge": 6.0}, {"cover-fit.boss"}),
        ({"ledge": 2.4}, {"cover-fit.ledge", "cover-fit.boss"}),
        ({"depth": 42.0}, {"floor"}),
        ({"depth": 43.9, "place": Place(-105.0, 106.0, 90.0)}, {"breakout", "land"}),
        ({"place": Place(-105.0, 112.0, 90.0)}, {"land"}),
    ],
)
def test_a_spoiled_box_fails_as_a_cavity_of_its_sizes(lantern, changes, codes):
    """A ledge too narrow for screws or lid, a box deeper than the wood, one under the front's
    contour, one whose lid runs over the roundover of the back."""
    own = lit(lantern, **changes)
    light = next(p for p in own.parts if p.id == "light")
    box, u = light.part, (light.part.length + 6.0 + light.part.ledge) / 2.0
    cover = Cover(2.5, 0.3, box.ledge, ((-u, 0.0), (u, 0.0)), boss=1.0, pilot_depth=12.0)
    plan = rectangle(box.length + 6.0, box.width + 6.0, 6.4)
    theirs = replace(light, part=Cavity(plan, Depth(depth=box.depth), cover))
    wire = next(p for p in own.parts if p.id == "wire.light")
    same = Channel(wire.part.start, wire.part.end, ("light.cavity", "control.cavity"))
    swaps = {"light": theirs, "wire.light": Placed("wire.light", same)}
    other = replace(own, parts=tuple(swaps.get(p.id, p) for p in own.parts), links=own.links[:-1])
    mine = rows(own.check())
    wanted = {
        (code, tuple(OWN_NAMES.get(s, s) for s in subjects)): row
        for (code, subjects), row in rows(other.check()).items()
        if code.startswith(COVER_CODES) and "light" in " ".join(subjects)
        if not any(s.startswith("light.cover.") for s in subjects)
    }
    assert len(wanted) > 10
    assert not [key for key in wanted if key not in mine or not alike(mine[key], wanted[key])]
    assert {code for (code, _), (status, _) in wanted.items() if status == "fail"} >= codes


@dataclass(frozen=True)
class Says:
    """Any part, with other records than it would state itself."""

    part: object
    drop: tuple[str, ...] = ()

    def voids(self, part, place, thickness):
        return self.part.voids(part, place, thickness)

    def rooms(self, part, place, thickness):
        return self.part.rooms(part, place, thickness)

    def interfaces(self, part, place, piece):
        found = self.part.interfaces(part, place, piece)
        return tuple(
            one
            for one in found
            if f"{type(one).__name__} {getattr(one, 'kind', '')}".strip() not in self.drop
        )


@pytest.mark.parametrize(
    "drop, code, subjects, words",
    [
        ("Fit cover", "complete.fit", ("light.lid",), "states no Fit"),
        ("Fit control", "complete.fit", ("light.battery",), "states no Fit"),
        ("Hides in", "cover-fit.rim", ("light.lid",), "states no Hides"),
        ("Land", "complete.land", ("light.bezel",), "states no Land"),
        ("Terminal power", "complete.terminal", ("light",), "states no Terminal"),
    ],
)
def test_what_a_box_does_not_state_is_named(lantern, drop, code, subjects, words):
    design = load_design(lantern.path)
    parts = tuple(
        replace(p, part=Says(p.part, (drop,))) if p.id == "light" else p for p in design.parts
    )
    found = [f for f in replace(design, parts=parts).check().findings if f.code == code]
    assert [(f.status, f.subjects) for f in found] == [("fail", subjects)]
    assert words in found[0].text


def test_a_part_without_mass_is_named(lantern):
    design = load_design(lantern.path)
    parts = tuple(
        replace(p, part=Says(p.part, ("Mass",))) if p.id == "light" else p for p in design.parts
    )
    found = [f for f in replace(design, parts=parts).check().findings if f.code == "balance.mass"]
    assert "light counted by volume, for no Mass is stated" in found[0].text


def test_a_battery_too_tall_for_its_box(lantern):
    """25 mm of box less 2.5 of lid and 2 of felt is 20.5: a 21 mm battery is 0.5 too tall."""
    found = rows(lit(lantern, height=21.0).check())
    status, value = found["control-room.depth", ("light", "light.box")]
    assert status == "fail" and value == pytest.approx(-0.5, abs=SAME)


def test_a_window_over_the_roundover_of_the_front(lantern):
    """Its rim of 13 mm stands 10 mm from the side of a body rounded by 5: 10 - 6.5 - 5 = -1.5."""
    light = next(p for p in load_design(lantern.path).parts if p.id == "light")
    near = replace(light, place=Place(50.0, 135.0 - 10.0))
    rounded = Skin(OUTLINE, THICKNESS, Roundover(5.0), Roundover(5.0))
    found = rows(quoin(near, skin=rounded).check())
    status, value = found["land", ("light.bezel", "edge")]
    assert status == "fail" and value == pytest.approx(-1.5, abs=SAME)


def test_a_box_that_nothing_is_linked_to_is_named(lantern):
    design = load_design(lantern.path)
    report = replace(design, links=design.links[:-1]).check()
    found = [f for f in report.findings if f.status == "fail"]
    assert [f.subjects for f in found] == [("light",)] and found[0].check == "complete"
