"""The map and the pattern as people see them: the annotated back's layer, the report's section, the
command."""

from __future__ import annotations

import json
import re
import xml.etree.ElementTree as ET

import ezdxf
import numpy as np
import pytest

from bodycad.cli import main
from bodycad.exports.dxf import annotate, lint
from bodycad.exports.dxf import document as dxf
from bodycad.exports.dxf.ring import read_ring
from bodycad.exports.report.heel_html import heel_section, heel_svg
from bodycad.exports.sheet import STANDING
from bodycad.instrument.neck import heel_end_x
from bodycad.pattern.standing import standing_of
from bodycad.pattern.widest import pattern_of, widest_pattern
from tests.checks.bench import board, necked
from tests.pattern.bodies import BODIES, TEASEL, teasel


def standing_rings(path):
    doc = ezdxf.readfile(path)
    return doc, [entity for entity in doc.modelspace() if entity.dxf.layer == STANDING]


@pytest.mark.parametrize("name", ["teasel", "left", "narrow", "beside"])
def test_the_annotated_back_has_the_map_as_closed_contours(tmp_path, name):
    """Closed LWPOLYLINEs of the map's area on their own layer, linted and compared; at the joint's
    place as seen from the back."""
    layout, path = BODIES[name](), tmp_path / "back.dxf"
    annotate.write_annotated(layout, "back", path)
    lint.verify(path, layout.body, "back", 6.35, annotated=True)
    doc, entities = standing_rings(path)
    found = standing_of(layout)
    assert entities and all(e.dxftype() == "LWPOLYLINE" and e.closed for e in entities)
    assert sum(read_ring(e).profile.area for e in entities) == pytest.approx(found.area, rel=1e-9)
    corners = np.array([p[:2] for e in entities for p in e.get_points("xy")])
    for x, y in corners:
        u, v = x - found.neck.place.x, (y if found.neck.place.flipped else -y)
        i, j = np.argmin(abs(found.u - u)), np.argmin(abs(found.v - v))
        assert abs(found.u[i] - u) + abs(found.v[j] - v) < 1e-6 and found.any[i, j]
    assert (
        len(STANDING) <= 31
        and re.fullmatch(r"[A-Z0-9_-]+", STANDING)
        and 1 <= doc.layers.get(STANDING).dxf.color <= 6
    )


def test_no_other_file_has_the_layer(tmp_path):
    """Neither the bare back nor the front's twin; and a bare file that had it would be refused."""
    layout = teasel()
    for k, write in enumerate(
        (
            lambda p: dxf.write(layout.body, "back", p),
            lambda p: dxf.write(layout.body, "front", p),
            lambda p: annotate.write_annotated(layout, "front", p),
        )
    ):
        write(tmp_path / f"{k}.dxf")
        doc, entities = standing_rings(tmp_path / f"{k}.dxf")
        assert not entities and not doc.layers.has_entry(STANDING)
    annotate.write_annotated(layout, "back", tmp_path / "twin.dxf")
    assert any("layer:" in f.text and f.layer == STANDING for f in lint.lint(tmp_path / "twin.dxf"))


@pytest.mark.parametrize(
    "spoil, word",
    [
        (lambda e: e.close(False), "open"),
        (lambda e: e.set_points(list(reversed(e.get_points()))), "turning"),
        (lambda e: e.translate(900.0, 0.0, 0.0), "stock"),
    ],
)
def test_the_lint_looks_at_the_layer(tmp_path, spoil, word):
    """A loose, a turned and a far contour of the map are each found."""
    layout, path = teasel(), tmp_path / "back.dxf"
    annotate.write_annotated(layout, "back", path)
    doc, entities = standing_rings(path)
    spoil(entities[0])
    doc.saveas(path)
    assert any(
        f.level == "error" and f.layer == STANDING and f.text.startswith(word)
        for f in lint.lint(path, annotated=True)
    )


def test_a_heel_without_a_place_gets_no_layer(tmp_path):
    """A pocket floor 3 degrees off square to the screws."""
    layout = board(necked(angle_deg=3.0))
    annotate.write_annotated(layout, "back", tmp_path / "back.dxf")
    lint.verify(tmp_path / "back.dxf", layout.body, "back", 6.35, annotated=True)
    doc, entities = standing_rings(tmp_path / "back.dxf")
    assert not entities and not doc.layers.has_entry(STANDING)
    assert "stand without a warning" in heel_section(layout)


def test_the_reports_section():
    """Well-formed; the map, four present screws by number and four of the widest pattern by letter;
    what both hold of each load; narrow enough to read on a phone (the drawing is under 100 mm
    wide, its texts 3 mm high and more)."""
    layout = teasel()
    root = ET.fromstring(f"<div>{heel_section(layout)}</div>")
    svg = next(
        e for e in root.iter() if e.tag.rpartition("}")[2] == "svg" and "heelmap" in e.get("class")
    )
    kinds = [e.get("class") for e in svg.iter() if e.tag.endswith("circle")]
    assert kinds.count("screw") == kinds.count("better") == 4
    texts = [e for e in svg.iter() if e.tag.endswith("text")]
    assert sorted(t.text for t in texts) == ["1", "2", "3", "4", "A", "B", "C", "D"]
    width = float(svg.get("viewBox").split()[2])
    assert width < 100.0 and all(float(t.get("font-size")) >= 3.0 for t in texts)
    rows = list(root.iter("tr"))
    assert len(rows) == 9 + 9 and len(heel_section(layout)) < 40_000
    words = " ".join("".join(root.itertext()).split())
    widest, present = widest_pattern(layout), pattern_of(layout)
    for row, one, two in zip(rows[1:6], present.held, widest.held, strict=True):
        cells = ["".join(c.itertext()) for c in row]
        assert cells[0].startswith(one.load.words)
        assert cells[1:] == [f"{one.reserve:g}", f"{one.times:.1f}", f"{two.times:.1f}"]
    assert f"{widest.lever:.1f} mm" in words and "best" not in words


def test_the_map_draws_the_carve():
    """Lines of equal depth of the heel's carve, each inside the one before, and none without a
    carve. Every corner of the 4 mm line inside the body lies 4 mm under the back."""
    counts = []
    for depth in (0, 12, 18):
        layout = teasel(f"heel_sculpt={depth}")
        given = standing_of(layout), standing_of(layout, strict=True), pattern_of(layout), None
        root = ET.fromstring(heel_svg(layout, *given))
        lines = [e for e in root.iter() if e.get("class") == "level"]
        counts.append(len(lines))
        for line in lines:
            if "contour.heel, 4 mm" not in "".join(line.itertext()):
                continue
            points = np.array(re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", line.get("d")), float)
            inside = points[layout.skin.inset(points) > 0.01]
            carve = next(c for c in layout.skin.contours if c.id == "contour.heel").carve
            height = carve.height(inside, "back")
            assert (height >= 4.0 - layout.thickness - 1e-3).all()
            assert (abs(height - 4.0 + layout.thickness) < 0.01).any() or not len(inside)
    assert counts[0] == 0 and 4 <= counts[1] < counts[2]
    assert "carve, 0, 2, 4, 6" in heel_section(teasel())
    assert "carve" not in heel_section(teasel("heel_sculpt=0"))


def test_the_drawing_shows_the_screws_where_they_are():
    """Seen from the back: x to the right, y down; on the left-handed twin the other way up."""
    for name, up in (("teasel", 1.0), ("left", -1.0)):
        layout = BODIES[name]()
        svg = heel_svg(
            layout, standing_of(layout), standing_of(layout, strict=True), pattern_of(layout), None
        )
        spots = [
            (float(e.get("cx")), float(e.get("cy")))
            for e in ET.fromstring(svg).iter()
            if e.get("class") == "screw"
        ]
        assert spots == [
            pytest.approx((heel_end_x(layout.instrument.neck) + u, up * v), abs=1e-3)
            for u, v in ((48, 16), (13, 16), (13, -16), (40, -12))
        ]


def test_no_neck_no_section():
    assert heel_section(board()) == ""


def test_the_command_prints_the_pattern_and_the_comparison(capsys):
    assert main(["pattern", str(TEASEL), "--grid", "2", "--count", "3"]) == 0
    out = capsys.readouterr().out
    widest = widest_pattern(teasel(), 3, grid=2.0)
    for bolt in widest.screws:
        assert re.search(
            rf"^ +{bolt.u:.2f} +{bolt.v:.2f} +{bolt.wood:.2f} +{bolt.length:.2f} ", out, re.M
        )
    assert "Widest pattern of 3 screws" in out and "Present pattern of 4 screws" in out
    for one, two in zip(widest.held, pattern_of(teasel()).held, strict=True):
        figures = rf"{one.reserve:g} +{one.times:.1f} +{two.times:.1f}$"
        assert re.search(rf"^  {one.load.words}.* {figures}", out, re.M)
    assert "The body with the widest pattern: " in out and "best" not in out.lower()


@pytest.mark.parametrize(
    "words",
    [
        [],
        ["--count", "5", "--set", "heel_sculpt=18"],
        ["--screw", "26,30"],
        ["--set", "left_handed=true", "--allow-warnings"],
    ],
)
def test_no_line_is_wider_than_a_narrow_terminal(capsys, words):
    main(["pattern", str(TEASEL), "--grid", "2", *words])
    assert max(map(len, capsys.readouterr().out.splitlines())) <= 79


def test_a_load_that_is_held_with_less_than_its_reserve_is_marked(capsys, tmp_path):
    """A shop whose pushes are 300 N: the present screws hold them 2.6 times, and 2.75 are asked."""
    script = tmp_path / "hard.py"
    script.write_text(
        f"import sys\nsys.path.insert(0, {str(TEASEL.parent)!r})\n"
        "from dataclasses import replace\nimport teasel\n"
        "def design():\n"
        "    made = teasel.design()\n"
        "    return replace(made, shop=replace(made.shop, neck_push=300.0))\n"
    )
    main(["pattern", str(script), "--grid", "4"])
    out = capsys.readouterr().out
    assert re.search(r"pushed back by 300 N at the nut .* 2\.6 !$", out, re.M)
    assert "less than joint-load asks" in out


def test_the_commands_json(capsys):
    """One document; its screws run through the report as it says."""
    assert main(["pattern", str(TEASEL), "--json", "--grid", "2", "--set", "heel_sculpt=20"]) == 0
    found = json.loads(capsys.readouterr().out)
    layout = teasel("heel_sculpt=20")
    widest, present = widest_pattern(layout, 4, grid=2.0), pattern_of(layout)
    assert [(s["u"], s["v"], s["wood"], s["length"]) for s in found["widest"]["screws"]] == [
        (b.u, b.v, b.wood, b.length) for b in widest.screws
    ]
    for name, pattern in (("widest", widest), ("present", present)):
        told = found[name]
        assert told["times"] == pytest.approx({h.load.name: h.times for h in pattern.held})
        assert told["margin"] == pytest.approx(pattern.margin)
        assert (told["lever"], told["area"]) == pytest.approx((pattern.lever, pattern.area))
        assert told["symmetric"] is pattern.symmetric
    assert [one["load"] for one in found["loads"]] == [h.load.name for h in present.held]
    assert {one["load"]: one.get("moment") for one in found["loads"]} == {
        h.load.name: h.load.moment if h.load.edge else None for h in present.held
    }
    assert len(found["present"]["screws"]) == 4
    assert not [f for f in found["widest_report"]["findings"] if f["check"].startswith("bolt")]
    assert found["standing"]["places"] == standing_of(layout, grid=2.0, strict=True).any.sum()


@pytest.mark.parametrize(
    "words, status, said",
    [
        (["--count", "9"], 2, "3 to 5"),
        (["--screw", "16"], 2, "WOOD,LENGTH"),
        (["--screw", "a,b"], 2, "WOOD,LENGTH"),
        (["--grid", "nan"], 2, "grid"),
        (["--count", "x"], 2, "count"),
        (["--neck", "arm"], 2, "neck"),
        (["--span", "30"], 2, "span"),
    ],
)
def test_bad_usage_is_one_line(capsys, words, status, said):
    assert main(["pattern", str(TEASEL), "--grid", "4", *words]) == status
    out, err = capsys.readouterr()
    assert out == "" and err.count("\n") == 1 and said in err


def test_no_pattern_is_status_1(capsys):
    """A 30 mm screw over 26 mm of wood has 2 mm of thread in the neck."""
    assert main(["pattern", str(TEASEL), "--grid", "4", "--screw", "26,30"]) == 1
    assert "No pattern of 4 screws stands" in capsys.readouterr().out
    assert main(["pattern", str(TEASEL), "--grid", "4", "--screw", "26,30", "--json"]) == 1
    assert json.loads(capsys.readouterr().out)["widest"] is None
