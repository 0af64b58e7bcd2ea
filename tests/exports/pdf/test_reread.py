"""Files and drawings of full-size paper that are wrong are refused before they are kept."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from bodycad import load_design
from bodycad.errors import FileError
from bodycad.exports.pdf import document, face, paper
from bodycad.exports.pdf.face import picture, silhouettes
from bodycad.exports.pdf.reread import hold, reread
from bodycad.words import Face, Paper


@pytest.fixture(scope="module")
def layout():
    return replace(load_design("designs/teasel.py"), left_handed=True).layout()


def held(layout, side, one):
    hold(one.stencil, layout.body, side, silhouettes(layout, side))


@pytest.mark.parametrize("side", list(Face)[:2])
def test_a_face_that_is_not_turned_over_is_refused(layout, side, monkeypatch):
    """The back drawn as if one looked through the wood from the front, and the other way round."""
    held(layout, side, picture(layout, layout.body, side))
    wrong = Face.FRONT if side is Face.BACK else Face.BACK
    monkeypatch.setattr(face, "as_seen", lambda shape, _: seen(shape, wrong))
    with pytest.raises(FileError, match="is missing on the full-size"):
        held(layout, side, picture(layout, layout.body, side))


seen = face.as_seen


def spoiled(layout, side=Face.FRONT, **changes):
    """A face with something of it changed."""
    made, drawn = [], face.drawn

    def other(*given):
        one = drawn(*given)
        made.append(one)
        return replace(one, **{name: change(one) for name, change in changes.items()})

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(face, "drawn", other)
        return picture(layout, layout.body, side)


@pytest.mark.parametrize(
    "changes, what",
    [
        ({"crosses": lambda one: one.crosses[:-4]}, "the cross of"),
        (
            {"crosses": lambda one: [((x + 0.05, y), arm) for (x, y), arm in one.crosses]},
            "the cross of pickup.neck.screw.1 is missing",
        ),
        ({"outline": lambda one: one.outline.moved(0.05, 0.0)}, "the outline of body"),
        ({"parts": lambda one: one.parts[1:]}, "the outline of neck.heel"),
        (
            {"cuts": lambda one: [c if c.circle else c.moved(0.0, 3.0) for c in one.cuts]},
            "the contour of neck.pocket",
        ),
        ({"cuts": lambda one: [c for c in one.cuts if c.circle is None]}, "the contour of "),
        (
            {"parts": lambda one: [(name, part.mirrored()) for name, part in one.parts]},
            "the outline of .*knob",
        ),
    ],
    ids=(
        *("no cross", "cross aside", "outline aside", "no heel"),
        *("routes aside", "no holes"),
        "parts of the other hand",
    ),
)
def test_what_is_missing_or_aside_is_named(layout, changes, what):
    with pytest.raises(FileError, match=what):
        held(layout, Face.FRONT, spoiled(layout, **changes))


def test_a_hole_that_comes_out_on_the_back_is_held(layout):
    with pytest.raises(FileError, match="the contour of bridge.string.1"):
        held(layout, Face.BACK, spoiled(layout, Face.BACK, out=lambda _: ()))


def test_a_file_that_lost_something_is_refused(layout, tmp_path):
    """A page fewer, a page that stands elsewhere, a drawing that was cut short, a stray byte."""
    pictures = [picture(layout, piece, side) for piece in layout.pieces for side in piece.faces]
    head, path = paper.heading(layout), tmp_path / "t.pdf"
    document.write(path, Paper.A4, 610.0, head, pictures)
    planned = document.pages(Paper.A4, 610.0, head, pictures)
    reread(path, planned)
    with pytest.raises(FileError, match="pages, not"):
        reread(path, planned[:-1])
    with pytest.raises(FileError, match="page 1 of t.pdf"):
        reread(path, (planned[1], planned[0], *planned[2:]))
    other = replace(planned[0], wide=215.9)
    with pytest.raises(FileError, match="page 1 of t.pdf"):
        reread(path, (other, *planned[1:]))
    raw = path.read_bytes()
    middle = raw.index(b"stream") + 400
    path.write_bytes(raw[:middle] + b"\x00\x01" + raw[middle + 2 :])
    with pytest.raises(FileError, match="page 1 of t.pdf"):
        reread(path, planned)


def test_a_build_refuses_a_spoiled_back(layout, tmp_path, monkeypatch):
    monkeypatch.setattr(face, "as_seen", lambda shape, _: shape)
    with pytest.raises(FileError, match="full-size back of body"):
        paper.write_all(SimpleNamespace(layout=layout), tmp_path)
    assert not list(tmp_path.iterdir())
