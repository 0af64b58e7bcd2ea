"""Cutting programs as written leave what they should; each way to spoil them is found, with its
place. The files are edited; the layout never is."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace

import ezdxf
import numpy as np
import pytest

from bodycad.errors import FileError
from bodycad.exports.dxf.document import APPID
from bodycad.exports.dxf.job import read_job
from bodycad.exports.simulation import simulate
from tests.simulation.bodies import T, block, edited, mirrored, shifted, written

MARKS = ("DATUM", "CHECK")


@pytest.fixture(scope="module")
def layout():
    return block()


def spoil(files, face, change):
    """Edit the cuts of a face, not its marks."""
    (path,) = files.glob(f"*-{face}-cam.dxf")
    edited(path, lambda layer, rows: (layer, rows) if layer in MARKS else change(layer, rows))


def found(layout, files, pitch=0.2):
    """What fails, by code: subjects, the worst place, and how deep."""
    done = simulate(layout, files, pitch)
    wrong: dict[str, dict] = {}
    for one in done.findings:
        if one.status in ("fail", "error", "warn"):
            at = one.at[0] if one.at else None
            wrong.setdefault(one.code.removeprefix("simulation."), {})[one.subjects] = (
                at,
                one.value,
            )
    return wrong


def test_the_files_as_written_leave_nothing_and_gouge_nothing(layout, sound):
    done = simulate(layout, sound)
    assert [f.status for f in done.findings if f.status not in ("pass", "skip")] == []
    (piece,) = done.pieces
    assert not piece.compared.left_at and not piece.compared.gouged_at
    # What is within tolerance is the border of cells, not a hidden floor.
    assert max(piece.compared.within) < 60.0
    assert piece.tabs and done.report.exit_status == 0


def test_what_is_made_by_hand_is_named(layout, sound):
    (told,) = [f for f in simulate(layout, sound, 0.5).findings if f.code == "simulation.hand"]
    assert told.status == "skip" and told.subjects == ("wire",) and "1 of body" in told.text


def test_a_cutter_that_is_too_large_leaves_the_corners(layout, files):
    """12.7 mm into corners of 3.5 mm: what is left reaches R = 6.35 mm along either wall."""

    def larger(layer, rows):
        return (re.sub(r"(POCKET_D0800|REST_D0800)_DIA\d+", r"\1_DIA1270", layer), rows)

    spoil(files, "front", larger)
    wrong = found(layout, files)
    assert wrong.keys() >= {"left"} and "gouge" not in wrong
    ((x, y, z), deep) = wrong["left"][("route",)]
    assert abs(abs(x - 14.0) - 13.0) < 6.35 and abs(abs(y - 8.0) - 7.0) < 6.35
    assert deep == pytest.approx(8.0, abs=0.06) and z == pytest.approx(-4.0, abs=0.1)


def test_a_cutter_wider_than_the_pocket_takes_nothing_and_all_is_left(layout, files):
    spoil(files, "back", lambda layer, rows: (re.sub(r"(D1100_DIA)\d+", r"\g<1>3000", layer), rows))
    wrong = found(layout, files)
    _, deep = wrong["left"][("cavity",)]
    assert deep == pytest.approx(11.0 - 2.5, abs=0.06)


def test_swapped_depths_are_gouged_in_the_one_cut_and_left_in_the_other(layout, files):
    """The shallow route goes as deep as the one within it, and that no deeper than the route; where
    the route lies it is as deep anyway, so that the deep one's own floor is right."""
    swap = {"D0800": "D1200", "D1200": "D0800"}

    def change(layer, rows):
        return (re.sub("|".join(swap), lambda m: swap[m[0]], layer), rows)

    spoil(files, "front", change)
    wrong = found(layout, files)
    assert wrong["gouge"][("route",)][1] == pytest.approx(4.0 - 0.05, abs=0.01)
    told = " ".join(name for names in wrong["file"] for name in names)
    assert told.endswith("-front-cam.dxf"), "its data still says the old depth"


def test_a_hole_with_the_depth_of_another_is_found(layout, files):
    swap = {"BORE_D0900": "BORE_D0400"}

    def change(layer, rows):
        return (re.sub("|".join(swap), lambda m: swap[m[0]], layer), rows)

    spoil(files, "front", change)
    wrong = found(layout, files)
    at, deep = wrong["left"][("shaft",)]
    assert deep == pytest.approx(5.0, abs=0.06) and at[2] == pytest.approx(-6.5, abs=0.1)


def test_a_depth_off_by_a_fifth_of_a_millimetre_is_told(layout, files):
    spoil(files, "front", lambda layer, rows: (layer.replace("_D1200_", "_D1220_"), rows))
    wrong = found(layout, files)
    at, deep = wrong["gouge"][("deep",)]
    assert deep == pytest.approx(0.2 - 0.05, abs=0.01) and at[2] == pytest.approx(-12.1, abs=0.1)


def test_a_back_that_is_not_drawn_as_seen_from_the_back_is_wrong(layout, files):
    """Its pins do not go onto the wood's, and its cuts lie on the wrong side."""
    (path,) = files.glob("*-back-cam.dxf")
    edited(path, lambda layer, rows: (layer, mirrored(rows)))
    wrong = found(layout, files)
    (off,) = wrong["pins"].values()
    assert off[1] > 10.0
    assert ("cavity",) in wrong["left"] or ("lid",) in wrong["left"]
    assert wrong["gouge"]
    deepest = max(deep for _, deep in wrong["gouge"].values())
    assert deepest > 8.0


def test_cuts_alone_that_are_not_mirrored_are_found_though_the_pins_are_right(layout, files):
    spoil(files, "back", lambda layer, rows: (layer, mirrored(rows)))
    wrong = found(layout, files)
    assert "pins" not in wrong
    assert wrong["left"] and wrong["gouge"]


@pytest.mark.parametrize("by", [0.3, 2.0])
def test_a_zero_that_is_off_is_found_by_its_walls(layout, files, by):
    """Three tenths are three cells: a wall a cell off is allowed, no more."""
    spoil(files, "front", lambda layer, rows: (layer, shifted(rows, by, 0.0)))
    wrong = found(layout, files, 0.1)
    assert ("route",) in wrong["left"] and ("route",) in wrong["gouge"]
    (x, _, _), deep = wrong["gouge"][("route",)]
    assert x == pytest.approx(27.0 + by / 2.0, abs=by / 2.0 + 0.1) and deep > 7.9
    (x, _, _), deep = wrong["left"][("route",)]
    assert x == pytest.approx(1.0 + by / 2.0, abs=by / 2.0 + 0.1) and deep > 7.9


def test_a_file_that_is_moved_with_its_pins_is_the_same_cutting(layout, files):
    """Where the zero lies does not matter: the pins say where the file lies on the wood."""
    (path,) = files.glob("*-front-cam.dxf")
    edited(path, lambda layer, rows: (layer, shifted(rows, 30.0, -12.0)))
    assert found(layout, files) == {}


def test_a_pin_that_is_off_is_told(layout, files):
    (path,) = files.glob("*-back-cam.dxf")

    def change(layer, rows):
        off = layer == "DATUM" and len(rows) == 1 and abs(rows[0, 1]) > 1.0
        return (layer, shifted(rows, 0.4, 0.0) if off else rows)

    edited(path, change)
    wrong = found(layout, files)
    ((at, off),) = wrong["pins"].values()
    assert off == pytest.approx(0.4, abs=0.01) and at[1] == pytest.approx(40.0)


@pytest.mark.parametrize(
    ("face", "layer"), [("front", "D1200"), ("back", "PILOT"), ("back", "EDGE")]
)
def test_a_missing_layer_is_left(layout, files, face, layer):
    spoil(files, face, lambda name, rows: None if layer in name else (name, rows))
    wrong = found(layout, files)
    owner = {"D1200": "deep", "PILOT": "pilot", "EDGE": "body.back.edge"}[layer]
    assert list(wrong["left"]) == [(owner,)] and "gouge" not in wrong


def test_a_missing_outline_leaves_the_piece_in_its_blank(layout, files):
    spoil(files, "back", lambda name, rows: None if "OUTLINE" in name else (name, rows))
    wrong = found(layout, files)
    _, deep = wrong["left"][("body.outline",)]
    assert deep == pytest.approx(T - 3.0, abs=0.1), "but for what the roundover takes"


def test_a_pocket_three_tenths_too_wide_gouges_its_wall(layout, files):
    def wider(layer, rows):
        if "D0250" not in layer:
            return (layer, rows)
        right = rows[:, 0] > -16.0
        return (layer, np.where(right[:, None], shifted(rows, 0.3, 0.0), rows))

    spoil(files, "back", wider)
    wrong = found(layout, files, 0.1)
    assert wrong.keys() == {"gouge"}
    ((x, _, z), deep) = wrong["gouge"][("lid",)]
    assert x == pytest.approx(-2.0 + 0.2, abs=0.15) and deep == pytest.approx(2.5, abs=0.06)
    assert z == pytest.approx(-T + 1.25, abs=0.1)


def test_cells_too_coarse_for_walls_pass_nothing(layout, sound):
    """Walls three tenths off are within one cell there: what cannot be seen is not said to be
    right."""
    for pitch, status in ((0.2, "pass"), (0.3, "warn"), (1.0, "warn")):
        done = simulate(layout, sound, pitch)
        (told,) = [f for f in done.findings if f.code == "simulation.pitch"]
        assert told.status == status and f"one cell of {pitch:g} mm" in told.text
        assert done.report.verdict == status


def test_a_hole_that_does_not_come_through_leaves_a_skin(layout, files):
    spoil(files, "front", lambda layer, rows: (layer.replace("_D2000_", "_D1200_"), rows))
    wrong = found(layout, files)
    at, deep = wrong["left"][("through",)]
    assert deep > 2.0 and at[:2] == pytest.approx((-24.0, 13.0), abs=1.6)


def test_a_face_that_is_missing_is_refused(layout, files):
    (path,) = files.glob("*-back-cam.dxf")
    path.unlink()
    with pytest.raises(FileError, match="is missing: the back of body"):
        simulate(layout, files)


def test_a_face_in_the_others_place_is_refused(layout, files):
    (front,), (back,) = files.glob("*-front-cam.dxf"), files.glob("*-back-cam.dxf")
    shutil.copy(front, back)
    with pytest.raises(FileError, match="is of the front face, not the back"):
        simulate(layout, files)


def test_files_of_another_revision_or_hand_are_told(layout, files):
    later = replace(layout, revision="2")
    told = [f.text for f in simulate(later, files, 0.5).findings if f.code == "simulation.file"]
    assert len(told) == 2 and all("says revision 1, not 2" in text for text in told)


def test_a_layer_that_says_no_cut_is_refused(files):
    spoil(files, "front", lambda layer, rows: (layer.replace("FRONT_POCKET", "POCKET"), rows))
    (front,) = files.glob("*-front-cam.dxf")
    with pytest.raises(FileError, match="not named as a cut"):
        read_job(front)


@pytest.mark.parametrize("key", ["depth", "diameter", "point"])
def test_a_text_in_the_place_of_a_number_is_refused(files, key):
    (front,) = files.glob("*-front-cam.dxf")
    doc = ezdxf.readfile(front)
    for entity in doc.modelspace():
        carried = entity.get_xdata(APPID) if entity.has_xdata(APPID) else ()
        tags = [(tag.code, tag.value) for tag in carried if tag.code != 1001]
        keys = [value for _, value in tags]
        if key in keys and entity.dxf.layer not in MARKS:
            tags[keys.index(key) + 1] = (1000, "deep")
            entity.set_xdata(APPID, tags)
    doc.saveas(front)
    with pytest.raises(FileError, match=f"says {key} 'deep', which is no number"):
        read_job(front)


def test_a_left_handed_block_is_cut_as_well(tmp_path):
    mirrored_block = block(left_handed=True)
    assert found(mirrored_block, written(mirrored_block, tmp_path), 0.2) == {}


def tab_over(files, face, rows, depth):
    """Draw one more TAB on a face."""
    (path,) = files.glob(f"*-{face}-cam.dxf")
    doc = ezdxf.readfile(path)
    layer = f"{face.upper()}_TAB_D{round(100 * depth):04d}"
    doc.layers.add(layer)
    doc.modelspace().add_lwpolyline(rows, close=True, dxfattribs={"layer": layer})
    doc.saveas(path)


@pytest.mark.parametrize("cut_face", ["front", "back"])
def test_a_tab_over_the_whole_block_excuses_nothing(layout, files, cut_face):
    """One TAB at depth 0 over all of it, and every pocket and hole of a face deleted."""
    (outlined,) = [p for p in files.glob("*-cam.dxf") if "_OUTLINE_" in p.read_text()]
    side = "front" if "-front-" in outlined.name else "back"
    spoil(files, cut_face, lambda layer, rows: (layer, rows) if keeps(layer) else None)
    tab_over(files, side, [(-90.0, -90.0), (90.0, -90.0), (90.0, 90.0), (-90.0, 90.0)], 0.0)
    done = simulate(layout, files, 0.2)
    assert done.report.exit_status == 1
    lost = {"front": ("route",), "back": ("cavity",)}[cut_face]
    failed = {f.subjects: f for f in done.findings if f.code == "simulation.left"}
    assert failed[lost].status == "fail" and failed[lost].value > 7.9
    assert failed[("body.outline",)].status == "fail"
    told = [f for f in done.findings if f.code == "simulation.file"]
    assert len(told) == 1 and told[0].subjects == (outlined.name,) and told[0].at
    assert "is none of the design's" in told[0].text


def keeps(layer):
    return any(word in layer for word in ("_OUTLINE_", "_TAB_", "_EDGE_"))


def test_a_tab_that_stands_higher_than_the_shops_is_left(layout, files):
    """2 mm less deep than the layout has it: so much wood is left beside the outline, and told."""
    (outlined,) = [p for p in files.glob("*-cam.dxf") if "_OUTLINE_" in p.read_text()]
    side = "front" if "-front-" in outlined.name else "back"

    def higher(layer, rows):
        return (re.sub(r"_TAB_D1600", "_TAB_D1400", layer), rows)

    spoil(files, side, higher)
    wrong = found(layout, files, 0.2)
    _, deep = wrong["left"][("body.outline",)]
    assert deep == pytest.approx(2.0 - 0.05, abs=0.01)
    assert list(wrong["file"]) == [(outlined.name,)]


def test_a_tab_that_is_gone_is_told(layout, files):
    """Nothing is left that should go, and nothing holds the piece."""
    (outlined,) = [p for p in files.glob("*-cam.dxf") if "_OUTLINE_" in p.read_text()]
    side = "front" if "-front-" in outlined.name else "back"
    spoil(files, side, lambda layer, rows: None if "_TAB_" in layer else (layer, rows))
    wrong = found(layout, files, 0.2)
    assert wrong.keys() == {"file"} and list(wrong["file"]) == [(outlined.name,)]


def test_files_with_pins_on_wood_that_has_none_are_another_designs(layout, files):
    body = replace(layout.body, blank=replace(layout.body.blank, pins=()))
    bare = replace(layout, pieces=(body, *layout.pieces[1:]))
    told = [f for f in simulate(bare, files, 0.5).findings if f.code == "simulation.pins"]
    assert {f.status for f in told} == {"fail"} and "has none" in told[0].text
