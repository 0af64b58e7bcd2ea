"""Nothing unwatched: every number of a design moves a figure, or says why it need not."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from functools import cache

import pytest

from bodycad import Place, Placed, bore
from bodycad.cli import console
from bodycad.cli import entry as cli
from bodycad.layout.void import Room
from bodycad.unwatched import numbers, unwatched
from tests.sample import Loose
from tests.strangers.bench import quoin

FAR = "nothing is near it: parts and voids farther than 12 mm from it are not listed"
ALIKE = "a step to either side gives the same figure, or the other end decides"
REASONS = {
    r"blank\.pins\.\d\.y": "pins are asked for wood in x only",
    r"skin\.contours\.[\w.]+\.carve\.(section\.\d+\.[xy]|span\.\d|pivot)": "a corner or an end of "
    "the carve that lies in the air, or the pivot of one that does not climb",
    r"skin\.outline\.\d+\.[xy]": FAR,
    r"instrument\.neck\.(nut_width|straight_fret)": "it reaches no wood of the body",
    r"instrument\.strings\.\d\.core": "a plain string's core is its gauge",
    r"neck\.part\.overrun": "the pocket runs on in the air beside the body",
    r"pickup\.part\.feet_width": "slot and feet grow together",
    r"pickup\.part\.ring\.height": "strings come nearer to the poles than to the ring",
    r"bridge\.part\.saddle_low": ALIKE,
    r"bridge\.part\.plate_rear": FAR,
    r"bridge\.part\.screws\.\d\.\d": FAR,
    r"control\.part\.cover\.screws\.1\.2": ALIKE,
    r"pickup\.part\.foot_depth": "the height screws hang in the air over a deep floor",
    r"bridge\.part\.ferrule\.proud": "it says what may stand proud; these lie flush",
    r"neck\.part\.ferrule\.head": "a screw's length is told from under its head",
    r"volume\.part\.hole": "no part states how wide a bush is",
    r"volume\.place\.turn_deg": "the can is round",
    r"jack\.part\.lip_thickness": "it stands out of the side, in the air",
    r"strap\.tail\.place\.y": "the side is straight there",
    r"(wire\.pickup|ground)\.place\.\w+": "a channel has both its ends as numbers, and no place",
}
"""Of the bench's unwatched numbers, by path."""


@cache
def of_the_bench():
    return unwatched(quoin())


def test_every_number_of_the_bench_is_watched_or_says_why():
    found = of_the_bench()
    paths = {one.number for one in found}
    unexplained = [p for p in paths if not any(re.fullmatch(r, p) for r in REASONS)]
    assert not unexplained
    needless = [r for r in REASONS if not any(re.fullmatch(r, p) for p in paths)]
    assert len(needless) <= 3  # an outline's vertices and a few figures at their limits
    assert all(one.why for one in found)


def test_what_reaches_wood_is_not_said_to_reach_nothing():
    """The bench's channel has no place of its own; its rows of pilots do reach wood."""
    why = {one.number: one.why for one in of_the_bench()}
    assert why["ground.place.x"] == "it reaches no cut, no room, no piece and no string"
    assert "bridge.screw.2" in why["bridge.part.screws.2.1"]


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
    found = {one.number: one.why for one in unwatched(design, only="box.")}
    assert found["box.part.room.box.part.shape.diameter"].startswith("it changes box.part")


@pytest.fixture
def small(tmp_path):
    path = tmp_path / "small.py"
    path.write_text(
        "from tests.strangers.bench import quoin\n\n\ndef design():\n    return quoin()\n"
    )
    return str(path)


def test_the_command_prints_the_list(small, monkeypatch):
    said, some = [], list(numbers(quoin()))[-6:]
    monkeypatch.setattr(console, "write", said.append)
    monkeypatch.setattr("bodycad.unwatched.numbers", lambda design: iter(some))
    assert cli.main(["check", small, "--watch-list", "--json"]) == 0
    document = json.loads("".join(said))
    paths = [one["number"] for one in document["unwatched"]]
    assert "ground.place.x" in paths and set(document["unwatched"][0]) == {"number", "value", "why"}
    said.clear()
    assert cli.main(["check", small]) == 0
    assert "move no figure" not in "".join(said)
