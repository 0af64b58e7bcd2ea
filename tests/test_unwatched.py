"""Nothing unwatched: every number of a design moves a figure, or it is said why it need not."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

from bodycad import Place, Placed, bore
from bodycad.checks.outlook import Unwatched
from bodycad.checks.runner import run
from bodycad.cli import console
from bodycad.cli import entry as cli
from bodycad.exports.report.text import report_text
from bodycad.layout.void import Room, Void
from bodycad.script import load_design
from bodycad.unwatched import numbers, unwatched
from bodycad.words import Face, Operation, Still
from tests.sample import Loose
from tests.strangers.bench import quoin

ROOT = Path(__file__).resolve().parents[1]
REASONS = {
    r"bridge\.part\.ferrule\.proud": "it says how far a ferrule may stand out; what is farther is "
    "asked about",
    r"bridge\.part\.plate_rear": "the front is bare and flat far behind the bench's bridge",
    r"strap\.tail\.place\.y": "the bench's side is straight there, and nothing is near",
    r"links\.\d\.bundle": "both ends stand in one cavity: the wires pass no hole",
}
"""Of the numbers that no check asks about, by path: why none needs to."""


def demo():
    return load_design(str(ROOT / "designs" / "teasel.py"))


@pytest.mark.parametrize("made, each", [(quoin, 11), (demo, 13)])
def test_every_number_is_asked_about_or_says_why(made, each):
    """Every so many-th number is tried here; `bodycad check --watch-list` tries all."""
    found = unwatched(made(), each=each)
    assert found and all(one.why for one in found)
    unasked = [one for one in found if one.still is Still.UNASKED]
    assert not [one for one in unasked if not any(re.fullmatch(r, one.number) for r in REASONS)]


def test_each_reason_is_of_a_number_that_exists():
    paths = [one.path for design in (quoin(), demo()) for one in numbers(design)]
    assert not [r for r in REASONS if not any(re.fullmatch(r, path) for path in paths)]


def test_each_reason_is_of_its_kind():
    """By the bench's drawing: the last plate screw stands far from every other cut; a plain
    string's core is its gauge; the pocket's overrun lies in
    the air, up to the datum pin; a pot's can is round."""
    kinds = {
        "bridge.part.screws.3.1": Still.WIDER,
        "instrument.strings.1.core": Still.FIXED,
        "neck.part.overrun": Still.WIDER,
        "volume.place.turn_deg": Still.NO_WOOD,
        "bridge.part.ferrule.proud": Still.UNASKED,
        "ground.place.x": None,
    }
    found = {path: unwatched(quoin(), only=path) for path in kinds}
    assert {path: one[0].still if one else None for path, one in found.items()} == kinds
    assert "ferrule-wall follows (bridge.screw.3" in found["bridge.part.screws.3.1"][0].why
    assert "cut-order.pin follows (neck.pocket" in found["neck.part.overrun"][0].why


def test_a_hole_far_from_everything_is_no_air():
    """A blind hole 74 mm from the edge and 20 mm from any cut at the widest step: it takes as much
    wood wherever it stands, but not the same wood, and no check asks where."""
    solid = bore((-60.0, 70.0, 0.0), (0, 0, -1), 8.0, 20.0)
    hole = Void("box.hole", "box", Face.FRONT, Operation.BORE, solid, frozenset({Face.FRONT}))
    design = quoin(Placed("box", Loose((hole,))))
    found = {one.number: one for one in unwatched(design, only="box.part.cut.box.hole.shape.sta")}
    for axis in "12":
        one = found[f"box.part.cut.box.hole.shape.start.{axis}"]
        assert (one.still, one.why) == (Still.UNASKED, "it changes box.hole")


def test_numbers_are_found_in_every_value_and_set_where_they_stand():
    design = quoin()
    every = {one.path: one for one in numbers(design)}
    assert len(every) == len(list(numbers(design)))
    assert every["neck.place.x"].set(1.0).parts[0].place == Place(1.0)
    moved = every["pickup.part.ring.length"].set(90.0).parts[1].part
    assert moved.ring == replace(design.parts[1].part.ring, length=90.0)
    assert every["links.1.bundle"].set(2.0).links[0].bundle == 2.0
    assert every["skin.thickness"].set(40.0).skin.thickness == 40.0
    assert every["instrument.neck.frets"].steps == (23, 21)
    assert not any(path.startswith(("shop", "waivers", "parameters")) for path in every)


def test_a_part_without_questions_is_listed():
    """A loose box far from everything: where it stands and how large it is nobody asks."""
    solid = bore((-120.0, 100.0, 30.0), (0, 0, 1), 8.0, 4.0)
    design = quoin(Placed("box", Loose((), (Room("box.part", "box", "part", solid),))))
    found = {
        one.number: one.why for one in unwatched(design, only="box.part.room.box.part.shape.dia")
    }
    why = found["box.part.room.box.part.shape.diameter"]
    assert why == "it changes box.part, in the air, where nothing is near"


@pytest.fixture
def small(tmp_path):
    path = tmp_path / "small.py"
    path.write_text(
        "from tests.strangers.bench import quoin\n\n\ndef design():\n    return quoin()\n"
    )
    return str(path)


def test_the_list_names_what_is_unasked_first_and_each_reason_once():
    found = [
        Unwatched("a.x", 1.0, Still.NO_WOOD, "in the air"),
        Unwatched("b.x", 2.5, Still.UNASKED, "it changes b"),
        Unwatched("a.y", 3.0, Still.NO_WOOD, "in the air"),
    ]
    text = report_text(replace(run(quoin().layout(), ()), unwatched=tuple(found)))
    shown = text[text.index("Numbers that move no figure") : text.index("Measure before")]
    assert shown.split("\n\n")[:2] == [
        "Numbers that move no figure: no check asks about them:\n  b.x = 2.5: it changes b",
        "Numbers that change no wood:\n  a.x = 1, a.y = 3: in the air",
    ]
    none = report_text(replace(run(quoin().layout(), ()), unwatched=()))
    assert "Every other number of the design moves some figure" in none


def test_the_command_prints_the_list(small, monkeypatch):
    said, some = [], [n for n in numbers(quoin()) if n.path == "bridge.part.ferrule.proud"]
    monkeypatch.setattr(console, "write", said.append)
    monkeypatch.setattr("bodycad.unwatched.numbers", lambda design: iter(some))
    assert cli.main(["check", small, "--watch-list", "--json"]) == 0
    document = json.loads("".join(said))
    paths = [one["number"] for one in document["unwatched"]]
    assert paths == ["bridge.part.ferrule.proud"]
    assert set(document["unwatched"][0]) == {"number", "value", "still", "why"}
    said.clear()
    assert cli.main(["check", small]) == 0
    assert "move no figure" not in "".join(said)
