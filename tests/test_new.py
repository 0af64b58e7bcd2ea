"""`bodycad new` and `bodycad measure`: a first script that passes, its form and its sheet."""

from __future__ import annotations

import csv
import io
import re
from argparse import Namespace
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, product
from pathlib import Path

import pytest

import bodycad
from bodycad.cli import main
from bodycad.cli.measure import _groups, _of_layout, empty_table, page
from bodycad.cli.new import _answers, _ask
from bodycad.errors import InputError
from bodycad.exports.measuring import jaws
from bodycad.script import load, load_design, make
from bodycad.starting.answers import (
    BRIDGES,
    COUNTS,
    JOINTS,
    MOUNTS,
    PICKUPS,
    SWITCHES,
    Answers,
)
from bodycad.starting.possible import cures, listed, settled
from bodycad.starting.script import script_text
from bodycad.starting.wiring import wiring

SOME = (
    Answers(),
    Answers(strings=4, pickups=("split",), bridge="plate", joint="plate"),
    Answers(joint="through", pickups=("single",) * 2, left_handed=True),
    Answers(bridge="wrap", joint="inserts", pickups=("small",), tones=0),
)
"""What every run of the tests lays out and checks; `python -m tests.starts` tries all."""


def design_of(answers: Answers, name: str = "wren"):
    text = script_text(name, settled(answers), bodycad.NAMES).encode()
    return make(load(Path(f"{name}.py"), text, {"sizes": None}))


@pytest.mark.parametrize("answers", SOME, ids=lambda one: f"{one.strings}-{one.joint}-{one.bridge}")
def test_a_first_script_passes_its_checks(answers):
    report = design_of(answers).check()
    bad = [(f.code, f.text) for f in report.findings if f.status in ("fail", "error")]
    assert bad == []


SMALL = (
    "name,value,unit\ndesign,wren,\npot.can_diameter,16.9,mm\npot.thread,6.9,mm\n"
    "pot.depth,13,mm\npot.bush,11,mm\n"
)


@pytest.mark.parametrize("answers", SOME, ids=lambda one: f"{one.strings}-{one.joint}-{one.bridge}")
def test_a_first_script_follows_small_pots(answers):
    """Their holes are drilled for their bushes, and the drills for wires still get in."""
    text = script_text("wren", settled(answers), bodycad.NAMES).encode()
    design = make(load(Path("wren.py"), text, {"sizes": SMALL.encode()}))
    bad = [(f.code, f.text) for f in design.check().findings if f.status in ("fail", "error")]
    assert bad == []
    pots = [one.part for one in design.parts if isinstance(one.part, bodycad.Pot)]
    assert pots and {one.hole for one in pots} == {7.0}


def test_every_combination_is_a_script_or_one_line():
    """Compiled, not laid out: that costs a second each."""
    scripts, refused = 0, 0
    joints = [*JOINTS][::2]
    for count, joint, bridge, kind, mount, switch in product(
        (4, 6, 7), joints, BRIDGES, PICKUPS, ("", "ring"), ("", "blade")
    ):
        for pickups in ((kind,), (kind, kind), (kind, kind, kind)):
            given = Answers(count, (), 0.0, 0, joint, bridge, pickups, mount, 1, 1, switch)
            try:
                one = settled(given)
            except InputError as error:
                refused += 1
                assert len(str(error)) <= 400
                continue
            if joint != "through" and mount == "" and switch != "none":
                compile(script_text("wren", one, bodycad.NAMES), "wren.py", "exec")
                scripts += 1
    assert scripts > 80 and refused > 300


def electrics() -> Iterator[Answers]:
    """Every set of pickups and controls that the kit wires."""
    for kinds, volumes, tones, switch in product((1, 2, 3), (1, 2, 3), (0, 1, 2), SWITCHES):
        try:
            yield settled(
                Answers(pickups=("single",) * kinds, volumes=volumes, tones=tones, switch=switch)
            )
        except InputError:
            continue


@pytest.mark.parametrize(
    "one",
    [*electrics()],
    ids=lambda one: f"{len(one.pickups)}-{one.volumes}-{one.tones}-{one.switch}",
)
def test_each_pickup_has_one_way_to_the_jack_past_a_volume_and_the_switch(one):
    """By the links alone: each thing feeds one other, nothing loops, nothing is left out."""
    links = [*wiring(one)]
    feeds = dict(links)
    assert len(feeds) == len(links) and "jack" not in feeds
    text = script_text("wren", one, bodycad.NAMES)
    placed = set(re.findall(r'Placed\("([a-z.0-9]+)"', text))
    ends = {name for name in placed if re.match("pickup|volume|tone|switch|jack", name)}
    assert ends == {*feeds, *feeds.values()}
    written = re.findall(r'Link\("([a-z.0-9]+)", "([a-z.0-9]+)"', text)
    assert written == links
    passed = set()
    for name in feeds:
        way = [name]
        while way[-1] != "jack":
            way.append(feeds[way[-1]])
            assert len(way) <= len(feeds) + 1, "it runs in a circle"
        if name.startswith("pickup"):
            passed |= {*way}
            assert sum(step.startswith("volume") for step in way) == 1
            assert sum(step == "switch" for step in way) == (one.switch != "none")
            if one.switch != "none" and one.volumes > 1:
                assert way.index("switch") > 1  # each volume before it
            elif one.switch != "none":
                assert way.index("switch") == 1
    assert {name for name in ends if not name.startswith("tone")} <= passed
    if one.volumes > 1:  # no volume without a pickup of its own
        assert {feeds[name] for name in feeds if name.startswith("pickup")} == {
            name for name in ends if name.startswith("volume")
        }


LISTS = (*((kind,) * n for kind in PICKUPS for n in (1, 2, 3)), ("single", "single", "humbucker"))
ANSWERS = {
    "strings": COUNTS,
    "joint": tuple(JOINTS),
    "bridge": tuple(BRIDGES),
    "pickups": LISTS,
    "mount": tuple(MOUNTS),
    "volumes": (1, 2, 3),
    "tones": (0, 1, 2),
    "switch": tuple(SWITCHES),
    "frets": (19, 24),
}


@pytest.mark.parametrize(
    "options",
    [*combinations(ANSWERS, 2), ("bridge", "pickups", "mount"), ("strings", "bridge", "pickups")],
    ids="-".join,
)
def test_what_a_refusal_names_is_not_refused_again(options):
    """Each cure that is named is taken: no option is asked for twice on the way to a script."""

    def follow(given: Answers, changed: tuple[str, ...]) -> None:
        try:
            settled(given)
            return
        except InputError as error:
            said = str(error)
        steps = cures(given)
        assert steps and not {*steps} & {*changed} and len(changed) < 3
        assert said.startswith(f"--{next(iter(steps))} is ") and not said.endswith("...")
        for option, words in steps.items():
            assert listed(words) in said and f"--{option} " in said
            for word in words:
                follow(replace(given, **{option: word}), (*changed, option))

    for words in product(*(ANSWERS[option] for option in options)):
        follow(Answers(**dict(zip(options, words))), ())


def test_a_mount_that_nobody_asked_for_is_one_that_can_be_made():
    given = Answers(bridge="vibrato", pickups=("soapbar", "soapbar"))
    assert settled(given).mount == "ears"
    assert settled(replace(given, bridge="hardtail")).mount == "wood"


WRONG = {
    ("--strings", "9"): "4, 5, 6, 7, 8",
    ("--strings", "six"): "a whole number",
    ("--strings", "4", "--bridge", "wrap"): "the kit has no such bridge for a bass",
    ("--strings", "7", "--bridge", "posts"): "bars on two posts are made for six strings",
    ("--bridge", "wrap", "--pickups", "single"): "the strings stand too high for pickups",
    ("--bridge", "vibrato", "--pickups", "single"): "leaves no wood for the screws",
    ("--bridge", "vibrato", "--strings", "8"): "vibratos are made for six and seven strings",
    ("--bridge", "vibrato", "--joint", "through"): "would leave too little of the core",
    ("--joint", "nails"): "ferrules, plate, inserts, tenon, through",
    ("--pickups", "split"): "a split pair serves four strings",
    ("--pickups", "single", "--mount", "ring"): "only two-coil pickups have rings",
    ("--volumes", "3"): "each volume wants a pickup of its own",
    ("--volumes", "3", "--tones", "2", "--pickups", "single,single,single"): "room for four",
    ("--frets", "24", "--pickups", "humbucker,humbucker,humbucker"): "do not fit between bridge",
    ("--scale", "25.5"): "590 to 760 mm",
    ("--scale", "0"): "inches as 25.5in",
    ("--frets", "0"): "19 to 24",
    ("--gauges", ".010,.013"): "6 gauges, treble first",
    ("--gauges", '.010,.013,.017,.026w,.036w,"+x()+"'): "--gauges is '\"+x()+\"'; allowed: inches",
    ("--gauges", ".010,.013,.017,.026w,.036w,.046 w\n"): "allowed: inches such as .010",
    ("--gauges", ".010,.013,.017,.026w,.036w,٤"): "allowed: inches such as .010",
    ("--hand", "both"): "right, left",
    ("--switch", "toggle", "--pickups", "single"): "one pickup leaves nothing to choose",
}


@pytest.mark.parametrize("words", WRONG, ids=" ".join)
def test_what_the_kit_cannot_make_is_refused_in_one_line(words, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["new", "wren", *words]) == 2
    said = capsys.readouterr()
    assert said.out == "" and said.err.count("\n") == 1 and WRONG[words] in said.err
    assert not [*tmp_path.iterdir()]


@pytest.mark.parametrize("name", ["bodycad", "numpy", "csv", "types", "pyparsing", "lambda"])
def test_a_name_that_hides_a_module_is_refused(name, tmp_path, monkeypatch, capsys):
    """`python -m bodycad` looks into its own folder first."""
    monkeypatch.chdir(tmp_path)
    assert main(["new", name]) == 2
    assert "a name that no word or module" in capsys.readouterr().err
    assert not [*tmp_path.iterdir()]


@pytest.mark.parametrize("end", [".py", "-sizes.csv", "-measuring.html"])
def test_nothing_that_is_there_is_replaced(end, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    (tmp_path / f"wren{end}").write_text("mine")
    assert main(["new", "wren"]) == 2
    assert "one that is not there yet" in capsys.readouterr().err
    assert [one.read_text() for one in tmp_path.iterdir()] == ["mine"]


@pytest.mark.parametrize(
    ("given", "scale"),
    [("25 1/2in", "647.7"), ("25.5in", "647.7"), ('26 3/4"', "679.45"), ("648 mm", "648.0")],
)
def test_a_scale_in_inches_is_written_as_a_clean_number(given, scale):
    names = "strings joint bridge pickups volumes tones switch hand gauges"
    words = dict.fromkeys(names.split())
    one = settled(_answers(Namespace(**words, scale=given, frets=None, mount=None)))
    assert f"    scale: float = {scale},\n" in script_text("wren", one, bodycad.NAMES)


class Terminal(io.StringIO):
    """What is typed, or shown, on a terminal."""

    def isatty(self) -> bool:
        return True


def test_on_a_terminal_it_asks_for_what_no_option_says(monkeypatch):
    shown = Terminal()
    monkeypatch.setattr("sys.stdin", Terminal("9\n7\n\nplate\n\n\n3\n\n2\nusual\nleft\n"))
    monkeypatch.setattr("sys.stderr", shown)
    words = "strings scale joint bridge pickups volumes tones switch hand gauges frets mount"
    given = Namespace(**{**dict.fromkeys(words.split()), "bridge": "vibrato"})
    _ask(given)
    assert "Bridge [" not in shown.getvalue() and "How many strings [usual: 6]?" in shown.getvalue()
    assert shown.getvalue().count("How many strings") == 2 and "8" in shown.getvalue()
    made = settled(_answers(given))
    assert (made.strings, made.joint, made.bridge, made.left_handed) == (
        7,
        "plate",
        "vibrato",
        True,
    )
    assert (made.scale, made.pickups, made.switch) == (660.0, ("humbucker",) * 2, "toggle")


def test_a_sketch_is_told_whole_and_is_no_words():
    from bodycad.cli.kinds import doc, meaning, parted

    for kind, last in ((bodycad.Block, "thickness"), (bodycad.Posts, "bush:")):
        sketch, words = parted(doc(kind))
        assert last in sketch.splitlines()[-1] and "|" not in words and "__" not in words
    assert meaning("length", doc(bodycad.Pot)) == ""


def test_without_a_terminal_it_asks_nothing(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", None)
    assert main(["new", "wren", "--joint", "nails"]) == 2
    assert "?" not in capsys.readouterr().err


@pytest.fixture(scope="module")
def wren(tmp_path_factory) -> Path:
    """A first script with its empty table, as `new` writes them."""
    folder = tmp_path_factory.mktemp("wren")
    text = script_text("wren", settled(Answers()), bodycad.NAMES)
    (folder / "wren.py").write_text(text)
    design = make(load(folder / "wren.py", text.encode(), {"sizes": None}))
    (folder / "wren-sizes.csv").write_bytes(empty_table(design, "wren-sizes.csv"))
    return folder / "wren.py"


def test_the_sheet_asks_where_a_plates_screws_stand(wren):
    """Beside the plate's other sizes: of a design with a table, and of one without."""
    plain = load_design(Path(__file__).parents[1] / "designs" / "woodruff.py").check()
    for groups in (_groups(load_design(wren)), _of_layout(plain)):
        (group,) = (one for one in groups if one.name == "bridge")
        (row,) = (one for one in group.rows if one.name == "bridge.screws.4.v")
        assert "middle line" in jaws(group.kind, row.field) and "screws" in row.what


def test_the_form_filled_in_is_read_back_as_measured_and_passes(wren):
    """Each row gets what is usual, the first in inches, as a maker would whose parts are usual."""
    table = wren.with_name("wren-sizes.csv")
    empty = table.read_text()
    drawn = {one.name: one for one in load_design(wren).asked}
    out, filled = io.StringIO(), []
    for cells in csv.reader(empty.splitlines()):
        one = drawn.get(cells[0])
        if one is not None and one.drawn is not None:
            inches = cells[0] == "neck.heel.length"
            cells[1] = f"{one.drawn / 25.4:.6f}" if inches else f"{one.drawn:g}"
            cells[2] = "in" if inches else one.unit
            cells[3] = "0.001" if inches else "0.05"
            filled.append(one.name)
        csv.writer(out, lineterminator="\n").writerow(cells)
    assert len(filled) > 50
    table.write_text(out.getvalue())
    try:
        design = load_design(wren)
        report = design.check()
    finally:
        table.write_text(empty)
    assert {one.name for one in design.asked if one.filled} == {*filled}
    heel = design.instrument.neck.heel
    assert (heel.length.origin, heel.length.tolerance) == ("measured", pytest.approx(0.0254))
    assert heel.length == pytest.approx(76.0, abs=1e-4)
    rows = {f"{d.part}.{d.name}": d for d in report.dimensions}
    assert rows["bridge.plate_front"].origin == "measured"
    assert rows["pickup.neck.ring.length"].origin == "measured"
    assert not [f.text for f in report.findings if f.status in ("fail", "error")]


def test_the_blank_s_thickness_has_one_place_and_is_measured_when_it_is_entered(wren):
    """A parameter beside the table's size would do nothing once the size is entered."""
    design = load_design(wren)
    assert "thickness" not in design.parameters and "stock.thickness" in design.layout().asked
    assert design.layout().shop.measured_stock is None
    table = wren.with_name("wren-sizes.csv")
    empty = table.read_text()
    table.write_text(empty.replace("stock.thickness,,mm", "stock.thickness,44.6,mm"))
    try:
        layout = load_design(wren).layout()
    finally:
        table.write_text(empty)
    assert layout.thickness == layout.shop.measured_stock == 44.6


def test_the_sheet_names_what_is_measured_and_nothing_else(wren):
    design = load_design(wren)
    text = page(design, "wren.py", ranked=False)
    assert text == page(design, "wren.py", ranked=False)
    for name in ("neck.heel.width_mouth", "bridge.plate_front", "pot.thread", "fitted.aside"):
        assert f"<code>{name}</code>" in text
    for name in ("control_leave", "pickup.neck.route.depth", "rest_height", "pickup.neck.gap"):
        assert name not in text
    assert "width_mouth          length       width_end" in text
    assert "wren-sizes.csv" in text and "right-handed, revision 1" in text


WAYS = {
    ("Ring", "screw_length"): "centre to centre",
    ("BladeSwitch", "screw_length"): "outside jaws",
    ("DirectMount", "screw_length"): "outside jaws",
    ("Hardtail", "hole_pitch"): "centre to centre",
    ("BassBridge", "holes"): "centre to centre",
    ("Hardtail", "saddle_low"): "depth rod",
    ("TopLoad", "string_hole"): "inside jaws",
    ("Ferrule", "hole"): "outside jaws",
    ("Ferrule", "depth"): "outside jaws",
    ("Insert", "hole"): "as its maker says",
    ("Humbucker", "body_depth"): "outside jaws",
    ("Humbucker", "pole_height"): "depth rod",
    ("Pot", "depth"): "depth rod",
    ("EndJack", "cup_depth"): "outside jaws",
    ("Heel", "slant_deg"): "angle gauge",
    ("", "bridge.spread"): "centre to centre",
    ("", "stock.thickness"): "outside jaws",
}


@pytest.mark.parametrize(("kind", "field"), WAYS, ids=".".join)
def test_each_size_is_measured_with_what_gets_there(kind, field):
    from bodycad.exports.measuring import jaws

    assert jaws(kind, field) == WAYS[kind, field]


HINTS = {
    (
        "Heel",
        "slant_deg",
    ): "as fanned frets want it: positive where its bass corner lies nearer the bridge",
    ("Fitted", "aside"): "two threads that are stretched along the outer strings",
    (
        "Fitted",
        "along",
    ): "measured from the nut, positive where that ends nearer the nut than drawn",
    ("TopLoad", "held"): "height of the string in the edge, over the face",
    ("PlateJoint", "length"): "as it is bought, from the rim of its countersunk head",
    ("TailBlock", "knob"): "diameter",
    ("SingleCoil", "feet_width"): "of the tabs, along the strings",
    ("Ears", "over"): "wider than what goes into the route",
    ("SingleBridge", "thickness"): "of the plate",
}


@pytest.mark.parametrize(("kind", "field"), HINTS, ids=".".join)
def test_a_hint_is_told_to_its_end(kind, field):
    from bodycad.cli.measure import _known

    said = _known(kind)[1][field]
    assert HINTS[kind, field] in said
    assert not re.search(r"(, | (a|the|its|are|over|of|and|or|that))$|[:,]$", said)


def test_what_plays_no_part_is_not_measured():
    held = design_of(Answers(strings=4, pickups=("split",), bridge="plate"))
    through = design_of(Answers(strings=4, pickups=("split",), bridge="hardtail"))
    edge, holes = "bridge.held", ("bridge.holes", "bridge.ferrule.hole", "bridge.ferrule.depth")
    for design, asked, left in ((held, (edge,), holes), (through, holes, (edge,))):
        text = page(design, "wren.py", ranked=False)
        form = empty_table(design, "wren-sizes.csv").decode()
        for name in asked:
            assert f"<code>{name}</code>" in text and f"\n{name}," in form
        for name in left:
            assert f"<code>{name}</code>" not in text and f"\n{name}," not in form


def test_words_that_several_sizes_share_name_them():
    text = page(design_of(Answers()), "wren.py", ranked=False)
    assert "window_rear, window_front: least and greatest u of the string" in text


def test_a_design_without_a_table_gets_a_sheet_and_is_told_how(tmp_path, capsys, monkeypatch):
    import shutil

    monkeypatch.setattr("bodycad.cli.measure._first", lambda *_: [])
    shutil.copy(Path(__file__).parents[1] / "designs" / "tansy.py", tmp_path)
    assert main(["measure", str(tmp_path / "tansy.py")]) == 0
    assert "This script reads no table yet" in capsys.readouterr().out
    text = (tmp_path / "tansy-measuring.html").read_text()
    assert "<code>bridge.plate_front</code>" in text and "left-handed" in text
    assert "<code>neck.heel.width_mouth</code>" not in text  # it is measured already


def test_a_missing_table_is_written_empty(wren, tmp_path, capsys, monkeypatch):
    monkeypatch.setattr("bodycad.cli.measure._first", lambda *_: [])
    (tmp_path / "wren.py").write_bytes(wren.read_bytes())
    assert main(["measure", str(tmp_path / "wren.py")]) == 0
    table = (tmp_path / "wren-sizes.csv").read_bytes()
    assert table == wren.with_name("wren-sizes.csv").read_bytes()
    text = table.replace(b"neck.heel.length,,mm", b"neck.heel.length,75,mm")
    (tmp_path / "wren-sizes.csv").write_bytes(text)
    assert main(["measure", str(tmp_path / "wren.py")]) == 0
    assert (tmp_path / "wren-sizes.csv").read_bytes() == text


def test_a_sheet_that_somebody_wrote_into_is_kept(wren, tmp_path, capsys, monkeypatch):
    monkeypatch.setattr("bodycad.cli.measure._first", lambda *_: [])
    (tmp_path / "wren.py").write_bytes(wren.read_bytes())
    table, sheet = tmp_path / "wren-sizes.csv", tmp_path / "wren-measuring.html"
    fresh = page(load_design(wren), "wren.py").encode()
    for notes in (b"my notes", fresh + b"64.2", fresh.replace(b"</p>", b" 64.2</p>", 1)):
        sheet.write_bytes(notes)
        assert main(["measure", str(tmp_path / "wren.py")]) == 2
        said = capsys.readouterr()
        assert said.out == "" and said.err.count("\n") == 1
        assert "move it away" in said.err and "wren-measuring.html" in said.err
        assert sheet.read_bytes() == notes and not table.exists()
    other = fresh.replace(b"wren.py", b"robin.py")
    cut = other.rindex(b"<!--")
    sheet.write_bytes(fresh)  # one as it was written is written anew
    assert main(["measure", str(tmp_path / "wren.py")]) == 0 and table.exists()
    assert sheet.read_bytes() == fresh
    sheet.write_bytes(other[:cut] + fresh[fresh.rindex(b"<!--") :])
    assert main(["measure", str(tmp_path / "wren.py")]) == 2


def test_a_sheet_that_lost_a_size_is_no_sheet(wren, monkeypatch):
    from bodycad.errors import FileError
    from bodycad.exports import measuring

    whole = measuring._group
    monkeypatch.setattr(measuring, "_group", lambda g: whole(replace(g, rows=g.rows[1:])))
    with pytest.raises(FileError, match="the measuring sheet does not name"):
        page(load_design(wren), "wren.py", ranked=False)
