"""Texts that were made to do harm, in every place of a report and a layout that holds a text: no
file and no terminal takes one for anything but a text.

What a script may write is narrower (see `declare`); this is the other half: whatever gets through,
from a part of the maker's own or an exception of its code, is shown and nothing else.
"""

from __future__ import annotations

import copy
import io
import json
import re
from dataclasses import dataclass, fields, is_dataclass, replace
from enum import Enum
from html.parser import HTMLParser
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pytest

from bodycad.checks.outlook import Chance, Hanging, Tighten, Unwatched
from bodycad.checks.runner import run
from bodycad.cli import console
from bodycad.design import build
from bodycad.errors import harmless
from bodycad.exports.dxf import annotate, document, lint
from bodycad.exports.marks import numbered
from bodycad.exports.plan import plan_svg
from bodycad.exports.report import html
from bodycad.exports.report.html import html_text
from bodycad.exports.report.json import json_text
from bodycad.exports.report.text import report_text
from bodycad.exports.sections.drawing import draw
from bodycad.exports.sections.lines import section_lines
from bodycad.geometry.solids.bore import bore
from bodycad.layout.layout import Placed
from bodycad.layout.void import Room, Void
from bodycad.making import leads as wirelist
from bodycad.making import order
from bodycad.shop import Limit, Shop
from bodycad.solid.step import ascii_names
from bodycad.waiver import Waiver
from bodycad.wood import Species
from bodycad.words import SIDES, Still
from tests import sample
from tests.exports.reports import FINDINGS
from tests.strangers.bench import quoin

HARM = "a\"'><script>alert(1)</script>&<b id=x>]]>\x1b[2J\r\x00\x7f\x9b31m\u2028\ud800%%u^J\\U+0041"
"""It ends an attribute, opens elements, moves a cursor, is no text of XML or UTF-8, and is read by
DXF as other characters."""
UNFIT = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")
KEPT = {"body", "front", "back", "edge", "gaps", "radial", "tangential", "bar", "flat", "hat"}
"""Words that the package looks for; all others are a maker's."""


def harmed(thing, seen: dict):
    """A thing with each "a" of each text in it replaced by HARM. What was equal, or began alike,
    still is and does, so that ids find one another."""
    if thing is None or isinstance(thing, (Enum, bool, int, float, np.ndarray)):
        return thing
    if isinstance(thing, str):
        return thing if thing in KEPT else thing.replace("a", HARM)
    if id(thing) in seen:
        return seen[id(thing)]
    if isinstance(thing, dict) or type(thing).__name__ == "mappingproxy":
        return {harmed(k, seen): harmed(v, seen) for k, v in thing.items()}
    if isinstance(thing, (tuple, list, set, frozenset)) and not hasattr(thing, "_fields"):
        return type(thing)(harmed(one, seen) for one in thing)
    if not is_dataclass(thing) or isinstance(thing, type):
        return thing
    made = seen[id(thing)] = copy.copy(thing)
    own = {one.name for one in fields(made)}
    for name in vars(thing):
        if name not in own:
            vars(made).pop(name)  # what was worked out from the texts as they were
    for name in own & set(vars(thing)):
        value = getattr(thing, name)
        if name not in ("status", "code", "unit"):
            object.__setattr__(made, name, harmed(value, seen))
    return made


@pytest.fixture(scope="module")
def spoiled():
    """A report of a body with a heel, sections, rooms and covers, harmed all over."""
    found = run(quoin().layout())
    shop = replace(found.layout.shop, limits={"floor": Limit(2.0, 3.0, "my own cuts")})
    layout = replace(found.layout, parameters={"name": "a plain name"}, shop=shop)
    seen = [replace(f, subjects=("neck.pocket",), limit_source="a table") for f in FINDINGS if f.at]
    waived = replace(seen[0], code="edge", status="pass", waiver="a part hides it")
    unsure = [replace(f, chance=0.5, worst=-1.0) for f in seen]
    size = Hanging(
        "a.part",
        "a_size",
        9.0,
        "mm",
        "default",
        1.0,
        8.0,
        may_be_off=0.5,
        finding=seen[0],
        names=(("a.part", "a_size"),),
    )
    made = replace(
        found,
        layout=layout,
        findings=(*found.findings, waived, *unsure),
        dimensions=(*found.dimensions, replace(size, origin="measured")),
        chance=Chance(10, 0.5, (Tighten("a tolerance", 0.1, "mm", 0.1),), 1, 1),
        measure=(size,),
        unwatched=(Unwatched("a.number", 1.0, Still.UNASKED, "a reason"),),
    )
    return harmed(made, {})


@pytest.fixture(autouse=True)
def wired(monkeypatch):
    """Leads and steps as they were worked out before their texts were harmed: a void with such an
    id cannot be made again."""
    layout = quoin().layout()
    own = harmed(wirelist.leads(layout), {})
    for module in (wirelist, html):
        monkeypatch.setattr(module, "leads", lambda layout: own)
    steps = {face: harmed(dict(order.steps_of(layout, layout.body, face)), {}) for face in SIDES}
    monkeypatch.setattr(annotate, "steps_of", lambda layout, piece, face: steps[face])


class Tags(HTMLParser):
    """What a browser would make of a page: its elements, and the ids that they have."""

    def __init__(self):
        super().__init__()
        self.tags, self.ids, self.text = [], [], ""

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.ids += [value for name, value in attrs if name == "id"]
        assert not [name for name, _ in attrs if name.startswith("on")]

    def handle_data(self, data):
        self.text += data


def read(page: str) -> Tags:
    found = Tags()
    found.feed(page)
    found.close()
    return found


def test_the_page_holds_it_as_text(spoiled):
    page = html_text(spoiled)
    found = read(page)
    assert found.tags.count("script") == 1 and "x" not in found.ids
    assert found.text.count("<script>alert(1)</script>") > 50
    assert not UNFIT.search(page)
    page.encode("utf-8")
    for svg in re.findall(r"<svg.*?</svg>", page, re.S):
        ElementTree.fromstring(svg)


def test_drawings_that_stand_alone_hold_it_as_text(spoiled):
    layout = spoiled.layout
    made = [plan_svg(spoiled, face) for face in ("front", "back")]
    made += [
        draw(layout, one.one, one.two, one.title, alone=True)[0] for one in section_lines(layout)
    ]
    told = 0
    for svg in made:
        tags = [e.tag.rpartition("}")[2] for e in ElementTree.fromstring(svg).iter()]
        assert not {"script", "b"} & set(tags) and not UNFIT.search(svg)
        told += svg.count("&lt;script&gt;")
    assert told > 20 and numbered(spoiled)


@pytest.mark.parametrize("face", ["front", "back"])
def test_the_drawings_for_machines_and_people_hold_it_as_text(spoiled, face, tmp_path):
    bare, annotated = tmp_path / "bare.dxf", tmp_path / "annotated.dxf"
    document.write(spoiled.layout.body, face, bare)
    annotate.write_annotated(spoiled.layout, face, annotated)
    for path in (bare, annotated):
        raw = path.read_bytes()
        assert not re.search(rb"[\x00-\x09\x0b\x0c\x0e-\x1f\x7f]", raw)
        doc = ezdxf.readfile(path)
        assert not doc.audit().has_errors
        assert {e.dxftype() for e in doc.modelspace()} <= {"LWPOLYLINE", "CIRCLE", "LINE", "TEXT"}
        texts = [e.dxf.text for e in doc.modelspace().query("TEXT")]
        texts += [
            tag.value
            for e in doc.modelspace()
            if e.has_xdata(document.APPID)
            for tag in e.get_xdata(document.APPID)
            if tag.code == 1000
        ]
        assert [t for t in texts if "<script>alert(1)</script>" in t]
        assert not [t for t in texts if UNFIT.search(t) or "%%u" in t or re.search(r"\^\S", t)]
    assert not lint.lint(bare)


def test_json_is_plain_ascii(spoiled):
    text = json_text(spoiled)
    text.encode("ascii")
    read_back = json.loads(text)
    assert any(harmless(HARM) in cut["id"] for cut in read_back["cuts"])
    assert harmless(text) == text and not re.search(r"\\ud[89a-f]", text.replace("\\\\", ""))


class Terminal(io.StringIO):
    def isatty(self):
        return True


@pytest.mark.parametrize("colour", [False, True])
def test_a_terminal_shows_it_and_does_nothing_else(spoiled, colour, monkeypatch):
    screen = Terminal()
    monkeypatch.setattr("sys.stdout", screen)
    for name in ("NO_COLOR", "TERM"):
        monkeypatch.delenv(name, raising=False)
    console.write(report_text(spoiled, colour))
    shown = screen.getvalue()
    plain = re.sub(r"\x1b\[(31;1|33|32|2|0)m", "", shown)
    assert (shown != plain) is colour and not UNFIT.search(plain) and "\\x1b[2J" in plain
    shown.encode("utf-8")


def test_progress_and_faults_keep_to_their_line(capsys):
    console.progress("drilling \n\x1b[2J\ud800")
    shown = capsys.readouterr().err
    assert shown == "\r\x1b[Kdrilling \\x1b[2J\\ud800 ..."


def test_names_in_step_and_glb_are_ascii():
    assert ascii_names([HARM])[0].isascii() and "<" not in ascii_names([HARM])[0]


def test_what_is_fit_stays():
    for text in ("", "plain\n\ttext", "Grüße \N{GREEK SMALL LETTER PI} \N{GUITAR}"):
        assert harmless(text) == text


@dataclass(frozen=True)
class Broken:
    """A part whose code says something vile when it breaks."""

    def voids(self, part, place, thickness):
        return ()

    def rooms(self, part, place, thickness):
        return ()

    def interfaces(self, part, place, piece):
        raise RuntimeError(HARM)


def test_an_exception_of_a_parts_own_code(tmp_path, capsys, monkeypatch):
    """By the command line: one line, and nothing that moves the cursor."""
    from bodycad.cli import main

    script = tmp_path / "vile.py"
    script.write_text(
        "from tests.exports.test_hostile import Broken, quoin\nfrom bodycad import Placed\n"
        "def design():\n    return quoin(Placed('vile', Broken()))\n",
        encoding="utf-8",
    )
    assert main(["check", str(script), "--no-cures"]) == 2
    out, err = capsys.readouterr()
    assert not UNFIT.search(out + err) and err.count("\n") == 1


def test_a_whole_build_of_what_a_script_may_write(tmp_path):
    """The longest ids and the worst words that are not refused, in every file, the kernel's too;
    the ids come back from them."""
    part = "p" + "-._9" * 14 + "Zzz"
    words = "<script>alert(1)</script>\"'&%%u^J\\U+0041 " + "\u5bf8" * 20
    cut = f"{part}.{'c' * (119 - len(part))}"
    hole = bore((100.0, 100.0, 0.0), (0, 0, -1), 6.0, 10.0)
    void = Void(cut, part, "front", "BORE", hole, frozenset({"front"}))
    room = Room(f"{cut[:-1]}r", part, "plate", bore((100.0, 100.0, 0.0), (0, 0, 1), 9.0, 2.0))
    body = sample.design()
    body = replace(
        body,
        parts=(*body.parts, Placed(part, sample.Loose((void,), (room,)))),
        blank=replace(body.blank, species=Species(words, 0.4)),
        shop=Shop(limits={"floor": Limit(2.0, 3.0, words)}),
        waivers=(Waiver("floor", (cut, "back"), 1.0, words),),
        parameters={"word": words},
    )
    build(body, tmp_path)
    made = tmp_path / "sample"
    page = (made / "report.html").read_text(encoding="utf-8")
    found = read(page)
    assert found.tags.count("script") == 1 and words in found.text and cut in found.text
    assert json.loads((made / "report.json").read_text())["parameters"] == {"word": words}
    bare, annotated = (ezdxf.readfile(made / f"sample-front{n}.dxf") for n in ("", "-annotated"))
    ids = [
        tag.value
        for e in bare.modelspace()
        if e.has_xdata(document.APPID)
        for tag in e.get_xdata(document.APPID)
    ]
    assert cut in ids and [t for t in annotated.modelspace().query("TEXT") if cut in t.dxf.text]
    assert f"'{room.id}'" in (made / "sample-layout.step").read_text("ascii").replace("\n", "")
    assert room.id.encode() in (made / "sample-body.glb").read_bytes()
