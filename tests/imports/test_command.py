"""`bodycad outline FILE`: figures of shapes known by hand, the picture, and a line of script that
runs as printed."""

from __future__ import annotations

import json
import math
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from bodycad import InputError
from bodycad.cli import main
from bodycad.geometry.plane.build import circle, rectangle, slot
from bodycad.geometry.plane.profile import profile
from bodycad.imports.figures import asymmetry, figures, narrowest
from bodycad.script import load_design
from tests.imports.drawn import BODY, dxf, svg

README = Path(__file__).resolve().parents[2] / "README.md"


def asked(capsys, *words) -> tuple[int, str, str]:
    status = main(["outline", *map(str, words)])
    told = capsys.readouterr()
    return status, told.out, told.err


def waisted(width=80.0):
    """Two rooms 140 mm wide and a waist `width` mm wide between them."""
    half = width / 2
    upper = [(200, 150), (60, 150), (20, half), (-20, half), (-60, 150), (-200, 150)]
    return profile([*[(x, -y) for x, y in upper[::-1]], *upper])


def test_the_narrowest_neck_of_wood():
    for width in (12.0, 80.0, 133.3):
        found, (x, y) = narrowest(waisted(width))
        assert found == pytest.approx(width, abs=0.05)
        assert abs(x) <= 21 and abs(y) < 1
    for whole in (circle(300), slot(400, 200), rectangle(300, 200)):
        assert narrowest(whole) is None


def test_symmetry_is_the_farthest_that_it_is_off_its_mirror_image():
    assert asymmetry(waisted()) < 1e-9
    assert asymmetry(rectangle(300, 200, y=2.5)) == pytest.approx(5.0)


def test_the_tightest_hollow():
    """A bite of radius 4 in the side of a rectangle: the least cutter has 3.175."""
    bite = profile([(-150, -100), (150, -100), (150, 100), (4, 100, -1.0), (-4, 100), (-150, 100)])
    found = figures(bite)
    assert found.inside == pytest.approx(4.0) and found.inside_at == pytest.approx((0, 96))
    dent = profile(
        [
            (-150, -100),
            (150, -100),
            (150, 60),
            (104, 60, -math.tan(math.pi / 8)),
            (100, 64),
            (100, 100),
            (-150, 100),
        ]
    )
    found = figures(dent)
    assert found.inside == pytest.approx(4.0)
    assert figures(rectangle(300, 200)).inside is None


def test_the_figures_that_are_printed(tmp_path, capsys):
    def draw(document, space):
        space.add_lwpolyline([(x / 25.4, y / 25.4) for x, y in BODY], close=True)

    path = dxf(tmp_path / "a.dxf", draw, units=1)
    status, out, err = asked(capsys, path, "--out", tmp_path / "out", "--json")
    told = json.loads(out)
    assert (status, err) == (0, "")
    assert told["outline"]["area"] == pytest.approx(370 * 300)
    assert told["outline"]["around"] == pytest.approx(1340)
    assert told["outline"]["asymmetry"] < 1e-9 and told["outline"]["neck"] is None
    assert told["fit_error"] < 1e-9 and told["scale"] == 25.4 and told["layers"] == ["0"]
    drawn = ET.parse(told["picture"]).getroot()
    assert drawn.get("viewBox") and (tmp_path / "out" / "a-outline.svg").exists()
    status, out, _ = asked(capsys, path, "--out", tmp_path / "out")
    for words in (
        "370.00 mm along the neck, 300.00 mm across",
        "1110.00 cm2",
        "0 arcs and 4 lines",
    ):
        assert words in out
    assert out.rstrip().endswith("outline = outline_from(Drawing('a.dxf'))")


def test_what_no_cutter_follows_is_exit_status_1(tmp_path, capsys):
    bite = '<path d="M20 20H400V300H230A2 2 0 0 0 226 296V296L20 296Z"/>'
    status, out, _ = asked(capsys, svg(tmp_path / "a.svg", bite), "--out", tmp_path)
    assert status == 1 and "DOES NOT FOLLOW IT" in out
    # The hollow begins at (230, 296) of the page, y down: it is told as x and y of the body.
    assert re.search(r"^places +x, y of the body", out, re.M)
    assert re.search(r"^tightest hollow .* at \(230\.0, -296\.0\)", out, re.M)
    assert "the drawing's numbers are mm from its page's top left corner, y down" in out


def test_the_printed_line_runs_in_a_script_beside_the_file(tmp_path, capsys, monkeypatch):
    """From wherever the command is run: the path counts from the script's folder."""

    def draw(document, space):
        spots = [
            (20 * math.cos(t / 20 * math.tau), 15 * math.sin(t / 20 * math.tau)) for t in range(21)
        ]
        space.add_spline(
            fit_points=[(x + 5, y + 7, 0) for x, y in spots], dxfattribs={"layer": "it's"}
        )
        space.add_line((5, -20), (5, 40), dxfattribs={"layer": "C L"})

    path = dxf(tmp_path / "a.dxf", draw, units=0)
    words = (
        "--layer", "it's", "--units", "cm", "--neck", "up", "--seen", "back", "--centreline", "c l",
        "--origin", "5,7", "--tolerance", "0.05", "--gap", "0.5",
    )  # fmt: skip
    status, out, _ = asked(capsys, path, "--out", tmp_path, *words)
    assert status == 0
    line = out.rstrip().splitlines()[-1]
    text = (
        "from bodycad import *\nfrom designs import teasel\nfrom dataclasses import replace\n"
        f"def design() -> Design:\n    {line}\n    made = teasel.design()\n"
        "    return replace(made, skin=replace(made.skin, outline=outline))\n"
    )
    (tmp_path / "body.py").write_text(text)
    monkeypatch.chdir("/")
    made = load_design(tmp_path / "body.py").skin.outline
    told = json.loads(asked(capsys, path, "--out", tmp_path, "--json", *words)[1])
    assert made.vertices.tolist() == told["outline"]["vertices"]


def test_the_line_of_the_readme_runs(tmp_path):
    """Beside the drawing that it names."""
    line = re.search(r"```python\n(outline = outline_from\(.*?\n)```", README.read_text(), re.S)[1]
    (tmp_path / "sorrel.svg").write_bytes((README.parent / "designs" / "sorrel.svg").read_bytes())
    script = tmp_path / "body.py"
    script.write_text(f"from bodycad import *\n{line}")
    known = {}
    exec(compile(script.read_text(), str(script), "exec"), known)
    assert known["outline"].contains(0.0, 0.0)


def test_a_refusal_in_a_script_names_its_line(tmp_path):
    text = "from bodycad import *\ndef design() -> Design:\n    outline_from(Drawing('none.svg'))\n"
    (tmp_path / "body.py").write_text(text)
    with pytest.raises(InputError, match=r"none.svg is 'not there'.*body.py, line 3"):
        load_design(tmp_path / "body.py")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--units", "furlong"], "the units of the drawing"),
        (["--gap", "wide"], "--gap is 'wide'"),
        (["--gap", "9"], "the gap of the drawing"),
        (["--reference", "1,2,3"], "5 numbers with commas"),
        (["--neck", "east"], "right, up, left"),
        (["--origin", "nan,1"], "origin"),
    ],
)
def test_a_word_that_is_none_is_one_line(words, told, tmp_path, capsys):
    status, out, err = asked(capsys, tmp_path / "a.dxf", *words)
    assert status == 2 and out == "" and told in err and err.count("\n") == 1


def test_an_outline_beside_its_centreline_is_told_so(capsys, tmp_path):
    """Its distance to a mirror image on the other side would be no word about its symmetry."""
    sorrel = str(Path(__file__).parents[2] / "designs" / "sorrel.svg")
    placed = ["--centreline", "centreline", "--scale-line", "scale"]
    for more, words in (([], "beside its centreline"), (placed, "49.039 mm off its mirror image")):
        given = ["outline", sorrel, "--layer", "body", "--neck", "up", *more]
        assert main([*given, "--out", str(tmp_path)]) == 0
        assert words in capsys.readouterr().out
