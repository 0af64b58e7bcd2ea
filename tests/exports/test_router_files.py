"""The files of router templates: bare contours at size in DXF, full size in one PDF."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import ezdxf
import numpy as np
import pypdfium2
import pytest

from bodycad.checks.report import Report
from bodycad.errors import FileError
from bodycad.exports import router_pages, router_templates
from bodycad.guides import GuideBush
from bodycad.making.templates import templates
from tests.drawn import NAMES, layout_of


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    layout = layout_of("teasel")
    folder = tmp_path_factory.mktemp("templates")
    router_templates.write(Report(layout, (), ()), folder)
    return layout, folder


def test_the_names_are_what_is_written(built):
    layout, folder = built
    assert sorted(p.name for p in folder.iterdir()) == sorted(router_templates.names(layout))


def test_a_template_of_the_back_is_drawn_as_seen_from_there(built):
    """The opening of the control cavity, at (-145..-19, -113..-53) of the body, at size; pins where
    the blank's are: y has the other sign."""
    layout, folder = built
    doc = ezdxf.readfile(folder / "teasel-router-control-cavity.dxf")
    kinds = {e.dxftype() for e in doc.modelspace()}
    assert kinds == {"LWPOLYLINE", "CIRCLE"}
    layers = {e.dxf.layer for e in doc.modelspace()}
    assert layers == {
        "DATUM",
        "CHECK",
        "BACK_BORE_D1200_DIA600",
        "BACK_POCKET_D1200",
        "BACK_OUTLINE_D1200",
    }
    (hole,) = (e for e in doc.modelspace() if e.dxf.layer == "BACK_POCKET_D1200")
    x0, y0, x1, y1 = layout.by_id["control.cavity"].shape.plan.box
    rows = np.array(hole.get_points("xyb"))
    assert hole.closed
    assert rows[:, 0].min() >= x0 - 1e-9 and rows[:, 0].max() <= x1 + 1e-9
    assert rows[:, 1].min() >= -y1 - 1e-9 and rows[:, 1].max() <= -y0 + 1e-9
    pins = sorted((p.x, -p.y, p.diameter / 2.0) for p in layout.blank.pins)
    found = sorted(
        (e.dxf.center.x, e.dxf.center.y, e.dxf.radius) for e in doc.modelspace().query("CIRCLE")
    )
    assert np.allclose(found, pins, rtol=0.0, atol=1e-9)


def test_no_text_is_cut(built):
    _, folder = built
    for path in folder.glob("*.dxf"):
        assert {e.dxftype() for e in ezdxf.readfile(path).modelspace()} <= {"LWPOLYLINE", "CIRCLE"}


def test_the_pages_say_how_each_guides(built):
    layout, folder = built
    document = pypdfium2.PdfDocument(folder / "teasel-router-templates.pdf")
    texts = [document[k].get_textpage().get_text_bounded() for k in range(len(document))]
    whole = "\n".join(texts)
    for words in (
        "(11 - 6.35) / 2 = 2.325 larger all round",
        "set 31.00 from base to tip (19.00 deep + 12)",
        "datum pins 1, 2, 3 of 3",
        "right-handed, revision 1",
        "The kerf is left to whoever cuts it",
        "BACK",
        "to the nut",
        "at size: cut the part itself",
    ):
        assert words in whole, words
    ears = next(text for text in texts if "pickup.neck.ears," in text and "TEMPLATE" not in text)
    assert "26.00 deep from the front" in ears


def test_each_bit_has_a_pass_of_its_own(built):
    """Half of 12.7 and half of 9.5: the narrower bit that goes on deeper takes less at once."""
    layout, folder = built
    document = pypdfium2.PdfDocument(folder / "teasel-router-templates.pdf")
    texts = [document[k].get_textpage().get_text_bounded() for k in range(len(document))]
    own = next(text for text in texts if "1. 12.7 x 12.7" in text and "2. 9.5 x 19" in text)
    first, second = " ".join(own.split()).split("2. 9.5 x 19")
    assert "in passes of 6.35 at most" in first and "in passes of 4.75 at most" in second


def test_a_template_off_its_cut_is_no_file(built, tmp_path):
    """An opening 0.1 mm to one side, one a bush too wide, an outline of the wrong hand."""
    layout, _ = built
    for spoil in (
        lambda one: replace(one, plan=one.plan.moved(0.1, 0.0)),
        lambda one: replace(one, guide=replace(one.guide, bush=GuideBush(15.0, 5.0))),
        lambda one: replace(one, plan=one.plan.mirrored()),
    ):
        spoiled = [spoil(one) for one in templates(layout)]
        route = next(one for one in spoiled if one.id == "pickup-neck-route")
        outline = next(one for one in spoiled if one.id == "outline")
        caught = 0
        for one in (route, outline):
            try:
                router_templates.prove(one)
            except FileError:
                caught += 1
        assert caught >= 1


def test_equal_input_gives_equal_bytes(built, tmp_path):
    layout, folder = built
    router_templates.write(Report(layout, (), ()), tmp_path)
    for path in folder.iterdir():
        assert path.read_bytes() == (tmp_path / path.name).read_bytes(), path.name


def test_a_sheet_without_room_for_its_words_says_so(built, monkeypatch):
    """What face and setting it is of must then be written on it by hand."""
    layout, _ = built
    one = next(one for one in templates(layout) if one.sheet is not None)
    assert b"no room" not in router_pages._template(layout, one, "").stencil.code.encode()
    monkeypatch.setattr(router_pages, "_room", lambda *_: None)
    bare = router_pages._template(layout, one, "").stencil.code
    assert "MIND: the sheet has no room for its name" in bare and "to the nut)" not in bare


def test_the_first_setting_of_a_sloped_floor_is_that_of_a_level_cut():
    """Bramble's pocket falls from 31.98 to 34.47: what is engraved and told first takes no wood
    under the floor; its wedged setting stands beside it."""
    layout = layout_of("bramble")
    one = next(one for one in templates(layout) if one.id == "neck-pocket")
    engraved = [words for words, *_ in router_pages._block(layout, one, "")]
    assert "LEVEL: DEPTH 31.98, SET 43.98" in engraved and "THEN WEDGED: SET 46.97" in engraved
    told = [line.words for line in router_pages._told(layout, one)]
    assert "31.98 deep from the front with a level cut; the floor falls to 34.47" in told[0]
    assert "set 43.98 from base to tip (31.98 deep + 12)" in told[2]
    assert "wedged" in told[3] and "set 46.97 from base to tip (34.97 under it + 12)" in told[3]


def test_a_cut_corner_is_told_where_there_is_one():
    """Sheets on the datum pins have it, an outline has not; that of bramble is drawn as seen from
    the front and goes onto the back."""
    layout = layout_of("bramble")
    for one in templates(layout):
        told = [line.words for line in router_pages._told(layout, one)]
        assert (router_pages.CORNER in told) == (not one.outside), one.id
    outline = next(one for one in templates(layout) if one.id == "outline")
    assert router_pages._block(layout, outline, "")[0][0] == "BACK, THIS SIDE DOWN"
    head = next(router_pages._told(layout, outline)).words
    assert "on the back, drawn as seen from the front" in head


@pytest.mark.parametrize("name", NAMES)
def test_no_line_of_a_page_is_cut_off(name, monkeypatch):
    """A line that is longer than what a page shows of a text ends in three dots."""
    layout, codes = layout_of(name), []

    def keep(path, paper, roll, heading, pictures):
        codes.extend(picture.stencil.code for picture in pictures)

    monkeypatch.setattr(router_pages.document, "write", keep)
    more = router_templates.all_fixtures(layout)
    router_pages.write_pages(layout, templates(layout), more, Path("none"))
    shown = [line for code in codes for line in code.splitlines() if " Tj" in line]
    assert shown and not [line for line in shown if "...) Tj" in line]
