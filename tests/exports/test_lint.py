"""Every rule of the lint against a file spoilt in just that way, and the comparison with the
layout."""

import ezdxf
import pytest

from bodycad.errors import FileError
from bodycad.exports.dxf.document import document, save, sheet_document, write
from bodycad.exports.dxf.lint import Fault, compare, lint, verify
from bodycad.exports.sheet import cut_sheet
from bodycad.geometry.plane.build import circle, rectangle
from tests import sample
from tests.exports.bodies import layout_of, pocket
from tests.exports.faulty import BORE, ERRORS, POCKET, WARNINGS, add, drop, first, ring, square

LAYOUT = sample.design().layout()
CUTTER = 6.35
"""The smallest of a shop's cutters as shipped, mm."""


def spoilt(tmp_path, spoil):
    """The faults of the sample's front that appear when it is spoilt."""
    doc = document(LAYOUT.body, "front")
    spoil(doc)
    return lint(save(doc, tmp_path / "spoilt.dxf"), cutter=6.35)


@pytest.mark.parametrize("name", ERRORS)
def test_errors(tmp_path, name):
    rule, layer, spoil = ERRORS[name]
    found = [f for f in spoilt(tmp_path, spoil) if f.level == "error"]
    assert (rule, layer) in [(f.text.split(":")[0], f.layer) for f in found], found
    assert all(f.text for f in found)


@pytest.mark.parametrize("name", WARNINGS)
def test_warnings(tmp_path, name):
    rule, layer, spoil = WARNINGS[name]
    found = [f for f in spoilt(tmp_path, spoil) if f.level == "warning"]
    assert (rule, layer) in [(f.text.split(":")[0], f.layer) for f in found], found


@pytest.mark.parametrize(
    "spoil",
    [
        lambda d: add(d, rectangle(20.0, 20.0, 4.0).vertices),
        lambda d: (
            add(d, rectangle(20.0, 20.0, 4.0).vertices),
            add(d, rectangle(20.0, 20.0, 4.0, 20.0).vertices),
        ),
        lambda d: (
            add(d, rectangle(40.0, 40.0, 4.0).vertices),
            add(d, square(9.0, -5.0, -5.0, -1)),
        ),
        lambda d: add(d, rectangle(20.0, 20.0, 3.175).vertices),
        lambda d: (ring(d, 0, 0), ring(d, 10.0, 0)),
        lambda d: (ring(d, 0, 0), ring(d, 0, 0, layer="FRONT_PILOT_D1928_DIA240")),
        lambda d: ring(d, 0, 0, 1.0),
        lambda d: (
            d.layers.add("FRONT_OUTLINE_D1000", color=1),
            add(d, square(), "FRONT_OUTLINE_D1000"),
        ),
    ],
    ids=[
        "alone",
        "touching",
        "island",
        "corner of the cutter's radius",
        "tangent circles",
        "two layers",
        "small drill",
        "outline with sharp outer corners",
    ],
)
def test_sound_drawings_have_no_faults(tmp_path, spoil):
    assert [f for f in spoilt(tmp_path, spoil) if not f.text.startswith("extents")] == []


def test_a_fault_names_the_entity(tmp_path):
    doc = document(LAYOUT.body, "front")
    handle = add(doc, square(), close=False).dxf.handle
    faults = lint(save(doc, tmp_path / "a.dxf"))
    assert faults == (Fault("error", POCKET, handle, "open: the closed flag is not set"),)


def test_errors_come_first(tmp_path):
    faults = spoilt(
        tmp_path,
        lambda d: (add(d, [(0, 0), (9, 0), (9, 9)]), add(d, square(9.0, 20.0, 0.0), close=False)),
    )
    assert [f.level for f in faults] == ["error", "warning"]


def test_the_corner_rule_needs_a_cutter(tmp_path):
    doc = document(LAYOUT.body, "front")
    add(doc, square())
    assert lint(save(doc, tmp_path / "a.dxf")) == ()


def test_r12_carries_no_unit(tmp_path):
    faults = lint(write(LAYOUT.body, "front", tmp_path / "a.dxf", "R12"))
    assert [(f.level, f.text.split(":")[0]) for f in faults] == [("warning", "unit")]


def test_r12_is_linted_too(tmp_path):
    doc = document(LAYOUT.body, "front", "R12")
    doc.modelspace().add_polyline2d([(0, 0), (9, 0), (9, 9)], dxfattribs={"layer": POCKET})
    doc.modelspace().add_polyline2d(
        [(-150, 40), (-140, 40), (-140, 50)],
        close=True,
        dxfattribs={"layer": POCKET, "elevation": (0, 0, 3.0)},
    )
    faults = lint(save(doc, tmp_path / "a.dxf"))
    assert {f.text.split(":")[0] for f in faults if f.level == "error"} == {"open", "height"}


def test_another_version_is_an_error(tmp_path):
    doc = document(LAYOUT.body, "front")
    doc.dxfversion = "R2018"
    assert "version" in [f.text.split(":")[0] for f in lint(save(doc, tmp_path / "a.dxf"))]


def test_texts_are_allowed_on_info_of_the_twin_only(tmp_path):
    doc = document(LAYOUT.body, "front")
    doc.layers.add("INFO", color=6)
    doc.modelspace().add_text("19 deep", dxfattribs={"layer": "INFO"})
    path = save(doc, tmp_path / "a.dxf")
    assert lint(path, annotated=True) == ()
    assert [f.layer for f in lint(path) if f.level == "error"] == ["INFO", "INFO"]


@pytest.mark.parametrize("content", [None, b"", b"not a drawing\n", b"  0\nSECTION\n  2\nHEADER\n"])
def test_a_file_that_cannot_be_read_is_a_file_error(tmp_path, content):
    path = tmp_path / "a.dxf"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(FileError, match="cannot be read"):
        lint(path)


@pytest.mark.parametrize("share", [0.2, 0.5, 0.8, 0.95, 0.99])
def test_a_file_cut_short_does_not_pass(tmp_path, share):
    path = write(LAYOUT.body, "front", tmp_path / "a.dxf")
    whole = path.read_bytes()
    path.write_bytes(whole[: int(share * len(whole))])
    with pytest.raises(FileError):
        verify(path, LAYOUT.body, "front", CUTTER)


def half(doc):
    drop(doc, "FRONT_LEDGE_D0640")


def shifted(doc):
    entity = first(doc)
    entity.set_points([(x + 0.01, y, b) for x, y, b in entity.get_points("xyb")], format="xyb")


def grown(doc):
    entity = first(doc, BORE, "CIRCLE")
    entity.dxf.radius *= 1.0001


def mirrored(doc):
    for entity in doc.modelspace().query("LWPOLYLINE"):
        entity.set_points([(x, -y, -b) for x, y, b in entity.get_points("xyb")], format="xyb")


def tagged(tags):
    return lambda doc: first(doc).set_xdata("BODYCAD", tags)


@pytest.mark.parametrize(
    "spoil, said",
    [
        (half, "FRONT_LEDGE_D0640"),
        (shifted, "cut a.route spans"),
        (grown, BORE),
        (mirrored, "spans"),
        (lambda d: first(d).discard_xdata("BODYCAD"), "a.route .* 0 times"),
        (tagged([(1000, "a.route"), (1000, "a.route"), (1040, 19.0)]), "a.route .* 2 times"),
        (tagged([(1000, "a.route"), (1040, 18.0)]), "depth 18"),
        (tagged([(1000, "a.ears"), (1040, 19.0)]), "a.ears"),
        (lambda d: first(d).update_dxf_attribs({"layer": "FRONT_POCKET_D2700"}), POCKET),
    ],
    ids=[
        "layer missing",
        "shifted",
        "radius",
        "mirrored",
        "no id",
        "id twice",
        "depth",
        "another id",
        "another layer",
    ],
)
def test_a_file_that_differs_from_the_layout_is_a_file_error(tmp_path, spoil, said):
    doc = document(LAYOUT.body, "front")
    spoil(doc)
    with pytest.raises(FileError, match=said):
        compare(save(doc, tmp_path / "a.dxf"), LAYOUT.body, "front")


def test_the_other_face_is_not_this_face(tmp_path):
    path = write(LAYOUT.body, "back", tmp_path / "a.dxf")
    compare(path, LAYOUT.body, "back")
    with pytest.raises(FileError, match="FRONT_POCKET_D1900"):
        compare(path, LAYOUT.body, "front")


def test_a_shift_within_a_layer_is_seen(tmp_path):
    """Area and box of the layer stay: only the middle one of three pockets has moved."""
    row = [pocket(f"p.{k}", circle(20.0, 40.0 * k), 10.0) for k in (-1, 0, 1)]
    layout = layout_of(*row)
    doc = document(layout.body, "front")
    next(c for c in doc.modelspace().query("CIRCLE") if abs(c.dxf.center.x) < 1).dxf.center = (
        0.5,
        0.0,
    )
    with pytest.raises(FileError, match="cut p.0 spans"):
        compare(save(doc, tmp_path / "a.dxf"), layout.body, "front")


def test_verify_returns_the_warnings_of_a_good_file(tmp_path):
    path = write(LAYOUT.body, "front", tmp_path / "a.dxf")
    faults = verify(path, LAYOUT.body, "front", 10.0)
    assert {(f.level, f.layer, f.text.split(":")[0]) for f in faults} == {
        ("warning", POCKET, "corner"),
        ("warning", "FRONT_POCKET_D2700", "corner"),
    }


def test_verify_refuses_a_spoilt_file(tmp_path):
    doc = sheet_document(cut_sheet(LAYOUT.body, "front"))
    first(doc).closed = False
    with pytest.raises(FileError, match="open: the closed flag"):
        verify(save(doc, tmp_path / "a.dxf"), LAYOUT.body, "front", CUTTER)


def test_ezdxf_audit_does_not_replace_the_lint(tmp_path):
    """Why this lint exists: the library's own audit passes a file with an open, doubled contour
    (measured)."""
    doc = document(LAYOUT.body, "front")
    add(doc, square(), close=False), add(doc, square(9.0, 30.0)), add(doc, square(9.0, 30.0))
    path = save(doc, tmp_path / "a.dxf")
    assert not ezdxf.readfile(path).audit().has_errors
    assert {f.text.split(":")[0] for f in lint(path) if f.level == "error"} >= {"open", "duplicate"}
