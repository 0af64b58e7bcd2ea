"""Full-size paper, read back and laid together by its marks: every hole, the outlines and the parts
stand where the layout has them, on every paper, both faces and both hands."""

import math
import re
from dataclasses import dataclass, replace

import numpy as np
import pytest
import shapely

from bodycad import load_design
from bodycad.exports.pdf import document, paper
from bodycad.exports.pdf.face import picture
from bodycad.exports.pdf.pages import OVERLAP
from bodycad.geometry.plane.profile import flatten
from bodycad.layout.layout import Layout
from bodycad.words import Paper
from tests.exports.pdf.assembled import assembled, crosses, datum
from tests.exports.pdf.read import Page, read

NEAR = 0.05
"""What is asked of a print file, mm: a pencil line is wider."""
CASES = {
    ("teasel", False): tuple(Paper),
    ("teasel", True): (Paper.A4, Paper.ROLL),
    ("campion", False): (Paper.A3,),
    ("mallow", True): (Paper.LETTER,),
}
"""Two humbuckers and two covers; a guard and a shaped top; a bass."""
LAID_ON = ("ring", "plate", "knob", "cover", "guard", "neck", "board", "pickup", "jack", "button")


@dataclass
class Made:
    """A layout with the pages of its files."""

    layout: Layout
    pages: dict[Paper, list[Page]]


@pytest.fixture(scope="module", params=CASES, ids=lambda case: f"{case[0]}{'-left' * case[1]}")
def made(request, tmp_path_factory):
    name, left = request.param
    design = load_design(f"designs/{name}.py")
    layout = replace(design, left_handed=left).layout()
    folder = tmp_path_factory.mktemp(name)
    pictures = [picture(layout, piece, face) for piece in layout.pieces for face in piece.faces]
    found = {}
    for kind in CASES[request.param]:
        path = folder / f"{kind}.pdf"
        document.write(path, kind, layout.shop.roll, paper.heading(layout), pictures)
        found[kind] = read(path)
    return Made(layout, found)


def sheets(made):
    """Every drawing of every file: its workpiece, face, and common sheet with the datum at 0, 0."""
    for kind, found in made.pages.items():
        laid = assembled(found)
        for piece in made.layout.pieces:
            for face in piece.faces:
                name = f"{piece.id}-{face}"
                yield kind, piece, face, name, laid[name]


def as_seen(points, face):
    """Points of the wood as one sees them who looks at the face: the back is turned over about the
    centreline."""
    return np.asarray(points, float) * ([1.0, -1.0] if face == "back" else [1.0, 1.0])


def expected(shape, face):
    return shapely.LinearRing(as_seen(flatten(shape, 0.002), face))


def outline_of(sheet):
    """The one heavy line of a drawing."""
    (path,) = [p for p in sheet.drawing.paths if abs(p.wide - 0.25) < 1e-3 and not p.dash]
    return path


def test_every_face_of_every_piece_is_on_every_paper(made):
    for kind, found in made.pages.items():
        names = {f"{piece.id}-{face}" for piece in made.layout.pieces for face in piece.faces}
        assert set(assembled(found)) == names, kind
        said = " ".join(text for page in found for text, _ in page.own.texts)
        for piece in made.layout.pieces:
            for face in piece.faces:
                assert f"{piece.id}, {face.upper()}, seen from the {face}" in said


def test_every_hole_is_whole_on_a_page_and_stands_in_its_place(made):
    """Centre of the cross and, where it stays a circle of its own, of the circle; its diameter."""
    for kind, piece, face, name, sheet in sheets(made):
        zero, found = datum(sheet, name), crosses(sheet.drawing)
        rims = [p.points for p in sheet.drawing.paths if p.curves == 8 and not p.filled]
        middles = np.array([(rim.min(axis=0) + rim.max(axis=0)) / 2.0 for rim in rims])
        holes = [v for v in piece.voids if v.shape.hole and v.face == face and v.shape.hole.upright]
        pins = piece.blank.pins if piece.blank else ()
        assert holes or pins
        wanted = [(v.id, v.shape.hole.start[:2], v.shape.hole.diameter) for v in holes]
        wanted += [("pin", (pin.x, pin.y), pin.diameter) for pin in pins]
        for what, at, diameter in wanted:
            middle, arm = min(found, key=lambda c: np.hypot(*(c[0] - as_seen(at, face))))
            ends = middle + arm * np.array([[1, 0], [-1, 0], [0, 1], [0, -1]])
            spots = []
            for _, page, offset in sheet.pages:
                x0, y0, x1, y1 = page.own.shown[name][1]
                here = page.placed(name, ends)
                if (here >= [x0, y0]).all() and (here <= [x1, y1]).all():
                    spots.append(here.mean(axis=0) + offset - zero)
            assert spots, f"{what} is whole on no page of {kind}"
            assert np.abs(np.array(spots) - as_seen(at, face)).max() < NEAR, (kind, what)
            near = np.flatnonzero(np.hypot(*(middles - middle).T) < NEAR)
            rounds = [np.hypot(*(rims[k] - middle).T) for k in near]
            assert min(np.abs(far - diameter / 2.0).max() for far in rounds) < NEAR, (kind, what)


def test_the_outline_is_that_of_the_layout(made):
    """Hausdorff distance both ways and area; what the pages show, laid together, is all of it."""
    for kind, piece, face, name, sheet in sheets(made):
        zero, chain = datum(sheet, name), outline_of(sheet).chains[0]
        wanted = expected(piece.skin.outline, face)
        parts = [shapely.transform(p, lambda xy, z=zero: xy - z) for p in sheet.seen(name, chain)]
        shown = shapely.union_all(parts)
        assert shapely.hausdorff_distance(shown, wanted) < NEAR, (kind, name)
        assert shapely.hausdorff_distance(wanted, shown) < NEAR, (kind, name)
        area = shapely.Polygon(sheet.pages[0][1].placed(name, chain)).area
        assert math.isclose(area, piece.skin.outline.area, rel_tol=5e-5)


def test_tiles_overlap_without_gap_and_agree(made):
    """The windows cover the drawing's box; neighbours overlap by the stated width; what one page
    shows of the outline lies on what the other shows."""
    for kind, _, _, name, sheet in sheets(made):
        windows = sheet.windows(name)
        everything = np.vstack(
            [sheet.pages[0][1].placed(name, p.points) for p in sheet.drawing.paths]
        )
        everything += sheet.pages[0][2]
        box = shapely.box(*everything.min(axis=0), *everything.max(axis=0))
        assert shapely.union_all(windows).buffer(1e-3).contains(box), (kind, name)
        parts = sheet.seen(name, outline_of(sheet).chains[0])
        for k, one in enumerate(windows):
            for m in range(k):
                both = one.intersection(windows[m])
                if both.area > 0.0:
                    a, b, c, d = both.bounds
                    assert min(c - a, d - b) == pytest.approx(OVERLAP, abs=0.01)
                    mine, yours = (parts[n].intersection(both.buffer(-0.01)) for n in (k, m))
                    if not mine.is_empty or not yours.is_empty:
                        assert shapely.hausdorff_distance(mine, yours) < 0.01


def test_bars_are_true_both_ways_and_nothing_leaves_the_printable_part(made):
    """100 mm and 4 in, 101.6 mm (25.4 mm to the inch exactly); the stated diagonal; a quarter of an
    inch of margin."""
    for kind, found in made.pages.items():
        for page in found:
            lines = [p.chains[0] for p in page.own.paths if len(p.chains[0]) == 2 and not p.dash]
            for axis in (0, 1):
                long = [
                    abs(e[1, axis] - e[0, axis]) for e in lines if e[0, 1 - axis] == e[1, 1 - axis]
                ]
                for bar in (100.0, 101.6):
                    assert min(abs(one - bar) for one in long) < 0.001, (kind, axis)
            (said,) = [t for t, _ in page.own.texts if t.startswith("corner to corner")]
            low, *_, high = sorted(
                (m for m, arm in crosses(page.own) if abs(arm - 4.0) < 1e-3), key=lambda m: m.sum()
            )
            stated = float(re.search(r"([\d.]+) mm$", said)[1])
            assert stated == pytest.approx(float(np.hypot(*(high - low))), abs=0.006)
            points = np.vstack([p.points for p in page.own.paths])
            edges = [points, np.array([clip for _, clip in page.own.shown.values()]).reshape(-1, 2)]
            for rows in edges:
                assert rows.min() > 6.34
                assert (rows < [page.wide - 6.34, page.high - 6.34]).all()


def test_parts_lie_where_their_rooms_are(made):
    """Dashed outlines, each with its name: what the wood holds on that side, seen from there."""
    middle = -made.layout.thickness / 2.0
    for kind, piece, face, _, sheet in sheets(made):
        if piece is not made.layout.body:
            continue
        dashed = [shapely.LinearRing(p.points) for p in sheet.drawing.paths if p.dash[:1] == (2.4,)]
        names = {text for text, _ in sheet.drawing.texts}
        wanted = []
        for room in made.layout.rooms:
            low, high = room.shape.box[2], room.shape.box[5]
            if str(room.kind) in LAID_ON and ((low + high) / 2.0 >= middle) == (face == "front"):
                wanted.append(room)
        assert wanted or face == "back"
        for room in wanted:
            ring = expected(room.shape.plan, face)
            nearest = min(shapely.hausdorff_distance(ring, other) for other in dashed)
            assert nearest < NEAR, (kind, room.id)
            assert room.id in names


def test_centreline_scale_line_and_neck_end_go_through_all_tiles(made):
    """A tile that a line passes shows it; each has its name."""
    for _, piece, _, _, sheet in sheets(made):
        if piece is not made.layout.body:
            continue
        axes = [p.points for p in sheet.drawing.paths if len(p.dash) == 4]
        everything = np.vstack([p.points for p in sheet.drawing.paths])
        low, high = everything.min(axis=0), everything.max(axis=0)
        level = [a for a in axes if a[0, 1] == a[1, 1]]
        upright = [a for a in axes if a[0, 0] == a[1, 0]]
        assert len(level) == 1 and len(upright) == 2
        assert np.abs(level[0][:, 1]).max() < 1e-6 and min(abs(a[0, 0]) for a in upright) < 1e-6
        assert np.allclose(np.sort(level[0][:, 0]), [low[0], high[0]], atol=0.01)
        for one in upright:
            assert np.allclose(np.sort(one[:, 1]), [low[1], high[1]], atol=0.01)
        said = " ".join(text for text, _ in sheet.drawing.texts)
        assert "centreline" in said and "scale line, x 0" in said and "end of the neck" in said
