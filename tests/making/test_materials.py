"""Boards, sheets, binding and glue, by hand and against shapely."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from bodycad import Ledge, Roundover, Skin, Square, profile, rectangle, stopped
from bodycad.geometry.plane.profile import flatten
from bodycad.making.bill import bill
from bodycad.making.fixtures import fixtures
from bodycad.making.materials import BOARD_FOOT, binding_length, ledges, materials
from bodycad.making.row import Group
from bodycad.making.templates import templates
from bodycad.words import Face
from tests.drawn import layout_of

STRIP = Ledge((0.5, 1.0), 6.4, proud=0.0)
ASIDE = 0.75
"""The middle of that strip lies so far in from the outline, mm."""
CORNERS = profile([(-100, -80), (100, -80), (100, 80), (20, 80), (20, 10), (-100, 10)])
"""An L: five corners out, one in."""


def strip_length(skin):
    return sum(binding_length(skin, Face.FRONT, run) for run in ledges(skin, Face.FRONT))


def middle(outline):
    """The ring `ASIDE` mm inside a finely flattened outline, by shapely."""
    inner = shapely.Polygon(flatten(outline, 1e-4)).buffer(-ASIDE, quad_segs=720)
    return np.array(inner.exterior.coords)


@pytest.mark.parametrize(
    "outline, by_hand",
    [
        (rectangle(400.0, 300.0, 20.0), 2.0 * (360.0 + 260.0) + 2.0 * math.pi * (20.0 - ASIDE)),
        (rectangle(400.0, 300.0), 2.0 * (400.0 + 300.0) - 8.0 * ASIDE),
        # 200 + 160 + 80 + 70 + 120 + 90 along the sides; each corner out takes 2 x 0.75, and the
        # strip bends round the one that goes in.
        (CORNERS, 720.0 - 5 * 2.0 * ASIDE + math.pi / 2.0 * ASIDE),
    ],
)
def test_a_strip_all_round(outline, by_hand):
    skin = Skin(outline, 40.0, STRIP, Square())
    found = strip_length(skin)
    assert found == pytest.approx(by_hand, abs=1e-9)
    assert found == pytest.approx(shapely.LinearRing(middle(outline)).length, abs=0.01)


@pytest.mark.parametrize("name", ["teasel", "sorrel", "bramble"])
def test_a_strip_along_a_designs_outline(name, layouts):
    """Arcs, splines fitted by arcs, corners: within 0.02 mm of shapely's."""
    outline = layouts[name].skin.outline
    found = strip_length(Skin(outline, 40.0, STRIP, Square()))
    assert found == pytest.approx(shapely.LinearRing(middle(outline)).length, abs=0.02)


def test_a_strip_goes_down_with_the_face(layouts):
    """Over teasel's forearm: the ring of shapely's offset, lifted to the face in steps of 0.05 mm;
    on a ledge that stays level it is as long as in plan."""
    skin = replace(layouts["teasel"].skin, front=STRIP)
    ring = shapely.LinearRing(middle(skin.outline))
    spots = shapely.get_coordinates(
        shapely.line_interpolate_point(ring, np.linspace(0.0, ring.length, 30000))
    )
    path = np.column_stack([spots, -skin.fall("front", spots)])
    length = float(np.linalg.norm(np.diff(path, axis=0), axis=1).sum())
    assert length > ring.length + 1.0
    assert strip_length(skin) == pytest.approx(length, abs=0.1)
    level = replace(skin, front=replace(STRIP, follows=False))
    assert strip_length(level) == pytest.approx(ring.length, abs=0.02)


def test_a_strip_along_a_stretch():
    """All but 60 mm about the neck: the whole, less 60 mm of a straight side."""
    outline = rectangle(400.0, 300.0, 20.0)
    runs = stopped(outline, STRIP, [(200.0, 0.0, 60.0)])
    found = strip_length(Skin(outline, 40.0, runs, Square()))
    assert found == pytest.approx(2.0 * 620.0 - 60.0 + 2.0 * math.pi * (20.0 - ASIDE), abs=1e-9)


def test_the_strips_of_teasel(layouts):
    """Two layers, 0.5 and 1 mm by 6.4, each the ledge and 50 mm at either end; no other edge has
    one."""
    made = layouts["teasel"]
    rows = [r for r in bill(made).rows if r.group is Group.EDGE]
    net = strip_length(made.skin)
    assert [dict(r.sizes) for r in rows] == [
        {"thickness": 0.5, "height": 6.4},
        {"thickness": 1.0, "height": 6.4},
    ]
    assert [r.count for r in rows] == [round((net + 100.0) / 1000.0, 3)] * 2
    assert all(r.unit == "m" for r in rows)


def boards(made):
    return [r for r in bill(made).rows if r.what.startswith(("board of", "core of"))]


def test_the_boards_of_teasel(layouts):
    """Its blank is 596.88 by 344.14 mm, 44 thick, with a joint at y = 24: each board 3 mm more at
    each edge, 25 at each end, 3 in thickness."""
    made = layouts["teasel"]
    blank, rows = made.blank, boards(made)
    assert [r.what for r in rows] == ["board of alder, red"] * 2
    due = [
        (blank.x1 - blank.x0 + 50.0, wide + 6.0, 47.0)
        for wide in (24.0 - blank.y0, blank.y1 - 24.0)
    ]
    found = [tuple(dict(r.sizes).values()) for r in rows]
    assert found == [pytest.approx(size, abs=0.006) for size in due]
    feet = [float(r.note.split(" litres, ")[1].split()[0]) for r in rows]
    assert feet == [pytest.approx(math.prod(size) / BOARD_FOOT, abs=0.006) for size in due]


def test_a_board_foot():
    """A foot by a foot by an inch (NIST Handbook 130)."""
    assert pytest.approx(304.8 * 304.8 * 25.4) == BOARD_FOOT


def test_a_core_is_of_its_own_wood_and_runs_to_the_nut(layouts):
    made = layouts["yarrow"]
    one, core, two = boards(made)
    assert one.what == two.what == "board of walnut, black"
    assert core.what == "core of maple, sugar" and core.parts == ("neck",)
    sizes = dict(core.sizes)
    assert sizes["length"] == pytest.approx(635.0 - made.blank.x0 + 50.0, abs=0.006)
    assert sizes["width"] == pytest.approx(64.0 + 6.0)
    assert "headstock" in core.note


def test_every_sheet_is_bought(layouts):
    """A guard and a cover, each 10 mm larger all round than it is cut."""
    made = layouts["campion"]
    rows = {r.parts: r for r in bill(made).rows if r.group is Group.SHEET and r.parts}
    assert set(rows) == {("vibrato",), ("guard",)}
    for piece in made.pieces[1:]:
        x0, y0, x1, y1 = piece.skin.outline.box
        found = dict(rows[(piece.part,)].sizes)
        assert found["length"] == pytest.approx(x1 - x0 + 20.0, abs=0.006)
        assert found["width"] == pytest.approx(y1 - y0 + 20.0, abs=0.006)
        assert found["thickness"] == pytest.approx(piece.thickness)


def test_the_sheet_of_the_templates(layouts):
    """Each template and fixture, 10 mm larger all round, by the thickness of its sheet."""
    made = layouts["teasel"]
    pieces = [t.sheet for t in templates(made) if t.sheet] + [f.piece for f in fixtures(made)]
    due = {}
    for piece in pieces:
        x0, y0, x1, y1 = piece.skin.outline.box
        area = (x1 - x0 + 20.0) * (y1 - y0 + 20.0) * 1e-6
        due[piece.thickness] = due.get(piece.thickness, 0.0) + area
    rows = [r for r in bill(made).rows if r.group is Group.SHEET and r.unit == "m2"]
    assert {dict(r.sizes)["thickness"]: r.count for r in rows} == {
        thick: pytest.approx(area, abs=6e-4) for thick, area in due.items()
    }


@pytest.mark.parametrize("name, joints", [("teasel", 1), ("tansy", 2), ("bramble", 1)])
def test_glue_by_hand(name, joints, layouts):
    """Each joint is as long as the blank and as high as the stock; a tenon's faces as it says."""
    made = layouts[name]
    area = joints * (made.blank.x1 - made.blank.x0) * made.thickness
    tenon = [r.glue for r in made.interfaces if getattr(r, "glue", 0.0)]
    row = next(r for r in bill(made).rows if r.what.startswith("wood glue"))
    assert row.count == pytest.approx((area + sum(tenon)) / 100.0, abs=0.06)
    assert bool(tenon) == (name == "bramble")


def test_a_body_without_joints_or_binding_wants_no_glue(layouts):
    plain = layouts["teasel"]
    bare = plain.with_body(
        skin=replace(plain.skin, front=Roundover(3.0)), blank=replace(plain.blank, joints=())
    )
    groups = [r.group for r in bill(bare).rows]
    assert Group.EDGE not in groups
    assert [r.what for r in bill(bare).rows if r.group is Group.USED] == [
        "finish, for a surface of"
    ]


def test_the_datum_pins_are_bought():
    layout = layout_of("teasel")
    (row,) = (one for one in materials(layout) if one.what == "dowel pin")
    assert row.count == len(layout.blank.pins) == 3
    assert dict(row.sizes) == {
        "diameter": 6.0,
        "length": 44.0 + max(layout.shop.template_thickness),
    }
