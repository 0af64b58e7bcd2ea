"""`bodycad simulate` and `build --simulate`: what they print, write and say by their status."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from bodycad.checks.report import Report
from bodycad.cli.entry import main
from bodycad.exports import files
from bodycad.exports.simulation import picture_of, simulate, write_programs
from bodycad.exports.simulation_picture import GOUGED, LEFT, picture, write_picture
from bodycad.script import load_design
from tests.simulation.bodies import block, edited, written

DESIGN = Path(__file__).resolve().parents[2] / "designs" / "yarrow.py"
"""The gallery's smallest body with a contour."""


@pytest.fixture(scope="module")
def programs(tmp_path_factory):
    folder = tmp_path_factory.mktemp("cam")
    write_programs(load_design(DESIGN).layout(), folder)
    return folder


def run(capsys, *words):
    status = main(["simulate", str(DESIGN), "--pitch", "0.5", *words])
    told = capsys.readouterr()
    return status, told.out, told.err


def test_a_design_of_the_gallery_is_warned_of_at_a_coarse_pitch_alone(capsys, programs, tmp_path):
    status, out, err = run(capsys, "--cam", str(programs), "--out", str(tmp_path))
    assert (status, err) == (0, "") and "yarrow: WARN" in out
    assert re.search(r"^body: \d+ x \d+ cells of 0.5 mm, [\d.]+ cm3 of wood left$", out, re.M)
    assert out.count("are judged to one cell of 0.5 mm: one off by less than 1 mm may pass") > 1
    assert "gouged: 0.0 mm3" in out and "not simulated, made by hand: 8 of body" in out
    with Image.open(tmp_path / picture_of("yarrow")) as image:
        assert image.width > 600


def test_spoiled_files_fail_with_their_place_as_json(capsys, programs, tmp_path):
    spoilt = tmp_path / "cam"
    shutil.copytree(programs, spoilt)
    front = spoilt / "yarrow-front-cam.dxf"
    edited(
        front, lambda layer, rows: None if "neck" in layer or "POCKET" in layer else (layer, rows)
    )
    words = "--cam", str(spoilt), "--out", str(tmp_path), "--json", "--pitch", "1"
    status, out, _ = run(capsys, *words)
    document = json.loads(out)
    assert status == 1 and document["verdict"] == "fail" and document["units"] == "mm"
    wrong = [f for f in document["findings"] if f["status"] == "fail"]
    assert wrong and all(f["at"] for f in wrong)
    assert document["pieces"][0]["left"] > 10_000.0


def test_a_folder_that_is_not_there_and_a_bad_pitch_are_one_line(capsys, tmp_path):
    for words, told in (
        (("--cam", str(tmp_path / "none")), "--cam"),
        (("--pitch", "fine"), "--pitch"),
        (("--pitch", "7"), "--pitch"),
    ):
        status, out, err = run(capsys, *words)
        assert (status, out) == (2, "") and told in err and err.count("\n") == 1


def test_a_picture_shows_what_is_wrong_and_is_the_same_each_time(tmp_path):
    layout = block()
    files = written(layout, tmp_path)
    right = picture(simulate(layout, files, 0.2))
    assert not has(right, LEFT, 200) and not has(right, GOUGED, 200)
    (path,) = files.glob("*-back-cam.dxf")
    edited(path, lambda layer, rows: None if "D1100" in layer else (layer, rows))
    (path,) = files.glob("*-front-cam.dxf")
    edited(path, lambda layer, rows: (layer.replace("_D0800_", "_D0900_"), rows))
    done = simulate(layout, files, 0.2)
    wrong = picture(done)
    assert has(wrong, LEFT, 1000) and has(wrong, GOUGED, 1000)
    one, two = (write_picture(done, tmp_path / name).read_bytes() for name in ("a.png", "b.png"))
    assert one == two


def has(image, colour, count):
    """Whether at least so many pixels beyond the legend's have a colour."""
    return int((np.array(image) == np.array(colour)).all(axis=2).sum()) > 300 + count


def test_a_build_that_simulates_names_the_picture_and_adds_findings(tmp_path):
    """The step of a build that simulates, on files that it has written."""
    layout = block()
    assert set(files.names(layout, simulate=True)) - set(files.names(layout)) == {
        picture_of(layout.name)
    }
    steps: list[str] = []
    report = files._simulated(Report(layout, (), ()), written(layout, tmp_path), steps.append)
    codes = {f.code: f.status for f in report.findings}
    assert codes["simulation.left"] == codes["simulation.gouge"] == "pass"
    assert (tmp_path / picture_of(layout.name)).read_bytes().startswith(b"\x89PNG")
    assert steps == ["cutting body"]
