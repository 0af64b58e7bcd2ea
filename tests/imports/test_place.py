"""The same body drawn in other units, elsewhere, another way up or seen from the back is the same
outline, so that every figure that follows from it is the same."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest

from bodycad.errors import InputError
from bodycad.imports.drawing import Drawing
from bodycad.imports.outline import taken
from tests.imports.drawn import dxf, svg

CURVES = (
    ((210, 30), (150, 60), (215, 150), (90, 140)),
    ((90, 140), (40, 136), (20, 105), (-30, 112)),
    ((-30, 112), (-110, 124), (-190, 120), (-200, -10)),
    ((-200, -10), (-205, -130), (-120, -165), (-40, -150)),
    ((-40, -150), (60, -130), (30, -95), (95, -120)),
    ((95, -120), (190, -160), (160, -40), (210, -30)),
)
"""An unsymmetric body: cubic Beziers in the body's frame, mm."""
MOUTH = ((210, -30), (210, 30))
SAME = 1e-7


def moved(scale=1.0, turn=0.0, shift=(0.0, 0.0), mirror=False):
    """A similarity of the drawing: mirrored about its x axis, turned, shifted, then in units of
    `scale` mm."""
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))

    def move(spot):
        x, y = spot[0], -spot[1] if mirror else spot[1]
        return (c * x - s * y + shift[0]) / scale, (s * x + c * y + shift[1]) / scale

    return move


def as_svg(path, move, head=None, extra=""):
    """The body as one SVG path; the page's y runs down."""
    spots = [[move(spot) for spot in curve] for curve in CURVES]
    data = "M{} {}".format(*spots[0][0])
    data += "".join("C" + " ".join(f"{x!r} {y!r}" for x, y in curve[1:]) for curve in spots) + "Z"
    return svg(path, f'<path d="{data}"/>{extra}', head)


def as_dxf(path, move, units=4, lines=False):
    """The body as splines and a line."""

    def draw(document, space):
        for curve in CURVES:
            space.add_open_spline([(*move(spot), 0) for spot in curve], degree=3)
        space.add_line(*map(move, MOUTH))
        if lines:
            space.add_line(move((-250, 0)), move((250, 0)), dxfattribs={"layer": "centre"})
            space.add_line(move((0, -9)), move((0, 80)), dxfattribs={"layer": "scale"})

    return dxf(path, draw, units)


def outline(path, **given):
    return taken(Drawing(path.name, **given), path, path.suffix).profile


@pytest.fixture(scope="module")
def plain(tmp_path_factory):
    """The body in the body's own frame, in mm."""
    return outline(as_dxf(tmp_path_factory.mktemp("plain") / "a.dxf", moved()))


def same(one, two):
    """Both are the same chain of arcs, from wherever each begins."""
    assert len(one.vertices) == len(two.vertices)
    k = int(np.argmin(np.hypot(*(two.vertices[:, :2] - one.vertices[0, :2]).T)))
    assert np.abs(np.roll(two.vertices, -k, axis=0) - one.vertices).max() < SAME


def test_the_curve_is_met_within_the_tolerance(plain):
    t = np.linspace(0, 1, 200)[:, None]
    for curve in CURVES:
        a, b, c, d = map(np.array, curve)
        spots = (1 - t) ** 3 * a + 3 * t * (1 - t) ** 2 * b + 3 * t**2 * (1 - t) * c + t**3 * d
        assert np.abs(plain.signed_distance(spots)).max() <= 0.01


@pytest.mark.parametrize(
    ("code", "scale"), [(1, 25.4), (5, 10.0), (6, 1000.0), (2, 304.8), (14, 100.0)]
)
def test_units_of_a_dxf(code, scale, plain, tmp_path):
    same(plain, outline(as_dxf(tmp_path / "a.dxf", moved(scale), code)))


@pytest.mark.parametrize(
    "given",
    [{"units": "inch"}, {"reference": ((0.0, 0.0), (0.0, 10.0), 254.0)}],
)
def test_units_that_the_script_says(given, plain, tmp_path):
    same(plain, outline(as_dxf(tmp_path / "a.dxf", moved(25.4), 0), **given))


@pytest.mark.parametrize(
    ("head", "scale"),
    [
        ('width="500mm" height="500mm" viewBox="0 0 500 500"', 1.0),
        ('width="500mm" height="500mm" viewBox="0 0 250 250"', 2.0),
        ('width="20in" height="20in" viewBox="0 0 1440 1440"', 25.4 / 72),
        ('width="1920" height="1920"', 25.4 / 96),
    ],
)
def test_units_of_an_svg(head, scale, plain, tmp_path):
    """Drawn with y down, as it looks from the front."""
    path = as_svg(tmp_path / "a.svg", moved(scale, mirror=True), head)
    same(plain, outline(path))


@pytest.mark.parametrize(("neck", "turn"), [("right", 0), ("up", 90), ("left", 180), ("down", -90)])
@pytest.mark.parametrize("back", [False, True])
def test_another_way_up_and_seen_from_the_back(neck, turn, back, plain, tmp_path):
    """From the back the neck points the same way and bass and treble change sides."""
    move = moved(1.0, turn, mirror=back)
    given = {"neck": neck, "seen": "back" if back else "front"}
    same(plain, outline(as_dxf(tmp_path / "a.dxf", move), **given))


@pytest.mark.parametrize("turn", [0.0, 7.0, -31.0])
def test_placed_by_a_centreline_and_a_scale_line(turn, plain, tmp_path):
    move = moved(25.4, turn, (812.0, -333.0))
    path = as_dxf(tmp_path / "a.dxf", move, 1, lines=True)
    same(plain, outline(path, centreline="Centre", scale_line="SCALE"))
    same(plain, outline(path, layer="0", centreline="centre", origin=move((0, 40))))


def test_a_mirrored_drawing_is_the_mirrored_outline(plain, tmp_path):
    same(plain, outline(as_dxf(tmp_path / "a.dxf", moved(mirror=True))).mirrored())


def test_the_way_a_curve_is_drawn_does_not_count(plain, tmp_path):
    """From its end to its beginning, and in another order."""

    def draw(document, space):
        space.add_line(*MOUTH)
        for curve in CURVES[::-1]:
            space.add_open_spline([(*spot, 0) for spot in curve[::-1]], degree=3)

    same(plain, outline(dxf(tmp_path / "a.dxf", draw)))


def test_a_symmetric_drawing_gives_a_symmetric_outline(tmp_path):
    half = [[(x, abs(y)) for x, y in curve] for curve in CURVES[:3]]
    half[2][3], half[2][2] = (-200, 0), (-200, 110)

    def draw(document, space):
        for way in (1, -1):
            for curve in half[::way]:
                spots = [(x, way * y, 0) for x, y in curve[::way]]
                space.add_open_spline(spots, degree=3)
        space.add_line(*MOUTH)

    made = outline(dxf(tmp_path / "a.dxf", draw))
    assert np.abs(made.signed_distance(made.vertices[:, :2] * [1, -1])).max() < 1e-9


def test_what_places_it_is_asked(tmp_path):
    path = as_dxf(tmp_path / "a.dxf", moved(turn=90), lines=True)
    for given, words in (
        ({"centreline": "middle"}, 'what is called "middle".*no stroke.*one straight line.*centre'),
        ({"centreline": "centre"}, "does not lead right"),
        ({"centreline": "centre", "scale_line": "centre", "neck": "up"}, "along the centreline"),
        ({"centreline": "0", "neck": "up"}, "7 strokes"),
    ):
        with pytest.raises(InputError) as found:
            outline(path, **given)
        assert re.search(words, str(found.value)), found.value


def test_a_drawing_far_from_the_origin_says_so(tmp_path):
    path = as_dxf(tmp_path / "a.dxf", moved(shift=(9e5, 0)))
    with pytest.raises(InputError, match=r"about \(8998\d\d, .*origin"):
        outline(path)
    assert outline(path, origin=(9e5, 0)).area == pytest.approx(outline(path, origin=(9e5, 3)).area)
