"""What is wrong with a drawing is said with its place in it; what is fair is taken."""

from __future__ import annotations

import math

import pytest

from bodycad.errors import InputError
from bodycad.imports.drawing import Drawing
from bodycad.imports.outline import taken
from tests.imports.drawn import BODY, dxf, ring, stadium, svg


def outline(path, **given):
    return taken(Drawing(path.name, **given), path, path.suffix)


def refused(path, *words, **given) -> InputError:
    """The refusal names the file and each of the words."""
    with pytest.raises(InputError) as found:
        outline(path, **given)
    text = str(found.value)
    assert path.name in text
    for word in words:
        assert word in text, text
    return found.value


def sides(space, *spots, **attribs):
    for one, two in zip(spots, spots[1:]):
        space.add_line(one, two, dxfattribs=attribs)


def test_an_open_outline_says_how_wide_its_gap_is_and_where(tmp_path):
    """In mm, at the drawing's own numbers, here inches: 0.3 in is 7.62 mm."""
    x0, y0, x1, y1 = -7, -6, 8, 6

    def draw(document, space):
        sides(space, (x0, y1), (x0, y0), (x1, y0), (x1, y1), (x0 + 0.3, y1))

    path = dxf(tmp_path / "a.dxf", draw, units=1)
    refused(path, "open: a gap of 7.620 mm at (-6.85, 6)", "allowed: gaps up to 0.05 mm")

    def near(document, space):
        sides(space, (x0, y1), (x0, y0), (x1, y0), (x1, y1), (x0 + 0.05, y1))

    path = dxf(tmp_path / "b.dxf", near, units=1)
    refused(path, "a gap of 1.270 mm", "say gap=1.34")
    found = outline(path, gap=1.34)
    # Ends that lie apart meet halfway; how far that moves them is part of the error.
    assert found.error == pytest.approx(1.27 / 2, rel=0.02)
    assert found.profile.box == pytest.approx((-7 * 25.4, -6 * 25.4, 8 * 25.4, 6 * 25.4), abs=0.65)


def test_several_gaps_are_counted(tmp_path):
    def draw(document, space):
        sides(space, BODY[0], BODY[1])
        sides(space, (190, -149), BODY[2], BODY[3], (-180, -148))

    refused(dxf(tmp_path / "a.dxf", draw), "a gap of 1.000 mm at (190, -149.5)", "and 1 more")


def test_a_crossing_is_told_in_the_drawings_own_numbers(tmp_path):
    """Wherever it is placed."""
    bow = [(100, 100), (400, 400), (400, 100), (100, 400)]
    path = dxf(tmp_path / "a.dxf", lambda d, m: m.add_lwpolyline(bow, close=True))
    refused(path, "crossing", "at (250, 250)", neck="up", origin=(250, 90))


@pytest.mark.parametrize("way", [1, -1])
def test_a_line_drawn_twice(way, tmp_path):
    def draw(document, space):
        sides(space, *BODY, BODY[0])
        sides(space, *BODY[1:3][::way])

    refused(dxf(tmp_path / "a.dxf", draw), "doubled: a LINE on layer 0 lies on", "at (190, 0)")


def test_a_ring_drawn_twice_wherever_it_begins(tmp_path):
    def draw(document, space):
        space.add_circle((0, 0), 150)
        space.add_lwpolyline([(0, 150, 1), (0, -150, 1)], format="xyb", close=True)

    refused(dxf(tmp_path / "a.dxf", draw), "doubled: a LWPOLYLINE on layer 0 lies on a CIRCLE")


def test_tiny_pieces(tmp_path):
    def draw(document, space):
        sides(space, *BODY, (-180, -149.97), (-180.0, -150))

    path = dxf(tmp_path / "a.dxf", draw)
    refused(path, "tiny: a LINE on layer 0 of 0.03", "at (-180, -149.97)")
    assert outline(path, gap=0.02).profile.area == pytest.approx(370 * 300)


def test_what_a_files_rounding_leaves_is_no_piece(tmp_path):
    path = svg(tmp_path / "a.svg", '<path d="M20 20H400V300H20V20.0001Z"/>')
    assert outline(path).profile.area == pytest.approx(380 * 280, abs=0.1)


def test_a_fork(tmp_path):
    def draw(document, space):
        sides(space, *BODY, BODY[0])
        sides(space, BODY[2], (250, 200))

    refused(dxf(tmp_path / "a.dxf", draw), "forked: 3 strokes meet at (190, 150)")


def test_several_outlines_and_the_choice_of_a_layer(tmp_path):
    def draw(document, space):
        sides(space, *BODY, BODY[0], layer="Body")
        space.add_circle((50, 20), 30, dxfattribs={"layer": "Cavities"})
        document.layers.add("Old").off()
        sides(space, (0, 0), (9, 9), layer="Old")

    path = dxf(tmp_path / "a.dxf", draw)
    refused(path, "several outlines: 2 closed chains (370 by 300 mm, 60 by 60 mm)", "at (50, 20)")
    for given in ({"layer": "body"}, {"layer": "BODY"}, {"largest": True}):
        found = outline(path, **given)
        assert found.profile.area == pytest.approx(370 * 300)
    assert any("off or frozen" in note for note in found.notes)
    refused(path, 'nothing that goes by "bodies"', "body, cavities", layer="bodies")


def test_the_largest_holds_the_others(tmp_path):
    def draw(document, space):
        sides(space, *BODY, BODY[0])
        space.add_circle((300, 20), 30)

    refused(dxf(tmp_path / "a.dxf", draw), "outside of its largest at (300, 20)", largest=True)


def test_what_makes_an_svg_look_otherwise_is_refused_or_said(tmp_path):
    rect = '<rect width="380" height="280"'
    path = svg(tmp_path / "a.svg", f'{rect} style="fill:red; transform: rotate(9deg)"/>')
    refused(path, "<rect> on line 1 with a transform in its style")
    path = svg(
        tmp_path / "b.svg", f'<style>rect {{}}</style><text>x</text>{rect} clip-path="url(#a)"/>'
    )
    notes = outline(path).notes
    assert notes == ("1 clip or mask not heeded", "1 style not heeded", "1 text not heeded")


def test_a_block_placed_in_columns(tmp_path):
    """Two uprights of a rectangle by one INSERT, turned with all of it."""

    def draw(document, space):
        document.blocks.new("side").add_line((0, 0), (0, 200))
        for turn in (0.0, 0.5):
            c, s = math.cos(turn), math.sin(turn)
            at = (1000 * turn, 0)
            grid = {"column_count": 2, "column_spacing": 300, "rotation": math.degrees(turn)}
            layer = {"layer": f"turned{turn:g}"}
            space.add_blockref("side", at, dxfattribs=grid | layer)
            for v in (0, 200):
                spots = [(at[0] + c * u - s * v, s * u + c * v) for u in (0, 300)]
                sides(space, *spots, **layer)

    path = dxf(tmp_path / "a.dxf", draw)
    for layer in ("turned0", "turned0.5"):
        assert outline(path, layer=layer).profile.area == pytest.approx(300 * 200)


def test_the_frame_of_an_old_spline_is_no_outline(tmp_path):
    """Vertices with flag 16 are control points of a POLYLINE (DXF reference, VERTEX)."""

    def draw(document, space):
        made = space.add_polyline2d(BODY, close=True)
        made.append_vertices([(900, 900)], dxfattribs={"flags": 16})

    path = dxf(tmp_path / "a.dxf", draw, version="R2000")
    assert outline(path).profile.area == pytest.approx(370 * 300)


def test_layers_of_an_svg_are_its_groups(tmp_path):
    body = (
        '<g id="g7" label="Body"><rect id="one" x="9" y="9" width="380" height="280"/></g>'
        '<g id="g8"><circle cx="90" cy="90" r="20"/></g><g display="none"><path d="M0 0L5 5"/></g>'
    )
    path = svg(tmp_path / "a.svg", body)
    for layer in ("body", "g7", "one"):
        assert outline(path, layer=layer).profile.area == pytest.approx(380 * 280)
    refused(path, "several outlines")


def test_a_size_that_is_no_bodys_says_which_units_would_make_it_one(tmp_path):
    path = dxf(
        tmp_path / "a.dxf",
        lambda d, m: sides(m, *((x / 25.4, y / 25.4) for x, y in (*BODY, BODY[0]))),
    )
    refused(path, "14.57 by 11.81 mm; read as inches it would be 370 by 300 mm", "units=")
    assert outline(path, units="inch").profile.area == pytest.approx(370 * 300)
    reference = ((-180 / 25.4, 0), (190 / 25.4, 0), 370.0)
    assert outline(path, reference=reference).profile.area == pytest.approx(370 * 300)
    refused(path, "units and a reference", units="inch", reference=reference)
    assert outline(path, body=False).profile.box[2] == pytest.approx(190 / 25.4)


def test_a_curve_drawn_as_straight_sides_is_asked_about(tmp_path):
    """The sagitta of a chord of the angle t at radius r is r (1 - cos(t / 2))."""
    count = 72
    path = dxf(tmp_path / "a.dxf", lambda d, m: m.add_lwpolyline(ring(count, 160, 160), close=True))
    sagitta = 160 * (1 - math.cos(math.pi / count))
    refused(path, f"up to {sagitta:.3f} mm off it", "smooth=True")
    assert outline(path, smooth=True).profile.area == pytest.approx(math.pi * 160**2, rel=2e-5)
    sides_alone = count / 2 * math.sin(math.tau / count) * 160**2
    assert outline(path, smooth=False).profile.area == pytest.approx(sides_alone)


def test_a_polygon_is_what_it_is(tmp_path):
    """Straight sides that turn sharply stand for no curve."""
    path = dxf(tmp_path / "a.dxf", lambda d, m: m.add_lwpolyline(ring(6), close=True))
    assert len(outline(path).profile.vertices) == 6


def test_points_too_far_apart_to_say_the_curve(tmp_path):
    path = tmp_path / "a.csv"
    path.write_text("".join(f"{x},{y}\n" for x, y in ring(14)))
    error = refused(path, "coarse: points so far apart", "say tolerance=")
    said = float(error.remedy.partition("tolerance=")[2])
    made = outline(path, tolerance=said).profile
    # The guess is of the right size: the curve through the points against the ellipse itself.
    off = max(abs(made.signed_distance([spot])[0]) for spot in ring(14 * 16))
    assert 0.1 * said < off < 2.0 * said
    path.write_text("".join(f"{x},{y}\n" for x, y in ring(200)))
    assert outline(path).profile.area == pytest.approx(math.pi * 200 * 150, rel=1e-6)


def test_a_few_points_without_corners_say_no_outline(tmp_path):
    path = tmp_path / "a.csv"
    path.write_text("".join(f"{x},{y}\n" for x, y in BODY))
    refused(path, "coarse: 4 points", "corners")
    path.write_text("".join(f"{x},{y},corner\n" for x, y in BODY))
    assert outline(path).profile.area == pytest.approx(370 * 300)


def test_csv_lines_are_named(tmp_path):
    path = tmp_path / "a.csv"
    path.write_text("# traced at the bench\nx,y\n0,0\n10,0\n10,ten\n")
    refused(path, "line 5,", "10,ten")
    path.write_text("0,0\n10,0\n10,9,round\n")
    refused(path, "line 3, its third column", "round")
    path.write_text("0,0\n10,0\n10,0\n5,5\n")
    refused(path, "line 3,", "the point before it again")


def test_half_an_outline(tmp_path):
    """Lines and an arc; the other half is its mirror image, to the last digit."""

    def draw(document, space):
        space.add_line((190, 0), (190, 100))
        space.add_lwpolyline([(190, 100), (-100, 100, 0.2), (-180, 0.02)], format="xyb")

    path = dxf(tmp_path / "a.dxf", draw)
    refused(path, "open: a gap of 370.000 mm")
    made = outline(path, half=True).profile
    assert made.box[1] == -made.box[3] and len(made.vertices) == 6
    assert abs(made.signed_distance(made.vertices[:, :2] * [1, -1])).max() < 1e-12
    refused(path, "190.000 mm off the centreline", half=True, neck="up")
    refused(dxf(tmp_path / "b.dxf", stadium), "0 open chains and 1 closed", half=True, body=False)


def test_a_tilted_plane_and_a_block_in_itself(tmp_path):
    path = dxf(
        tmp_path / "a.dxf",
        lambda d, m: m.add_circle((0, 0), 9, dxfattribs={"extrusion": (0, 1, 1)}),
    )
    refused(path, "a CIRCLE on layer 0 (handle", "tilted out of the drawing")

    def draw(document, space):
        document.blocks.new("one").add_blockref("two", (0, 0))
        document.blocks.new("two").add_blockref("one", (0, 0))
        space.add_blockref("one", (0, 0))

    refused(dxf(tmp_path / "b.dxf", draw), 'a block "one" that holds itself')


def test_a_file_that_is_not_there_or_of_another_kind(tmp_path):
    from bodycad.imports.outline import read

    (tmp_path / "d.dxf").mkdir()
    with open(tmp_path / "big.svg", "wb") as out:
        out.truncate(8_000_001)
    for name, word in (
        ("none.dxf", "not there"),
        ("d.dxf", "a folder"),
        ("a.pdf", ".dxf, .svg"),
        ("big.svg", "8.0 MB"),
    ):
        with pytest.raises(InputError, match=word):
            read(Drawing(name), tmp_path)


def test_what_takes_too_long_or_breaks_its_reader_is_refused():
    """In a process of its own, which the system ends."""
    from bodycad.imports.fence import fenced

    def loops():
        while True:
            pass

    def grows():
        return [bytearray(1 << 26) for _ in range(64)]

    def breaks():
        raise ValueError("no such thing")

    def ends():
        import os

        os._exit(3)

    def refuses():
        raise InputError("a thing", "wrong", "right")

    for job, words in (
        (loops, "longer than 0.2 s"), (grows, "more than 1024 MB"), (breaks, "ValueError: no such"),
        (ends, "ends the process"), (refuses, "a thing is 'wrong'"),
    ):  # fmt: skip
        with pytest.raises(InputError, match=words):
            fenced(job, "the drawing x", 0.2 if job is loops else 20.0)
    assert fenced(lambda: 5, "x") == 5
