"""Shaped faces as their grids of heights say, followed by the ball nose that they name."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from bodycad.errors import FileError
from bodycad.exports.grid_job import read_heights
from bodycad.exports.simulation import simulate
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.edge import Roundover, Square
from bodycad.geometry.solids.skin import Skin
from bodycad.shop import Shop
from bodycad.simulation.tool import scallop
from bodycad.tools import Cutter
from tests.simulation.bodies import T, block, repainted, shaped_block, written
from tests.simulation.test_programs import found


@pytest.fixture(scope="module")
def layout():
    return shaped_block()


def grid_of(files, face):
    (path,) = files.glob(f"*-{face}-heights.png")
    return path


def test_grids_as_written_leave_the_shape_and_the_stated_ridges(layout, sound):
    done = simulate(layout, sound, 0.2)
    assert [f.text for f in done.findings if f.status not in ("pass", "skip")] == []
    (piece,) = done.pieces
    heights, _ = read_heights(grid_of(sound, "front"))
    assert piece.ridge == pytest.approx(scallop(heights.tool.radius, heights.stepover))
    assert 0.03 < piece.ridge <= 0.05
    cut = np.minimum(piece.front[piece.target.wood], T)
    should = piece.target.front[piece.target.wood]
    assert np.abs(cut - should)[should > 0.5].max() < 0.3 and (should > 2.0).any()


def test_a_doubled_depth_gouges_at_its_place(layout, files):
    def doubled(table, text):
        return 2 * table, text

    repainted(grid_of(files, "front"), doubled)
    wrong = found(layout, files)
    assert set(wrong) == {"gouge"} and list(wrong["gouge"]) == [("contour.arm",)]
    ((x, y, _), deep) = wrong["gouge"][("contour.arm",)]
    assert deep == pytest.approx(4.0, abs=0.3) and x > 20.0 and y < -5.0


def test_a_grid_that_is_missing_leaves_the_contour(layout, files):
    grid_of(files, "back").unlink()
    wrong = found(layout, files)
    assert list(wrong["left"]) == [("contour.belly",)] and "gouge" not in wrong


def test_a_back_grid_that_is_not_mirrored_is_found(layout, files):
    """Its rows the other way round: as the back looks through the wood."""
    repainted(grid_of(files, "back"), lambda table, text: (table[::-1], text))
    wrong = found(layout, files)
    assert ("contour.belly",) in wrong["left"] and wrong["gouge"]


def test_a_grid_of_another_zero_than_the_drawings_is_told(layout, files):
    def moved(table, text):
        return table, text | {"x": str(float(text["x"]) + 5.0), "datum x": "5"}

    repainted(grid_of(files, "front"), moved)
    wrong = found(layout, files)
    assert list(wrong["left"]) == [("contour.arm",)]
    ((name,),) = wrong["file"]
    assert name.endswith("-front-cam.dxf")


@pytest.mark.parametrize(
    ("key", "value"),
    [("design", "other"), ("revision", "7"), ("hand", "left"), ("thickness", "19"), ("piece", "x")],
)
def test_a_grid_of_another_design_is_told(layout, files, key, value):
    repainted(grid_of(files, "front"), lambda table, text: (table, text | {key: value}))
    done = simulate(layout, files, 0.5)
    (told,) = [f for f in done.findings if f.code == "simulation.file"]
    assert told.status == "warn" and f"heights.png says {key} {value}, not " in told.text


@pytest.mark.parametrize("key", ["pixel", "diameter", "stepover"])
@pytest.mark.parametrize("value", ["1e-9", "1e9", "nan", "wide"])
def test_a_grid_with_a_number_that_cannot_be_is_refused(files, key, value):
    """Of some the arrays would fill the memory."""
    front = grid_of(files, "front")
    repainted(front, lambda table, text: (table, text | {key: value}))
    with pytest.raises(FileError, match=f"of its {key}, no number that can be"):
        read_heights(front)


def test_too_wide_a_step_leaves_ridges(layout, files):
    """6 mm apart a ball of 12.7 leaves R - sqrt(R^2 - 9) = 0.75 mm."""
    repainted(grid_of(files, "front"), lambda table, text: (table, text | {"stepover": "6"}))
    wrong = found(layout, files)
    _, deep = wrong["left"][("contour.arm",)]
    assert 0.3 < deep < 1.1
    assert 6.35 - math.sqrt(6.35**2 - 9.0) == pytest.approx(0.75, abs=0.01)


def test_a_smaller_ball_than_the_grid_was_made_for_gouges_nothing(layout, files):
    repainted(grid_of(files, "front"), lambda table, text: (table, text | {"diameter": "6"}))
    assert "gouge" not in found(layout, files)


@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        ("tool", "", "no tool"),
        ("pixel", "0", "pixel"),
        ("x", "nan", "its x"),
        ("stepover", "", "step"),
    ],
)
def test_a_grid_that_does_not_say_how_it_is_cut_is_refused(layout, files, key, value, told):
    repainted(grid_of(files, "front"), lambda table, text: (table, text | {key: value}))
    with pytest.raises(FileError, match=told):
        simulate(layout, files, 0.5)


def test_a_picture_of_8_bits_is_refused(files):
    from PIL import Image

    path = grid_of(files, "front")
    Image.fromarray(np.zeros((20, 20), np.uint8)).save(path)
    with pytest.raises(FileError, match="16 bits"):
        read_heights(path)


def test_without_a_ball_nose_contours_are_made_by_hand(layout, sound):
    plain = replace(layout, shop=Shop(cutters=(Cutter(6.35, 32.0), Cutter(12.7, 51.0))))
    done = simulate(plain, sound, 0.5)
    (told,) = [f for f in done.findings if f.code == "simulation.hand"]
    assert {"contour.arm", "contour.belly"} <= set(told.subjects)
    assert not any(f.status == "fail" for f in done.findings)


@pytest.mark.parametrize("zero", ["pin", "corner", "centre"])
def test_wherever_the_zero_lies_the_pins_bring_it_to_the_same_wood(layout, tmp_path, zero):
    moved = replace(layout, shop=Shop(zero=zero))
    assert found(moved, written(moved, tmp_path), 0.2) == {}


@pytest.mark.parametrize("pitch", (0.2, 0.1))
def test_an_edge_that_no_bit_makes_is_followed_down_to_its_foot(tmp_path, pitch):
    """On a shelf beside the outline the ball would stand on its side and leave a fillet."""
    layout = block(
        skin=Skin(rectangle(76.0, 52.0, 10.0), T, Square(), Roundover(5.0)), shop=Shop(bits=())
    )
    done = simulate(layout, written(layout, tmp_path), pitch)
    assert [f.text for f in done.findings if f.status not in ("pass", "skip")] == []


def test_an_edge_that_no_bit_makes_and_no_grid_is_left(tmp_path):
    layout = block(
        skin=Skin(rectangle(76.0, 52.0, 10.0), T, Square(), Roundover(5.0)), shop=Shop(bits=())
    )
    files = written(layout, tmp_path)
    for path in files.glob("*-heights.*"):
        path.unlink()
    (left,) = [f for f in simulate(layout, files, 0.2).findings if f.code == "simulation.left"]
    assert left.status == "fail" and left.subjects == ("body.back.edge",)
