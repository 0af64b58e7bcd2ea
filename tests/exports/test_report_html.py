"""report.html: well-formed, self-contained, and every marker and row linked both ways."""

import re
import xml.etree.ElementTree as ET
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from bodycad import load_design
from bodycad.checks.table import CHECKS
from bodycad.exports.cautions import of_design
from bodycad.exports.marks import numbered
from bodycad.exports.report.html import html_text
from bodycad.exports.report.tables import FULL, ZERO, meter
from bodycad.layout.interface import Core
from bodycad.layout.volume import BodyFigures
from bodycad.safety import ADVICE
from tests.exports.reports import FINDINGS, report

ROOT = Path(__file__).resolve().parents[2]
BODY = (BodyFigures(120000.0, 5e6, 2.1, (1.0, 0.0, -21.5)),)
MADE = report()
PAGE = html_text(MADE, BODY)


def tree(page=PAGE):
    """The page as a tree with bare tag names; a parse error means that it is not well-formed."""
    root = ET.fromstring(page.replace("<!DOCTYPE html>", "", 1))
    for e in root.iter():
        e.tag = e.tag.rpartition("}")[2]
    return root


def text_of(element):
    return " ".join("".join(element.itertext()).split())


def test_the_page_is_well_formed_with_unique_ids_and_whole_links():
    """Every id once; every in-page link and every url(#...) finds its target."""
    root = tree()
    ids = Counter(e.get("id") for e in root.iter() if e.get("id"))
    assert max(ids.values()) == 1
    hrefs = [e.get("href") for e in root.iter("a")]
    assert hrefs and all(h[0] == "#" and h[1:] in ids for h in hrefs)
    urls = re.findall(r"url\(#([^)]*)\)", PAGE)
    assert urls and set(urls) <= set(ids)


def test_the_page_is_self_contained():
    """No outside file, font, script or picture."""
    assert not re.search(r"<(link|img|iframe|object|embed)\b|\bsrc=|@import|url\((?!#)", PAGE)
    outside = set(re.findall(r"https?://[^\"'<> ]+", PAGE))
    assert outside == {"http://www.w3.org/2000/svg"}, "a namespace, never fetched"


def test_every_marker_has_a_row_and_the_reverse():
    """Rows f1..fn for what fails and warns; a marker for each that has a place, and links both
    ways."""
    root = tree()
    marks = numbered(MADE)
    rows = {e.get("id"): e for e in root.iter("tr") if e.get("id")}
    discs = {
        e.get("id"): e.get("href")
        for e in root.iter("a")
        if re.fullmatch(r"m\d+", e.get("id") or "")
    }
    assert list(rows) == [f"f{m.number}" for m in marks] and len(rows) == 4
    assert discs == {f"m{m.number}": f"#f{m.number}" for m in marks if m.finding.at}
    for m in marks:
        links = [a.get("href") for a in rows[f"f{m.number}"].iter("a")]
        assert links == ([f"#m{m.number}"] if m.finding.at else [])
        assert m.finding.text in text_of(rows[f"f{m.number}"]) and m.finding.cure in text_of(
            rows[f"f{m.number}"]
        )


def test_the_top_says_verdict_and_least_margins():
    """Verdict, counts, and one card for each of the tightest checks."""
    root = tree()
    assert [text_of(e) for e in root.iter("span") if "verdict" in (e.get("class") or "")] == [
        "FAIL"
    ]
    cards = [text_of(e) for e in root.iter("div") if (e.get("class") or "").startswith("card ")]
    wanted = ("short by 0.50 mm" + "wall", "1.00 mm spare" + "floor", "1.50 deg spare" + "tilt")
    assert len(cards) == 3 and all(card.startswith(words) for card, words in zip(cards, wanted)), (
        cards
    )


def test_everything_a_maker_reads_is_there():
    """Two plans, sections, sizes with origins, parameters, every cut, the body, the cautions."""
    root, words = tree(), text_of(tree())
    assert len([e for e in root.iter("figure") if e.get("class") == "plan"]) == 2
    assert len([e for e in root.iter("svg") if "section" in (e.get("class") or "").split()]) >= 2
    assert {
        e.get("class") for e in root.iter("span") if (e.get("class") or "").startswith("origin ")
    } == {
        "origin default",
        "origin claimed",
        "origin measured",
    }
    assert all(void.id in words for void in MADE.layout.voids) and "contour.belly" in words
    assert (
        "width" in words
        and "2.10 kg" in words
        and "claimed 56" in words
        and "nothing swings here" in words
    )
    assert ADVICE in words and all(
        one.danger in words and one.words in words for one in of_design(MADE.layout)
    )


def test_checks_are_explained_where_they_are_listed():
    """What a check asks stands under its name."""
    wall = next(check for check in CHECKS if check.name == "wall")
    assert wall.page.asks in text_of(tree())


def test_texts_are_escaped():
    """Whatever a script puts into a name or a text stays text."""
    nasty = replace(
        FINDINGS[0],
        code="<i>",
        text="<script>alert(1)</script>",
        cure="a & b < c",
        subjects=('"x"',),
    )
    page = html_text(report(nasty, parameters={"<p>": "</dl>"}), BODY)
    assert "<script>alert(1)</script>" in text_of(tree(page)) and "<script>alert" not in page


def test_a_report_of_nothing_still_is_a_page():
    """No failing finding, no dimension: the page says so."""
    words = text_of(tree(html_text(report(FINDINGS[7], dimensions=()), BODY)))
    assert (
        "Nothing fails and nothing warns." in words and "Every size is measured or claimed" in words
    )


@pytest.mark.parametrize(
    "value, left, width",
    [
        (3.0, ZERO, 1.0),
        (5.0, ZERO, (100.0 - ZERO) / FULL),
        (99.0, ZERO, 100.0 - ZERO),
        (2.0, ZERO - (100.0 - ZERO) / FULL / 2.0, (100.0 - ZERO) / FULL / 2.0),
        (-99.0, 0.0, ZERO),
    ],
)
def test_margin_bars(value, left, width):
    """Zero at the limit of 3, the tick a fifth along at the warning's end of 5; short bars go left,
    long ones stop at the frame."""
    style = re.search(
        r'<i style="left:([\d.]+)%;width:([\d.]+)%"', meter(replace(FINDINGS[1], value=value))
    )
    assert (float(style[1]), float(style[2])) == pytest.approx((left, width), abs=1e-3)
    assert f'<s style="left:{ZERO + (100.0 - ZERO) / FULL:g}%"' in meter(FINDINGS[1])


def test_a_bar_without_a_figure():
    """No figure, no bar."""
    assert meter(FINDINGS[5]) == ""


def test_a_neck_that_runs_through_is_weighed_in_its_own_wood():
    """No more than the whole strip of the core can add, and more than half of it: cavities take
    some."""
    made = load_design(ROOT / "designs" / "yarrow.py").check()
    layout, (core,) = made.layout, made.layout.stated(Core)
    page = html_text(made)
    plain = float(re.search(r">Mass</dt><dd>([0-9.]+) kg", page)[1])
    whole = float(re.search(r"With its core</dt><dd>about ([0-9.]+) kg", page)[1])
    wet, wood = layout.blank.moisture, layout.blank.species
    x0, _, x1, _ = layout.skin.outline.box
    strip = core.width * (min(x1, core.end[0]) - x0) * layout.thickness * 1e-9
    more = strip * (core.species.density(wet) - wood.density(wet))
    assert 0.5 * more < whole - plain < more + 0.02
