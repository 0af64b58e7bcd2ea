"""One convention of coordinates and of drilled depths in every file and table, for both hands.

Tables are parsed and held against the layout's own voids; which side is the bass is read off the
strings.
"""

from __future__ import annotations

import functools
import json
import math
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import ezdxf
import pytest

from bodycad.cli import main
from bodycad.exports.coordinates import bass_or_treble, script, wood
from bodycad.exports.dxf.annotate import annotated_document
from bodycad.exports.dxf.document import document
from bodycad.exports.pattern_text import compare, text
from bodycad.exports.plan import plan_svg
from bodycad.exports.report.heel_html import heel_section
from bodycad.exports.report.html import html_text
from bodycad.exports.report.json import json_report
from bodycad.exports.report.text import report_text
from bodycad.layout.entry import entry
from bodycad.script import load_design
from bodycad.shop import Shop

DEMO = Path(__file__).resolve().parents[2] / "designs" / "teasel.py"


@functools.cache
def design_of(hand):
    return load_design(DEMO, (f"left_handed={hand == 'left'}".lower(),))


@functools.cache
def report_of(hand):
    return design_of(hand).check()


@functools.cache
def page_of(hand):
    return html_text(report_of(hand))


@pytest.fixture(params=["right", "left"])
def hand(request):
    return request.param


def bass_is_positive(layout):
    """Whether the thickest string lies at a positive y."""
    thickest = max(layout.instrument.strings, key=lambda s: s.gauge)
    line = layout.instrument.lines[layout.instrument.strings.index(thickest)]
    return line.nut[1] > 0.0


def tables(page):
    """Every table as (the words before it, rows of cell texts by heading)."""
    body = re.sub(r"<script>.*?</script>", "", page.replace("<!DOCTYPE html>", "", 1), flags=re.S)
    root, found, before = ET.fromstring(body), [], ""
    for element in root.iter():
        tag = element.tag.rpartition("}")[2]
        if tag in ("p", "h2", "h3", "figcaption"):
            before = f"{before} {' '.join(''.join(element.itertext()).split())}"
        if tag == "table":
            rows = [r for r in element.iter() if r.tag.rpartition("}")[2] == "tr"]
            cells = [["".join(c.itertext()).strip() for c in row] for row in rows]
            found.append((before, [dict(zip(cells[0], row)) for row in cells[1:]]))
            before = ""
    return found


def pair(words):
    return tuple(float(x) for x in words.split(","))


def cut_rows(page):
    ((before, rows),) = (t for t in tables(page) if t[1] and "Cut" in t[1][0])
    return before, {row["Cut"]: row for row in rows}


def test_which_side_is_the_bass_is_true(hand):
    layout = report_of(hand).layout
    positive = bass_is_positive(layout)
    assert positive == (hand == "right")
    assert bass_or_treble(layout) == ("bass" if positive else "treble")
    assert bass_or_treble(layout, -1.0) == ("treble" if positive else "bass")
    assert f"toward the {'bass' if positive else 'treble'} side" in wood(layout)
    assert bool(script(layout)) == (hand == "left")


def test_the_cut_list_gives_the_place_in_the_wood(hand):
    """The middle of every cut as it lies in the layout; the script's y beside it where that has
    the other sign."""
    layout = report_of(hand).layout
    before, rows = cut_rows(page_of(hand))
    assert wood(layout) in before and script(layout) in before
    for piece in layout.pieces:
        for void in piece.voids:
            row, hole = rows[void.id], void.shape.hole
            x0, y0, x1, y1 = void.shape.plan.box
            due = (x0 + x1) / 2.0, (y0 + y1) / 2.0
            if hole:
                along = entry(hole, piece.skin)
                due = tuple(s + along * d for s, d in zip(hole.start[:2], hole.direction[:2]))
            assert pair(row["x, y in the wood"]) == pytest.approx(due, abs=0.006), void.id
            assert ("y in the script" in row) == (hand == "left")
            if hand == "left":
                assert float(row["y in the script"]) == pytest.approx(-due[1], abs=0.006)


def test_the_left_handed_script_y_is_the_right_handed_wood(hand):
    """What the left-handed list calls the script's y is where the same script puts the cut for a
    right hand."""
    right, left = (cut_rows(page_of(h))[1] for h in ("right", "left"))
    for name, row in right.items():
        if row["x, y in the wood"]:
            x, y = pair(row["x, y in the wood"])
            assert pair(left[name]["x, y in the wood"]) == pytest.approx((x, -y), abs=1e-9)
            assert float(left[name]["y in the script"]) == pytest.approx(y, abs=1e-9)


def test_the_json_gives_the_place_in_the_wood(hand):
    layout = report_of(hand).layout
    made = json_report(report_of(hand))
    assert made["coordinates"]["wood"] == wood(layout)
    assert made["coordinates"]["script"] == (script(layout) or None)
    assert made["coordinates"]["left_handed"] == (hand == "left")
    rows = {row["id"]: row for row in made["cuts"]}
    for void in layout.voids:
        x0, y0, _, x1, y1, _ = void.shape.box
        assert rows[void.id]["box"] == pytest.approx([x0, y0, x1, y1])


@pytest.mark.parametrize("face", ["front", "back"])
@pytest.mark.parametrize("annotated", [False, True])
def test_holes_in_the_drawings_stand_where_they_are_in_the_wood(hand, face, annotated):
    """The back's y has the other sign, and the drawing says so."""
    layout = report_of(hand).layout
    doc = annotated_document(layout, face) if annotated else document(layout.body, face)
    flip = -1.0 if face == "back" else 1.0
    drawn = {}
    for circle in doc.modelspace().query("CIRCLE"):
        tags = circle.get_xdata("BODYCAD") if circle.has_xdata("BODYCAD") else ()
        drawn |= {t.value: circle.dxf.center for t in tags if t.code == 1000}
    holes = [v for v in layout.voids if v.face == face and v.shape.hole and v.shape.upright]
    assert {v.id for v in holes} == drawn.keys()
    for void in holes:
        x, y = void.shape.hole.start[:2]
        assert tuple(drawn[void.id])[:2] == pytest.approx((x, flip * y), abs=1e-9)
    if annotated:
        said = [e.dxf.text for e in doc.modelspace().query("TEXT")]
        (head,) = (s for s in said if s.startswith("wood: "))
        assert wood(layout) in head and ("other sign" in head) == (face == "back")
        assert (script(layout) in said) == (hand == "left")
        # At the far end of the scale line, which is drawn toward a greater y of the drawing.
        up = bass_or_treble(layout, flip)
        assert f"scale line, x 0, this way the {up} side" in said


def test_the_heel_table_gives_both_coordinates_of_a_screw(hand):
    layout = report_of(hand).layout
    found = tables(f"<div>{heel_section(layout)}</div>")
    before = " ".join(words for words, _ in found)
    (rows,) = (rows for _, rows in found if "Screw" in rows[0])
    present = [row for row in rows if row["Screw"].isdigit()]
    given = [(48.0, 16.0), (13.0, 16.0), (13.0, -16.0), (40.0, -12.0)]
    assert [pair(row["u, v in the script"]) for row in present] == given
    for row in present:
        seat = layout.by_id[f"neck.bolt.{row['Screw']}.seat"].shape.hole
        assert pair(row["x, y in the wood"]) == pytest.approx(seat.start[:2], abs=0.006)
    assert "u along the neck toward the nut and v toward the bass" in before
    assert wood(layout) in before


def test_the_pattern_command_gives_both_coordinates(hand):
    layout = report_of(hand).layout
    said = text(compare(layout, 4, grid=4.0))
    assert wood(layout) in " ".join(said.split())
    present = said[said.index("Present pattern") :]
    number = r"(-?\d+\.\d\d)"
    rows = re.findall(rf"^ +{number} +{number} +{number} +{number} ", present, re.M)
    flat = " ".join(present.split())
    flat = flat[flat.index("their x, y in the wood:") :]
    spots = re.findall(rf"\({number}, {number}\)", flat)
    assert re.search(r"^ +u +v +wood", present, re.M) and len(rows) == len(spots) == 4
    for k, ((_, v, *_), spot) in enumerate(zip(rows, spots, strict=True), 1):
        seat = layout.by_id[f"neck.bolt.{k}.seat"].shape.hole
        x, y = map(float, spot)
        assert (x, y) == pytest.approx(seat.start[:2], abs=0.006)
        assert float(v) * y > 0.0 if hand == "right" else float(v) * y < 0.0


def test_the_text_report_says_what_its_places_mean(hand):
    layout = report_of(hand).layout
    said = " ".join(report_text(report_of(hand)).split())
    assert wood(layout) in said and script(layout) in said


@pytest.mark.parametrize("face", ["front", "back"])
def test_the_plans_name_their_sides(hand, face):
    """The plan's upper side is that of a positive y on the front, of a negative one on the back."""
    root = ET.fromstring(plan_svg(report_of(hand), face))
    words = {}
    for e in root.iter():
        if e.tag.endswith("text") and (e.text or "").endswith("side"):
            words[e.text] = float(e.get("y"))
    upper = bass_or_treble(report_of(hand).layout, 1.0 if face == "front" else -1.0)
    other = {"bass": "treble", "treble": "bass"}[upper]
    assert words.keys() == {f"{upper} side", f"{other} side"}
    assert words[f"{upper} side"] < 0.0 < words[f"{other} side"]


def test_bass_and_treble_in_findings_are_on_their_side():
    """The left-handed findings say what the right-handed ones say, at the mirrored place."""
    right, left = (
        {(f.code, f.subjects): f for f in report_of(hand).findings} for hand in ("right", "left")
    )
    named = {k: f for k, f in right.items() if re.search("bass|treble", f"{f.text} {f.cure} {k}")}
    assert len(named) >= 4
    for key, one in named.items():
        two = left[key]
        assert (two.text, two.cure) == (one.text, one.cure)
        for p, q in zip(one.at or (), two.at or (), strict=True):
            assert tuple(q) == pytest.approx((p[0], -p[1], p[2]), abs=1e-6)


def test_the_outer_strings_margins_name_the_side_they_are_on(hand):
    """The bass margin is measured at the thickest string's side of the centreline."""
    report = report_of(hand)
    found = [f for f in report.findings if f.check == "string-margin" and f.at]
    sides = {s: f.at[0][1] for f in found for s in ("bass", "treble") if s in f.text}
    assert sides.keys() == {"bass", "treble"}
    up = bass_is_positive(report.layout)
    assert (sides["bass"] > 0.0) == up and (sides["treble"] > 0.0) != up


# Drilled depths

TWIST = math.tan(math.radians(59.0))


def due(void, layout):
    """(full, tip) by hand for the demo: the shop's drills are twist drills of 118 degrees, seats
    and ferrules have flat floors."""
    hole = void.shape.hole
    along = 0.0 if hole.upright else entry(hole, layout.skin)
    full = hole.shoulder - along
    if hole.upright:
        z = hole.start[2] + hole.direction[2] * hole.shoulder
        full = -z if void.face == "front" else z + layout.thickness
    return full, full + hole.diameter / 2.0 / TWIST


def test_a_drilled_depth_says_which_it_is(hand):
    """6.00 at full diameter of a 9.6 mm hole is 8.88 to the tip of a twist drill; pilots too."""
    layout = report_of(hand).layout
    assert layout.shop == Shop() or layout.shop.drill_for(9.6).point_deg == 118.0
    _, rows = cut_rows(page_of(hand))
    said = {
        f: " | ".join(t.dxf.text for t in annotated_document(layout, f).modelspace().query("TEXT"))
        for f in ("front", "back")
    }
    listed = {row["id"]: row for row in json_report(report_of(hand))["cuts"]}
    assert rows["volume.hole"]["Depth"] == "6.00 through"
    assert rows["volume.hole"]["To the drill's tip"] == "8.88 (118\u00b0)"
    for void in layout.voids:
        if not void.shape.hole:
            continue
        full, tip = due(void, layout)
        row, own = rows[void.id], listed[void.id]
        assert float(row["Depth"].split()[0]) == pytest.approx(full, abs=0.006)
        assert own["depth"] == pytest.approx(full, abs=1e-6)
        face = void.face if void.face in ("front", "back") else "front"
        if row["To the drill's tip"] == "flat floor":
            assert void.operation == "BORE" and own["depth_to_tip"] == own["depth"]
            assert own["point_deg"] == 180.0
            assert f"depth {row['Depth']}, flat floor" in said[face]
        else:
            assert float(row["To the drill's tip"].split()[0]) == pytest.approx(tip, abs=0.006)
            assert (own["depth_to_tip"], own["point_deg"]) == (pytest.approx(tip), 118.0)
            assert f"tip {tip:.2f} (118 deg)" in said[face], void.id
        assert f"dia {void.shape.hole.diameter:.2f}, depth {full:.2f}" in said[face]
    flat = {n for n, row in rows.items() if row.get("To the drill's tip") == "flat floor"}
    assert {n for n in flat if ".seat" in n or ".ferrule" in n} >= {
        *(f"neck.bolt.{k}.seat" for k in range(1, 5)),
        *(f"bridge.ferrule.{k}" for k in range(1, 7)),
    }


def test_a_layer_is_named_by_the_depth_at_full_diameter(hand):
    """The demo's 2.4 mm pilots of 20 mm: D2000, not 20.72 to the tip."""
    doc = document(report_of(hand).layout.body, "front")
    assert "FRONT_PILOT_D2000_DIA240" in {layer.dxf.name for layer in doc.layers}


def test_what_stands_under_a_contour_comes_before_it(hand):
    """Seats under the heel's carve are drilled from the plain back: list and drawing say so."""
    layout = report_of(hand).layout
    _, rows = cut_rows(page_of(hand))
    listed = {row["id"]: row for row in json_report(report_of(hand))["cuts"]}
    said = " | ".join(
        t.dxf.text for t in annotated_document(layout, "back").modelspace().query("TEXT")
    )
    under = {n for n, row in listed.items() if "contour.heel" in row.get("before", ())}
    assert {"neck.bolt.4.seat", "neck.bolt.4.hole"} <= under and "bridge.ferrule.1" not in under
    for name in under:
        assert "before contour.heel" in rows[name]["Work"]
    assert said.count("before contour.heel") >= len(under)
    assert "holes, recesses and pockets before contour.belly and contour.heel" in said


def test_the_command_line_prints_one_json_with_the_convention(capsys):
    main(["check", str(DEMO), "--json", "--set", "left_handed=true", "--no-cures"])
    found = json.loads(capsys.readouterr().out)
    assert "toward the treble side" in found["coordinates"]["wood"]
    assert ezdxf.version
