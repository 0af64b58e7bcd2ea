"""What would be missing from the paper is refused, not left out: gaps between tiles, drawings that
leave their sheet, a roll that is too narrow. And what a page's lines are made of."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from pypdf import PdfReader

from bodycad import Shop
from bodycad.errors import FileError, InputError
from bodycad.exports.pdf import document, paper
from bodycad.exports.pdf.face import CROSS_MOST, picture
from bodycad.exports.pdf.kit import CUBIC_OFF, opened, stencil
from bodycad.exports.pdf.pages import OVERLAP, SIZES, Heading, Picture, pages, refuse_gaps
from bodycad.geometry.plane.build import rectangle, slot
from bodycad.words import Paper
from tests import sample
from tests.exports.pdf.read import read

HEAD = Heading("sample", ("right-handed, revision 1",))


def plain(name, wide, high, **more):
    """A drawing of one rectangle of that size."""
    shape = rectangle(wide, high)
    made = stencil(lambda pen: pen.shapes([shape]), shape.box)
    return Picture(name, name, "thickness 1.00 mm", made, **more)


@pytest.mark.parametrize("kind", [one for one in Paper if one is not Paper.ROLL])
def test_a_missing_tile_and_a_gap_are_refused(kind):
    one = plain("body", 550.0, 420.0)
    planned = pages(kind, 610.0, HEAD, [one])
    assert len(planned) > 1
    refuse_gaps(planned, [one])
    for k in range(len(planned)):
        with pytest.raises(FileError, match="body"):
            refuse_gaps((*planned[:k], *planned[k + 1 :]), [one])
    with pytest.raises(FileError, match="is on no page"):
        refuse_gaps(planned, [one, plain("cover", 60.0, 40.0)])
    x0, y0, x1, y1 = planned[0].window
    narrow = [replace(page, window=(x0, y0, x1 - 1.0, y1)) for page in planned]
    with pytest.raises(FileError, match="is on no page"):
        refuse_gaps(narrow, [one])


def test_a_cross_fits_into_the_overlap():
    """So wherever a hole lies, one page shows its cross whole."""
    assert 2.0 * CROSS_MOST <= OVERLAP


def test_the_sizes_of_paper():
    """ISO 216: A4 is 210 x 297 mm, A3 297 x 420; ASME Y14.1: A is 8.5 x 11 in, B 11 x 17."""
    assert SIZES[Paper.A4] == (210.0, 297.0) and SIZES[Paper.A3] == (297.0, 420.0)
    assert SIZES[Paper.LETTER] == pytest.approx((215.9, 279.4))
    assert SIZES[Paper.TABLOID] == pytest.approx((279.4, 431.8))


def test_a_drawing_that_leaves_its_paper_is_refused(tmp_path):
    for draw in (
        lambda pen: pen.shapes([rectangle(20.0, 10.1)]),
        lambda pen: pen.circle((0.0, 0.0), 5.1),
        lambda pen: pen.lines([(0.0, 0.0), (10.2, 0.0)]),
        lambda pen: pen.text("a word", (5.0, 0.0)),
        lambda pen: pen.text("a word", (0.0, 0.0), turn=90.0),
    ):
        with pytest.raises(FileError, match="lies outside its paper"):
            stencil(draw, (-10.0, -5.0, 10.0, 5.0))
    pen = opened(tmp_path / "t.pdf", "t")
    with pytest.raises(FileError, match="lies outside its paper"), pen.page(210.0, 297.0):
        pen.circle((10.0, 10.0), 5.0)


def test_a_roll_that_is_too_narrow_is_refused():
    one = plain("body", 550.0, 420.0)
    (page,) = pages(Paper.ROLL, 610.0, HEAD, [one])
    assert min(page.wide, page.high) <= 610.0
    with pytest.raises(InputError, match="width of the roll of paper is '400 mm'.*for body"):
        pages(Paper.ROLL, 400.0, HEAD, [one])


def test_small_drawings_share_a_page_and_none_lies_on_another(tmp_path):
    sizes = [(130.0, 70.0), (60.0, 40.0), (100.0, 90.0), (170.0, 20.0), (60.0, 41.0)]
    some = [plain(f"cover.{k}", *size) for k, size in enumerate(sizes)]
    for kind in Paper:
        planned = pages(kind, 610.0, HEAD, some)
        assert len(planned) <= 2
        refuse_gaps(planned, some)
        for page in planned:
            spots = [
                shapely.box(*(np.array(one.box) + np.tile(shift, 2))) for one, shift in page.placed
            ]
            window = shapely.box(*page.window)
            assert all(window.contains(spot) for spot in spots)
            assert shapely.union_all(spots).area == pytest.approx(sum(s.area for s in spots))
        document.write(tmp_path / "t.pdf", kind, 610.0, HEAD, some)
        said = [text for page in read(tmp_path / "t.pdf") for text, _ in page.own.texts]
        assert all(one.title in said for one in some)


def test_the_title_lets_a_seam_cut_as_few_notes_as_it_can():
    """Two notes of which one lies across the middle: the seam goes beside it."""
    across = (-20.0, -5.0, 20.0, 5.0)
    for kind in (Paper.A4, Paper.LETTER):
        for turned in (False, True):
            note = across if not turned else (-5.0, -20.0, 5.0, 20.0)
            one = plain("body", 250.0, 250.0, whole=(note,))
            whole = False
            for page in pages(kind, 610.0, HEAD, [one]):
                (_, (dx, dy)), (x0, y0, x1, y1) = page.placed[0], page.window
                inside = x0 <= note[0] + dx and note[2] + dx <= x1
                whole |= inside and y0 <= note[1] + dy and note[3] + dy <= y1
            assert whole


def test_an_arc_leaves_its_circle_by_no_more_than_the_stated_part(tmp_path):
    """Read back and sampled: a circle of 150 mm, and both ends of a slot."""
    pen = opened(tmp_path / "t.pdf", "t")
    with pen.page(400.0, 400.0):
        pen.circle((200.0, 200.0), 150.0)
        pen.shapes([slot(200.0, 60.0, 200.0, 200.0, 30.0)])
    pen.close()
    (page,) = read(tmp_path / "t.pdf")
    ring, oval = (path.points for path in page.own.paths)
    off = np.hypot(*(ring - 200.0).T) - 150.0
    # What a file's digits and the unit of a page leave is under 0.1 micrometre.
    assert 0.9 * CUBIC_OFF * 150.0 < np.abs(off).max() < CUBIC_OFF * 150.0 + 1e-4
    true = shapely.LineString([(-70.0, 0.0), (70.0, 0.0)])
    turned = shapely.affinity.translate(shapely.affinity.rotate(true, 30.0), 200.0, 200.0)
    far = shapely.distance(shapely.points(oval), turned)
    assert np.abs(far - 30.0).max() < CUBIC_OFF * 30.0 + 1e-4


def test_the_file_asks_for_no_scaling_and_is_the_same_twice(tmp_path):
    layout = sample.design().layout()
    for k in range(2):
        pictures = [picture(layout, piece, face) for piece in layout.pieces for face in piece.faces]
        document.write(tmp_path / f"{k}.pdf", Paper.A4, 610.0, paper.heading(layout), pictures)
    one, two = ((tmp_path / f"{k}.pdf").read_bytes() for k in range(2))
    assert one == two
    reader = PdfReader(tmp_path / "0.pdf")
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
    assert reader.metadata.title == layout.name


def test_the_shop_names_its_papers():
    with pytest.raises(InputError, match="each of them once"):
        Shop(papers=("a4", "a4"))
    with pytest.raises(InputError, match="letter"):
        Shop(papers=("a5",))
    shop = Shop(papers=("a3", "tabloid"))
    layout = replace(sample.design(), shop=shop).layout()
    assert paper.names(layout) == ("sample-templates-a3.pdf", "sample-templates-tabloid.pdf")
    assert paper.names(sample.design().layout()) == tuple(
        f"sample-templates-{kind}.pdf" for kind in ("roll", "a4", "letter")
    )


@pytest.mark.parametrize("size", [(30.0, 10.0), (560.0, 12.0)])
def test_a_low_drawing_leaves_room_for_the_upright_bars(tmp_path, size):
    """On a roll a page is as high as its drawings, but never lower than the bars that prove it."""
    one = plain("rule", *size)
    document.write(tmp_path / "rule.pdf", Paper.ROLL, 610.0, HEAD, [one])
    (found,) = PdfReader(tmp_path / "rule.pdf").pages
    assert 101.6 < float(found.mediabox.height) * 25.4 / 72.0 < 150.0


@pytest.mark.parametrize(("roll", "size"), ((220.0, (255.0, 110.0)), (200.0, (183.0, 100.0))))
def test_what_goes_onto_a_sheet_but_not_across_the_roll_lies_along_it(roll, size):
    one = plain("body", *size)
    (page,) = pages(Paper.ROLL, roll, HEAD, [one])
    ((own, _),) = page.placed
    assert own is one and min(page.wide, page.high) <= roll
