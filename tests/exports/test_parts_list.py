"""The list of parts as a table and as a page: read back, and refused where it is spoiled."""

from __future__ import annotations

import csv
import html
import io
import re
from dataclasses import replace
from pathlib import Path

import pytest

from bodycad import Hardware, Placed, load_design
from bodycad.checks.runner import run
from bodycad.errors import FileError
from bodycad.exports.parts_list import HEADS, TOTAL, csv_text, html_text, names, verify, write
from bodycad.making.bill import bill
from tests.sample import Loose
from tests.strangers.bench import quoin

HOME = Path(__file__).resolve().parents[2] / "designs"


@pytest.fixture(scope="module")
def report():
    return run(load_design(HOME / "teasel.py").layout())


@pytest.fixture(scope="module")
def made(report):
    return bill(report.layout)


def read(text):
    return list(csv.reader(io.StringIO(text, newline="")))


def test_the_table_says_what_the_bill_does(report, made):
    identity, heads, *rows, total = read(csv_text(made, report.layout))
    assert identity == ["teasel: parts to buy and tools, right-handed, revision 1, mm"]
    assert tuple(heads) == HEADS and {len(row) for row in rows} == {len(HEADS)}
    assert len(rows) == len(made.rows) + len(made.tools)
    column = {name: k for k, name in enumerate(HEADS)}
    for row, one in zip(rows, made.rows):
        assert row[column["item"]] == one.what and row[column["unit"]] == one.unit
        assert float(row[column["quantity"]]) == pytest.approx(one.count)
        assert row[column["for"]].split() == " ".join(one.serves).split()
        sizes = [part.rsplit(" ", 1) for part in row[column["sizes_mm"]].split("; ") if part]
        assert [word for word, _ in sizes] == [word for word, _ in one.sizes]
        told = [float(value) for _, value in sizes]
        # Three decimals up to 1 mm, two up to 100, one above.
        for said, (_, value) in zip(told, one.sizes, strict=True):
            least = 5e-4 if value < 1.0 else 5e-3 if value < 100.0 else 0.05
            assert said == pytest.approx(float(value), abs=least * 1.001)
    prices = [row[column[name]] for row in rows for name in ("unit_price", "price")]
    assert set(prices) == {""} and total[0] == TOTAL and set(total[1:]) == {""}


def test_both_files_are_written_and_alike_twice(report, tmp_path):
    write(report, tmp_path)
    first = {name: (tmp_path / name).read_bytes() for name in names(report.layout)}
    assert sorted(first) == ["teasel-parts.csv", "teasel-parts.html"]
    write(report, tmp_path)
    assert first == {name: (tmp_path / name).read_bytes() for name in names(report.layout)}


@pytest.mark.parametrize(
    "spoil, words",
    [
        (lambda t: t.replace("string ferrule,6", "string ferrule,5"), "says"),
        (lambda t: t.replace("knob,2,,diameter 19,,volume tone,default,,,\r\n", ""), "says"),
        (lambda t: t.replace("length 34", "length 35"), "says"),
        (lambda t: t.replace(TOTAL, "sum"), "total"),
        (lambda t: t.replace("unit_price", "cost"), "heads"),
        (lambda t: re.sub(r"tool,soldering.*\r\n", "", t), "rows"),
    ],
)
def test_a_spoiled_table_is_refused(spoil, words, report, made, tmp_path):
    path, text = tmp_path / "list.csv", csv_text(made, report.layout)
    path.write_text(text, encoding="utf-8", newline="")
    verify(path, made)
    assert spoil(text) != text
    path.write_text(spoil(text), encoding="utf-8", newline="")
    with pytest.raises(FileError, match=words):
        verify(path, made)


def test_the_page_names_everything(report, made):
    text = html.unescape(re.sub(r"<[^>]+>", " ", html_text(report, made)))
    for row in made.rows:
        assert row.what in text and row.note in text
    for tool in made.tools:
        assert tool.what in text
    for part in made.only_cut:
        assert part in text
    assert "right-handed, revision 1" in text and "Total" in text


def test_a_tool_that_the_shop_lacks_is_told(report):
    shop = replace(report.layout.shop, bits=())
    layout = replace(report.layout, shop=shop)
    text = html_text(replace(report, layout=layout), bill(layout))
    assert "The shop lacks: roundover bit 6.00 mm." in text


def test_words_of_a_maker_stay_words():
    """No formula in a spreadsheet, no markup in the page, no row broken by a comma or a quote."""
    hostile = '=1+1 <b>"a", b</b>'
    says = (Hardware(part="own", what=hostile), Hardware(part="own", what="@x"))
    report = run(quoin(Placed("own", Loose(says=says))).layout())
    made = bill(report.layout)
    items = [row[1] for row in read(csv_text(made, report.layout))[2:-1]]
    assert f"'{hostile}" in items and "'@x" in items
    assert not [item for item in items if item[:1] in "=+-@"]
    assert "<b>&quot;" not in html_text(report, made)
    assert html.escape(hostile, quote=False).replace('"', "&quot;") in html_text(
        report, made
    ) or html.escape(hostile, quote=False) in html_text(report, made)


def test_like_screws_of_one_part_are_told_apart():
    """Three kinds of wood screws of one vibrato, each with what its holes are called."""
    layout = load_design(HOME / "campion.py").layout()
    rows = list(csv.DictReader(csv_text(bill(layout), layout).splitlines()[1:]))
    said = {row["for"] for row in rows if row["item"].startswith("wood screw")}
    assert {"vibrato.screw (5)", "vibrato.claw (2)", "vibrato.pivot (6)"} <= said
