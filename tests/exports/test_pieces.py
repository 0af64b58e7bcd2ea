"""Every workpiece has its own sheets and stands in the report; read back by another reader."""

from __future__ import annotations

import math

import ezdxf
import pytest

from bodycad.exports.dxf import annotate, lint
from bodycad.exports.dxf import document as dxf
from bodycad.exports.report.html import html_text
from bodycad.exports.report.json import json_report
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.plane.region import polygon
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Skin, Square
from bodycad.layout.interface import Screw
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Frame, Workpiece
from designs import teasel

REPORT = teasel.design().check()
LAYOUT = REPORT.layout
COVERS = LAYOUT.pieces[1:]


def area(entity) -> float:
    """Area of a CIRCLE, or of an LWPOLYLINE by the shoelace rule and its arcs' segments."""
    if entity.dxftype() == "CIRCLE":
        return math.pi * entity.dxf.radius**2
    rows, total = entity.get_points("xyb"), 0.0
    for (x0, y0, bulge), (x1, y1, _) in zip(rows, rows[1:] + rows[:1]):
        total += (x0 * y1 - x1 * y0) / 2.0
        if bulge:
            sweep, chord = 4.0 * math.atan(bulge), math.dist((x0, y0), (x1, y1))
            total += (chord / 2.0 / math.sin(sweep / 2.0)) ** 2 * (sweep - math.sin(sweep)) / 2.0
    return total


@pytest.mark.parametrize("cover", COVERS, ids=lambda piece: piece.id)
def test_a_covers_sheet_read_back_has_its_areas(cover, tmp_path):
    assert cover.faces == ("front",)
    path = dxf.write(cover, "front", tmp_path / "cover.dxf")
    assert lint.verify(path, cover, "front", 6.35) == ()
    doc = ezdxf.readfile(path)
    by_id = {
        tag.value: entity
        for entity in doc.modelspace()
        if entity.has_xdata("BODYCAD")
        for tag in entity.get_xdata("BODYCAD")
        if tag.code == 1000
    }
    assert by_id.keys() == {f"{cover.id}.outline", *(v.id for v in cover.voids)}
    # The plan of the room it fills, by another library (arcs flattened to 0.005 mm).
    due = polygon(LAYOUT.rooms_by_id[cover.id].shape.profile).area
    assert area(by_id[f"{cover.id}.outline"]) == pytest.approx(due, rel=1e-4)
    for void in cover.voids:
        assert area(by_id[void.id]) == pytest.approx(math.pi * 1.8**2, rel=1e-9)
    assert {e.dxf.layer for e in by_id.values()} == {
        "FRONT_OUTLINE_D0250",
        "FRONT_BORE_D0250_DIA360",
    }


def test_the_covers_holes_lie_over_their_pilots_as_one_looks_at_the_back(tmp_path):
    """On the back's sheet and on the cover's, both seen from behind, the same pattern of holes."""
    cover = COVERS[0]
    own = {v.id: v.shape.start for v in cover.voids}
    screws = [s for s in LAYOUT.stated(Screw) if s.free in own]
    assert len(screws) == len(own) == 4
    for screw in screws:
        x, y, _ = LAYOUT.by_id[screw.hole].shape.start
        seen = (x - cover.frame.x, -(y - cover.frame.y))
        assert own[screw.free][:2] == pytest.approx(seen, abs=1e-9)


def test_the_annotated_twin_of_a_cover_names_it(tmp_path):
    cover = COVERS[1]
    path = annotate.write_annotated(LAYOUT, "front", tmp_path / "a.dxf", cover)
    assert lint.verify(path, cover, "front", 6.35, annotated=True) == ()
    said = [e.dxf.text for e in ezdxf.readfile(path).modelspace().query("TEXT")]
    assert "teasel, switch.cover: FRONT, seen from the front" in said
    assert not any("scale line" in text or text.startswith("string ") for text in said)
    assert any(text.startswith("switch.cover.screw.1") for text in said)


def test_a_piece_worked_on_the_back_has_a_back_sheet():
    skin = Skin(rectangle(60.0, 40.0, 8.0), 10.0, Square(), Square())
    shape = Prism(circle(20.0), -10.0, -6.0)
    pocket = Void("jig.pocket", "", "back", "POCKET", shape, frozenset({"back"}))
    assert Workpiece("jig", skin).faces == ("front",)
    assert Workpiece("jig", skin, (pocket,)).faces == ("front", "back")


def test_the_json_names_every_piece_and_the_piece_of_every_cut():
    made = json_report(REPORT)
    rows = {row["id"]: row for row in made["pieces"]}
    assert list(rows) == ["body", "control.cover", "switch.cover"]
    assert made["body"]["volume"] == rows["body"]["volume"] and rows["body"]["mass"] > 1.0
    switch = rows["switch.cover"]
    # 56 + 2 x 3.7 by 34 + 2 x 3.7 with corners of 8 + 3.7, less two holes of 3.6; 2.5 thick.
    area_ = 63.4 * 41.4 - (4.0 - math.pi) * 11.7**2
    assert switch["area"] == pytest.approx(area_, rel=1e-9)
    assert switch["volume"] == pytest.approx(2.5 * (area_ - 2.0 * math.pi * 1.8**2), rel=1e-6)
    assert switch["mass"] is None and switch["part"] == "switch" and switch["thickness"] == 2.5
    assert switch["frame"] == {"origin": [52.0, -80.0, -44.0], "turn_deg": 0.0, "turned_over": True}
    by_piece = {}
    for cut in made["cuts"]:
        by_piece.setdefault(cut["piece"], set()).add(cut["id"])
    assert by_piece["switch.cover"] == {"switch.cover.screw.1", "switch.cover.screw.2"}
    assert "switch.cavity" in by_piece["body"]
    assert "The cover of switch" in html_text(REPORT)


def test_a_frame_takes_a_point_there_and_back():
    for frame in (Frame(3.0, -4.0, 5.0, 30.0), Frame(1.0, 2.0, -44.0, -75.0, turned_over=True)):
        for spot in ((0.0, 0.0, 0.0), (7.0, -2.0, -1.5)):
            assert frame.own(frame.point(spot)) == pytest.approx(spot, abs=1e-12)
        left = frame.mirrored()
        x, y, z = frame.point((7.0, -2.0, -1.5))
        assert left.point((7.0, 2.0, -1.5)) == pytest.approx((x, -y, z), abs=1e-12)
    turned = Frame(turn_deg=90.0, turned_over=True)
    assert turned.point((1.0, 2.0, 3.0)) == pytest.approx((2.0, 1.0, -3.0))
