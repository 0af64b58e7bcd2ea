"""Texts on full-size paper as pdfium, another reader, sees them: none lies on another, none on a
line, none leaves its place; what the fonts cannot show is shown as an escape."""

import string
from dataclasses import replace
from itertools import combinations

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
import shapely

from bodycad import load_design
from bodycad.exports.pdf import document, paper
from bodycad.exports.pdf.face import picture
from bodycad.exports.pdf.kit import opened, shown, text_box, width, wrapped
from bodycad.words import Face, Paper
from tests.exports.pdf.read import MM, read


@pytest.mark.parametrize("measured, word", [(None, "assumed"), (44.0, "measured")])
def test_a_drawing_says_whether_its_thickness_was_measured(measured, word):
    layout = load_design("designs/teasel.py").layout()
    layout = replace(layout, shop=replace(layout.shop, measured_stock=measured))
    told = f"thickness {word} {layout.thickness:.2f} mm"
    assert told in picture(layout, layout.body, Face.FRONT).about


@pytest.fixture(scope="module", params=("teasel", "bramble"))
def made(request, tmp_path_factory):
    """A file on Letter and one on a roll: the crowded front of two humbuckers, a neck-through."""
    layout = load_design(f"designs/{request.param}.py").layout()
    pictures = [picture(layout, piece, face) for piece in layout.pieces for face in piece.faces]
    folder = tmp_path_factory.mktemp(request.param)
    for kind in (Paper.LETTER, Paper.ROLL):
        head = paper.heading(layout)
        document.write(folder / f"{kind}.pdf", kind, layout.shop.roll, head, pictures)
    return folder


def boxes(page, level):
    """Boxes of the texts of a page (level 0, mm) or of the drawings it shows (1, their own mm)."""
    found = page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT], max_depth=3)
    return [np.array(one.get_bounds()) for one in found if one.level == level]


def apart(found):
    for one, two in combinations(found, 2):
        assert not ((one[:2] < two[2:] - 0.02) & (two[:2] < one[2:] - 0.02)).all(), (one, two)


def test_no_text_of_a_page_lies_on_another_or_on_a_line_or_leaves_the_printable_part(made):
    for kind in (Paper.LETTER, Paper.ROLL):
        pages = read(made / f"{kind}.pdf")
        with pypdfium2.PdfDocument(made / f"{kind}.pdf") as pdf:
            for page, drawn in zip(pdf, pages):
                found = [box * MM for box in boxes(page, 0)]
                apart(found)
                lines = [shapely.LineString(chain) for p in drawn.own.paths for chain in p.chains]
                tree = shapely.STRtree(lines)
                for box in found:
                    assert not len(tree.query(shapely.box(*box), predicate="intersects")), box
                wide, high = (one * MM for one in page.get_size())
                assert min(box[:2].min() for box in found) > 6.34
                assert max(box[2] for box in found) < wide - 6.34
                assert max(box[3] for box in found) < high - 6.34


def test_no_note_lies_on_another_note_or_on_a_line(made):
    """Leaders alone may pass a text by; they are the fine lines that are neither level nor
    upright."""
    pages = read(made / "roll.pdf")
    with pypdfium2.PdfDocument(made / "roll.pdf") as pdf:
        for page, drawn in zip(pdf, pages):
            if len(drawn.drawings) > 1:
                continue
            (drawing,) = drawn.drawings.values()
            found = boxes(page, 1)
            assert len(found) == len(drawing.texts) > 8
            apart(found)
            lines = [
                shapely.LineString(chain)
                for path in drawing.paths
                for chain in path.chains
                if not path.filled
                and (path.wide > 0.11 or len(chain) > 2 or min(np.ptp(chain, 0)) < 1e-6)
            ]
            tree = shapely.STRtree(lines)
            for box in found:
                assert not len(tree.query(shapely.box(*box), predicate="intersects")), box


def test_a_text_takes_the_room_that_the_layout_of_notes_counts_on(tmp_path):
    """pdfium's box of the letters lies within the one that notes are placed by."""
    words = string.ascii_letters + string.digits + "().,:+"
    pen = opened(tmp_path / "t.pdf", "t")
    with pen.page(300.0, 200.0):
        pen.text(words, (20.0, 20.0), 3.0)
        pen.text("gjpqy", (150.0, 60.0), 3.0, 0.5, 90.0)
    pen.close()
    with pypdfium2.PdfDocument(tmp_path / "t.pdf") as pdf:
        one, two = (box * MM for box in boxes(pdf[0], 0))
    for seen, counted in (
        (one, text_box(words, (20.0, 20.0), 3.0)),
        (two, text_box("gjpqy", (150.0, 60.0), 3.0, 0.5, 90.0)),
    ):
        assert (seen[:2] >= np.array(counted[:2]) - 0.05).all()
        assert (seen[2:] <= np.array(counted[2:]) + 0.05).all()
    assert one[2] - one[0] == pytest.approx(width(words, 3.0), abs=0.5)


def test_a_text_is_broken_into_lines_that_fit():
    text = "lay each frame on the dashed line of its neighbour so that the + meet, and tape"
    for room in (20.0, 40.0, 80.0, 200.0):
        lines = wrapped(text, room, 2.3)
        assert " ".join(lines) == text and max(width(line, 2.3) for line in lines) <= room
        words = [line.split()[0] for line in lines[1:]]
        assert all(width(f"{a} {b}", 2.3) > room for a, b in zip(lines, words))


def test_what_the_font_lacks_is_an_escape(tmp_path):
    """Snowman and tab have no letter in the font's encoding (Windows code page 1252)."""
    assert shown("a\u2603b") == "a\\u2603b" and "\t" not in shown("a\tb")
    every = "".join(bytes([k]).decode("cp1252", "ignore") for k in range(33, 256) if k != 173)
    pen = opened(tmp_path / "t.pdf", "\u2603 title")
    with pen.page(300.0, 200.0):
        pen.text(every[:100], (10.0, 20.0))
        pen.text(every[100:] + "(\\) \u2603", (10.0, 40.0))
    pen.close()
    with pypdfium2.PdfDocument(tmp_path / "t.pdf") as pdf:
        said = pdf[0].get_textpage().get_text_bounded()
    assert all(letter in said for letter in every if letter.isalnum())
    assert "(\\) \\u2603" in said
