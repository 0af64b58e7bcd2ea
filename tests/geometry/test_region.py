"""The shapely door: polygons, the broad phase, and that nobody else goes through it."""

import ast
import math
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import bodycad.geometry
from bodycad.errors import InputError
from bodycad.geometry.plane.boolean import difference
from bodycad.geometry.plane.build import circle, rectangle, rounded
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.plane.region import near_pairs, polygon

lawful = settings(deadline=None, max_examples=60, derandomize=True)

HOME = Path(bodycad.geometry.__file__).parent


def test_polygon_of_a_circle_is_inscribed_within_the_sagitta():
    # Inscribed n-gon: area ratio sin(2 pi/n) / (2 pi/n) (elementary); R 50 at 0.01 mm needs 158
    # chords.
    made = polygon(circle(100.0), 0.01)
    n = len(made.exterior.coords) - 1
    assert 158 <= n <= 159
    assert made.area == pytest.approx(
        2500 * math.pi * math.sin(2 * math.pi / 158) / (2 * math.pi / 158), rel=1e-5
    )
    assert polygon(circle(100.0), 0.0001).area == pytest.approx(2500 * math.pi, rel=4e-6)


def test_polygon_keeps_the_holes_of_a_region():
    (region,) = difference(rectangle(80, 40, 5), circle(20), circle(10, 25, 0))
    made = polygon(region, 1e-4)
    assert len(made.interiors) == 2 and made.area == pytest.approx(region.area, abs=1e-4 * 300)


def test_nothing_is_repaired():
    bow_tie = Profile(np.array([(0, 0, 0), (10, 10, 0), (10, 0, 0), (0, 10, 0)], float))
    with pytest.raises(InputError, match="the bow.*Self-intersection.*5 5"):
        polygon(bow_tie, name="the bow")
    for sagitta in (0.0, -0.1, math.nan):
        with pytest.raises(InputError, match="sagitta"):
            polygon(circle(10), sagitta)


coordinate = st.one_of(st.floats(-50, 50), st.integers(-5, 5).map(lambda k: 10.0 * k))
size = st.one_of(st.just(0.0), st.floats(0, 20), st.just(10.0))
reach = st.one_of(st.just(0.0), st.floats(0, 15), st.just(10.0))


def spacing(low: np.ndarray, high: np.ndarray, i: int, j: int) -> float:
    return float(np.linalg.norm(np.maximum(np.maximum(low[i] - high[j], low[j] - high[i]), 0.0)))


@lawful
@given(
    st.lists(st.tuples(*[coordinate] * 3, *[size] * 3), min_size=1, max_size=25),
    reach,
    st.booleans(),
)
def test_near_pairs_equal_the_plain_double_loop(rows, distance, flat):
    v = np.array(rows)
    low, high = v[:, :3], v[:, :3] + v[:, 3:]
    boxes = np.column_stack([low[:, :2], high[:, :2], low[:, 2], high[:, 2]])
    if flat:
        boxes, low, high = boxes[:, :4], low[:, :2], high[:, :2]
    got = [tuple(map(int, p)) for p in near_pairs(boxes, distance)]
    assert got == sorted(set(got)) and all(i < j for i, j in got)
    apart = {(i, j): spacing(low, high, i, j) for i in range(len(v)) for j in range(i + 1, len(v))}
    assert (
        {p for p, d in apart.items() if d <= distance}
        <= set(got)
        <= {p for p, d in apart.items() if d <= distance + 2e-9}
    )


def test_height_tells_boxes_apart():
    boxes = [(0, 0, 10, 10, -20, -15), (12, 0, 22, 10, -10, 0), (3, 3, 4, 4, -4, 0)]
    assert near_pairs(np.array(boxes)[:, :4], 3.0).tolist() == [[0, 1], [0, 2]]
    # 2 mm aside and 5 mm above: sqrt(29) = 5.385 apart.
    assert near_pairs(np.array(boxes), 5.38).tolist() == []
    assert near_pairs(np.array(boxes), 5.39).tolist() == [[0, 1]]
    assert near_pairs(np.array(boxes), 11.0).tolist() == [[0, 1], [0, 2], [1, 2]]


def test_boxes_without_an_area_are_found():
    assert near_pairs(np.array([[0, 0, 0, 0], [0, 1, 0, 1], [3, 0, 3, 9.0]]), 1.5).tolist() == [
        [0, 1]
    ]


def test_bad_boxes_are_refused():
    assert near_pairs(np.zeros((0, 4)), 1.0).shape == (0, 2)
    for boxes in (
        [[0, 0, 1]],
        [0, 0, 1, 1],
        [[0, 0, math.nan, 1]],
        [[1, 0, 0, 1]],
        [[0, 0, 1, 1, 5, 4]],
    ):
        with pytest.raises(InputError, match="boxes"):
            near_pairs(np.array(boxes, float), 1.0)
    for distance in (-1.0, math.nan, math.inf):
        with pytest.raises(InputError, match="distance"):
            near_pairs(np.array([[0, 0, 1, 1.0]]), distance)


def imports(tree: ast.AST) -> set:
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {name.name for name in node.names}
        elif isinstance(node, ast.ImportFrom):
            found.add(node.module)
    return found


@pytest.mark.parametrize("path", sorted(HOME.glob("*.py")), ids=lambda p: p.stem)
def test_geometry_imports_only_numpy_errors_and_itself(path):
    outside = {
        name
        for name in imports(ast.parse(path.read_text()))
        if not name.startswith("bodycad.geometry.")
        and name.split(".")[0] not in sys.stdlib_module_names
    }
    assert outside <= {"numpy", "bodycad.errors"} | (
        {"shapely"} if path.stem == "region" else set()
    )


def test_shapely_is_loaded_only_when_asked_for():
    code = (
        "import sys, bodycad.geometry.plane.region, bodycad.geometry.plane.outline, "
        "bodycad.geometry.plane.offset, bodycad.geometry.plane.boolean; "
        "assert 'shapely' not in sys.modules; bodycad.geometry.plane.region.near_pairs([[0, 0, 1, "
        "1]], 1.0); assert 'shapely' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True, cwd=HOME.parents[1])


def test_a_rounded_corner_flattens_inside_the_sharp_one():
    sharp, soft = (polygon(rounded([(0, 0), (40, 0), (0, 30)], r), 1e-3) for r in (0.0, 4.0))
    assert sharp.buffer(1e-9).contains(soft) and sharp.area > soft.area
