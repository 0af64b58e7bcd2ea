"""Tables of measured sizes: what a filled one puts in the place of defaults and claims, and that
each wrong row is refused with file and line."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from bodycad.checks.rules.claims import size_claim
from bodycad.cure.worker import Task, _bench
from bodycad.errors import InputError
from bodycad.instrument.neck import Heel
from bodycad.measuring.rows import entered, number_in, rows_of
from bodycad.measuring.table import SizeTable, opened
from bodycad.parts.bridge import Hardtail
from bodycad.parts.bridge_vibrato import ScrewVibrato
from bodycad.parts.cavity import Cover
from bodycad.parts.mount import DirectMount
from bodycad.parts.pickup import Humbucker, Soapbar
from bodycad.script import load, load_design, make
from bodycad.units import claimed, dimensions

ROOT = Path(__file__).parents[1]
HEAD = "name,value,unit,tolerance,note\ndesign,wren\n"
SCRIPT = """
from dataclasses import replace

import teasel
from bodycad import Heel, SizeTable, claimed


def design(sizes: SizeTable = SizeTable("wren-sizes.csv"), thickness: float = 44.0):
    claim = {"width_mouth": claimed(54.4), "width_end": 56.3, "length": 64.0}
    heel = sizes.of("neck.heel", Heel(**claim, corner=7.0, board_overlap=6.0))
    made = teasel.design(thickness=thickness)
    neck = replace(made.instrument.neck, heel=heel)
    return replace(made, name="wren", instrument=replace(made.instrument, neck=neck))
"""


def table(text: str, file: str = "wren-sizes.csv"):
    return opened(SizeTable(file), text.encode())


def heel(text: str, file: str = "wren-sizes.csv", **given):
    return table(text, file).of("neck.heel", Heel(**given))


@pytest.mark.parametrize(
    ("row", "value", "tolerance"),
    [
        ("neck.heel.width_mouth,54.4,mm", 54.4, 0.05),
        ("neck.heel.width_mouth,54.4,mm,0.1,by the jaws", 54.4, 0.1),
        ("neck.heel.width_mouth,2 3/16,in", 55.5625, 0.05),
        ("neck.heel.width_mouth,2-3/16,inch,1/64", 55.5625, 0.396875),
        ('neck.heel.width_mouth,2.1875,"""",0.002', 55.5625, 0.0508),
        ('neck.heel.width_mouth,"54,4",mm', 54.4, 0.05),
        ("neck.heel.width_mouth,54.4,mm,±0.1", 54.4, 0.1),
    ],
)
def test_a_row_becomes_a_measured_size(row, value, tolerance):
    found = heel(HEAD + row, width_mouth=claimed(55.0)).width_mouth
    assert found == pytest.approx(value, abs=1e-9)
    assert (found.origin, found.claim) == ("measured", 55.0)
    assert found.tolerance == pytest.approx(tolerance)


def test_what_a_spreadsheet_saves_is_read():
    text = "\ufeff# the neck;;;;\r\nname;value;unit;tolerance;note\r\n"
    text += "design;wren;;;\r\nneck.heel.length;64,25;mm;0,1;\r\nneck.heel.corner;;mm;;\r\n"
    found = heel(text)
    assert (found.length, found.length.tolerance) == (64.25, 0.1)
    assert found.corner.origin == "default"


def test_toml_says_the_same():
    text = 'design = "wren"\n"neck.heel.length" = { value = 64.0, unit = "mm", tolerance = 0.1 }\n'
    text += '"neck.heel.width_end" = { value = "2 1/4", unit = "in", note = "at the end" }\n'
    found = heel(text, "wren-sizes.toml")
    assert (found.length, found.length.tolerance, found.width_end) == (64.0, 0.1, 57.15)


def test_a_plain_number_counts_as_a_claim_and_a_default_does_not():
    rows = "neck.heel.length,64,mm\nneck.heel.width_end,56,mm\n"
    found = heel(HEAD + rows, length=65.0)
    assert found.length.claim == 65.0
    assert found.width_end.claim is None


def test_a_default_follows_what_was_measured():
    """A pickup's other sizes grow with poles that stand wider, also where a table says so."""
    plain = Humbucker(60.0)
    measured = table(HEAD + "pickup.pole_spacing,60,mm").of("pickup", Humbucker(49.5))
    assert measured.pole_spacing.origin == "measured"
    assert measured.feet_span == plain.feet_span > 83.0


def test_names_go_into_what_belongs_to_a_part():
    found = table(HEAD + "pickup.ring.length,91.5,mm").of("pickup", Humbucker(49.5))
    assert (found.ring.length, found.ring.length.origin) == (91.5, "measured")


def test_items_go_by_their_number():
    asked = table(HEAD)
    asked.of("cover", Cover())
    assert "cover.thickness" in asked.asked


def test_where_a_parts_screws_stand_is_asked_for_and_measured():
    """A plate's screws, those of a vibrato's pivot and a pickup's height screws, each by itself."""
    rows = "bridge.screws.2.u,30,mm\nbridge.screws.2.v,1.5,mm\npickup.mount.screws.1.v,-8,mm\n"
    asked = table(HEAD + rows)
    bridge = asked.of("bridge", Hardtail(52.5))
    assert bridge.screws[1] == (30.0, 1.5) and bridge.screws[0] == Hardtail(52.5).screws[0]
    origins = [[at.origin for at in spot] for spot in bridge.screws[:2]]
    assert origins == [["default"] * 2, ["measured"] * 2]
    pickup = asked.of("pickup", Soapbar(50.0, mount=DirectMount()))
    assert pickup.mount.screws == ((0.0, -8.0), (0.0, 10.0))
    asked.of("vibrato", ScrewVibrato(52.5))
    assert {"bridge.screws.5.u", "vibrato.screws.6.v", "pickup.mount.screws.2.u"} <= set(
        asked.asked
    )
    listed = {(d.part, d.name): d.origin for d in dimensions("bridge", bridge)}
    assert listed["bridge.screws.2", "u"] == "measured"
    assert listed["bridge.screws.3", "v"] == "default"


def test_a_measured_screw_beside_its_plate_is_refused_with_its_line():
    with pytest.raises(InputError, match=r"the v of a bridge's screw 2.*wren-sizes.csv, line 3"):
        table(HEAD + "bridge.screws.2.v,150,mm\n").of("bridge", Hardtail(52.5))


def test_what_was_asked_for_is_not_asked_for_again_by_another_name():
    asked = table(HEAD)
    from bodycad.instrument.neck import Neck

    given = asked.of("heel", Heel())
    asked.of("neck", Neck(643.0, 22, 42.0, 35.0, 56.0, heel=given))
    assert "heel.length" in asked.asked
    assert "neck.heel.length" not in asked.asked


def test_a_lone_number():
    text = HEAD + "stock.thickness,43.8,mm\n"
    assert table(text).value("stock.thickness", None, 20, 80) == 43.8
    assert table(HEAD).value("stock.thickness", None, 20, 80) is None
    assert table(HEAD).value("stock.thickness", 44.0, 20, 80) == 44.0
    with pytest.raises(InputError, match=r"20 to 40 mm \(wren-sizes.csv, line 3\)"):
        table(text).value("stock.thickness", None, 20, 40)


WRONG = {
    "neck.heel.length,six,mm": "the value of neck.heel.length is 'six'; allowed: a number of mm",
    "neck.heel.length,64": "the unit of neck.heel.length is ''",
    "neck.heel.length,64,furlong": "the unit of neck.heel.length is 'furlong'; allowed: mm or in",
    "neck.heel.length,640,mm": "the measured neck.heel.length is 640; allowed: 20 to 300 mm",
    "neck.heel.length,2.5,mm": "2.5 in would be 63.5 mm|20 to 300 mm. lengths are mm",
    "neck.heel.rod_width,0.25,mm": "0.25 in would be 6.3 mm: write in beside it",
    "neck.heel.length,64,mm,-1": "the tolerance of neck.heel.length is '-1'; allowed: 0 or more",
    "neck.heel.length,64,mm,wide": "the tolerance of neck.heel.length is 'wide'",
    "neck.heel.length,64,mm,0.1,note,more": "allowed: 5 cells",
    "neck heel length,64,mm": "the name of a row is 'neck heel length'",
    'neck.heel.length,64,"mm': "a row of the table",
    "neck.heel.length,1e999,mm": "the value of neck.heel.length is '1e999'",
    "neck.heel.length,3/0,in": "the value of neck.heel.length is '3/0'",
}


@pytest.mark.parametrize("row", WRONG)
def test_a_wrong_row_is_refused_with_file_and_line(row):
    with pytest.raises(InputError, match=WRONG[row]) as caught:
        heel(f"{HEAD}neck.heel.corner,,mm\n{row}\n")
    assert caught.value.place == "wren-sizes.csv, line 4"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is 'empty'"),
        ("name,value\n", "the table's head"),
        ("name,value,unit,size\n", "the table's head"),
        ("name,value,unit\nneck.heel.length,64,mm\n", "names no design"),
        (f"{HEAD}design,other\n", "allowed: named once"),
        (f"{HEAD}neck.heel.length,64,mm\nneck.heel.length,64,mm\n", "line 3 has it already"),
        (f"{HEAD}neck.heel.length,64,mm\nneck.heel.length,,mm\n", "line 3 has it already"),
    ],
)
def test_a_wrong_table_is_refused(text, words):
    with pytest.raises(InputError, match=words):
        table(text)


def test_rows_that_clash_are_named_by_their_lines():
    rows = "neck.heel.corner,40,mm\nneck.heel.width_end,56,mm\n"
    with pytest.raises(InputError, match="corner radius is 40") as caught:
        heel(HEAD + rows)
    assert caught.value.place == "wren-sizes.csv, lines 3, 4"


def test_a_row_that_nothing_asks_for_is_refused():
    asked = table(f"{HEAD}neck.heel.lenght,,mm\nother.x,,mm\n")
    asked.of("neck.heel", Heel())
    with pytest.raises(InputError, match="did you mean neck.heel.length.*line 3") as caught:
        asked.close("wren")
    assert "1 more rows" in str(caught.value)


def test_another_designs_table_is_refused():
    asked = table(HEAD)
    with pytest.raises(InputError, match="is 'wren'; allowed: teasel, which asks for it"):
        asked.close("teasel")


def test_a_table_is_of_use_in_a_loaded_script_only():
    with pytest.raises(InputError, match=r"not open'; allowed: a parameter of design\(\)"):
        SizeTable("wren-sizes.csv").of("neck.heel", Heel())


@pytest.fixture
def script(tmp_path):
    shutil.copy(ROOT / "designs" / "teasel.py", tmp_path)
    path = tmp_path / "wren.py"
    path.write_text(SCRIPT)
    return path


def test_a_script_reads_its_table_once(script):
    file = script.with_name("wren-sizes.csv")
    with pytest.raises(InputError, match="wren-sizes.csv, which is not there"):
        load(script)
    file.write_text(f"{HEAD}neck.heel.length,64.2,mm\n")
    one = load(script)
    file.write_text("spoiled")
    made = make(one)
    assert made.instrument.neck.heel.length == 64.2
    assert made.parameters["sizes"] == "wren-sizes.csv"
    assert [a.name for a in made.asked if a.filled] == ["neck.heel.length"]
    again = load(script, one.text, one.tables)
    assert make(again).instrument.neck.heel.length == 64.2
    with pytest.raises(InputError, match="the table's head"):
        load_design(script)


def test_a_row_refused_in_a_script_names_the_tables_line(script):
    script.with_name("wren-sizes.csv").write_text(f"{HEAD}neck.heel.length,640,mm\n")
    with pytest.raises(InputError, match=r"\(wren-sizes.csv, line 3\)"):
        load_design(script)


def test_entered_keeps_all_else():
    text = b'# mine\r\nname,value,unit,tolerance,note\r\ndesign,wren\r\nb.x,1,mm,,"a, b"\r\n'
    order = ("a.x", "b.x", "c.x")
    one = entered("t.csv", text, "b.x", "2 1/2", "in", None, order)
    assert one == text.replace(b"b.x,1,mm", b"b.x,2 1/2,in")
    assert entered("t.csv", one, "b.x", "2 1/2", "in", None, order) == one
    two = entered("t.csv", text, "c.x", "3", "mm", "0.1", order)
    assert two == text + b"c.x,3,mm,0.1,\r\n"
    three = entered("t.csv", two, "b.y", "3", "mm", None, ("a.x", "b.x", "b.y", "c.x"))
    assert [*rows_of("t.csv", three).rows] == ["b.x", "b.y", "c.x"]


@pytest.mark.parametrize(
    "held", ["[" * 5000, "1" * 5000, "0x" + "F" * 5000, "{ value = 0x" + "F" * 5000 + " }"]
)
def test_toml_without_end_is_one_line(held):
    with pytest.raises(InputError, match="t.toml"):
        rows_of("t.toml", f'design = "wren"\n"b.x" = {held}\n'.encode())


def test_entered_in_toml_keeps_all_else():
    text = b'# mine\ndesign = "wren"\n"b.x" = { value = 1.0, unit = "mm", note = "n" }  # c\n'
    one = entered("t.toml", text, "b.x", "2 1/2", "in", "0.1", ("b.x",))
    line = b'"b.x" = { value = "2 1/2", unit = "in", tolerance = 0.1, note = "n" }  # c\n'
    assert one == text[: text.index(b'"b.x"')] + line
    assert rows_of("t.toml", one).rows["b.x"].value == 2.5
    assert entered("t.toml", one, "b.x", "2 1/2", "in", None, ("b.x",)) == one


@pytest.mark.parametrize(
    ("measured", "status"), [(64.25, "pass"), (64.5, "warn"), (67.5, "fail"), (60.5, "fail")]
)
def test_a_claim_that_the_calipers_contradict_is_a_finding(script, measured, status):
    file = script.with_name("wren-sizes.csv")
    file.write_text(f"{HEAD}neck.heel.length,{measured},mm\n")
    layout = load_design(script).layout()
    (found,) = size_claim(layout)
    assert (found.code, found.status) == ("size-claim", status)
    assert found.subjects == ("instrument.neck.heel.length", "claim")
    assert found.value == pytest.approx(abs(measured - 64.0))


def test_without_a_claim_nothing_is_contradicted(script):
    script.with_name("wren-sizes.csv").write_text(HEAD)
    (found,) = size_claim(load_design(script).layout())
    assert found.status == "skip"


def test_a_cure_asks_the_table_that_was_read(script):
    """Its child works from the texts; the file may have been saved anew since."""
    file = script.with_name("wren-sizes.csv")
    file.write_text(f"{HEAD}neck.heel.length,64.2,mm\n")
    one = load(script)
    file.unlink()
    bench = _bench(Task(script, one.text, {}, one.tables))
    assert bench.base.instrument.neck.heel.length == 64.2
    assert not bench.noise


def test_a_size_that_looks_like_inches_is_taken_where_its_tolerance_says_so():
    found = heel(f"{HEAD}neck.heel.rod_width,0.25,mm,0.05\n")
    assert (found.rod_width, found.rod_width.tolerance) == (0.25, 0.05)
    with pytest.raises(InputError, match="or give its tolerance if it is right"):
        heel(f"{HEAD}neck.heel.rod_width,0.25,mm\n")


def test_a_kept_tolerance_is_as_long_in_the_new_unit():
    """76 +- 0.1 mm, entered again as 3 in, is not known to 2.5 mm."""
    before = f"{HEAD}neck.heel.length,76.0,mm,0.1\nneck.heel.corner,0.25,in,1/64\n".encode()
    order = ["neck.heel.length", "neck.heel.corner"]
    made = entered("wren-sizes.csv", before, order[0], "3", "in", None, order)
    made = entered("wren-sizes.csv", made, order[1], "6.4", "mm", None, order)
    rows = rows_of("wren-sizes.csv", made).rows
    assert rows[order[0]].in_unit("mm") == pytest.approx((76.2, 0.1), rel=1e-5)
    assert rows[order[1]].in_unit("mm") == pytest.approx((6.4, 25.4 / 64.0), rel=1e-5)


@pytest.mark.parametrize("value", ("1/64", ".5", "5.", "064"))
def test_what_toml_has_no_number_for_stands_in_quotes(value):
    text = b'design = "wren"\n"neck.heel.length" = ""\n'
    unit, name = "in", "neck.heel.length"
    made = entered("wren-sizes.toml", text, name, value, unit, value, [name])
    again = entered("wren-sizes.toml", made, name, value, unit, None, [name])
    row = rows_of("wren-sizes.toml", again).rows[name]
    assert made == again and row.value == row.tolerance == number_in("it", value, "in")
