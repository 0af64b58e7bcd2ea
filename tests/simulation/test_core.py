"""A core that runs on as the neck is not sawn off: its programs pass, and one whose outline is
closed across it is found, on the core."""

from __future__ import annotations

import ezdxf
import pytest

from bodycad.exports.simulation import simulate
from tests.parts.test_neck_through import design

PITCH = 0.5


@pytest.fixture(scope="module")
def layout():
    return design().layout()


def wrong(layout, files) -> list:
    done = simulate(layout, files, PITCH)
    return [one for one in done.findings if one.code in ("simulation.left", "simulation.gouge")]


def test_the_programs_leave_the_neck_on(layout, sound):
    assert {f.status for f in wrong(layout, sound)} == {"pass"}


@pytest.mark.parametrize("operation", ["_OUTLINE_", "_EDGE_"])
def test_a_way_that_is_closed_across_the_core_saws_it(layout, files, operation):
    (path,) = files.glob("*-back-cam.dxf")
    doc = ezdxf.readfile(path)
    (line,) = (e for e in doc.modelspace() if operation in e.dxf.layer)
    line.closed = True
    doc.saveas(path)
    found = [f for f in wrong(layout, files) if f.code == "simulation.gouge" and f.at]
    (x, y, _), _ = max(found, key=lambda f: f.value).at
    assert abs(y) < 33.0 and x > layout.body.neck.box[0]
