"""The drilling schedule's table and page, read as somebody else would read them."""

import csv
import io
import math
import re
from dataclasses import replace
from itertools import combinations

import pytest

from bodycad.checks.report import Report
from bodycad.checks.runner import run
from bodycad.errors import FileError
from bodycad.exports.bench_page import Section, bench_page, verified
from bodycad.exports.drilling import table
from bodycad.exports.drilling.edges import clusters, edge_view, side_view
from bodycad.exports.drilling.page import drilling_page
from bodycad.exports.drilling.schedule import names, write
from bodycad.making.holes import holes
from bodycad.words import Face
from tests.drawn import layout_of

CLOSE = 0.01


def rows_of(layout):
    """The file as any reader of RFC 4180 has it."""
    text = table.csv_text(layout)
    assert text.endswith("\r\n") and "\n" not in text.replace("\r\n", "")
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def crossings(one, two, near, far):
    """Where two circles about `one` and `two` cross."""
    apart = math.dist(one, two)
    along = (near**2 - far**2 + apart**2) / (2.0 * apart)
    aside = math.sqrt(max(near**2 - along**2, 0.0))
    ux, uy = ((b - a) / apart for a, b in zip(one, two))
    x, y = one[0] + along * ux, one[1] + along * uy
    return [(x - sign * aside * uy, y + sign * aside * ux) for sign in (1.0, -1.0)]


@pytest.mark.parametrize("name", ["teasel", "bistort"])
@pytest.mark.parametrize("left", [False, True])
def test_each_row_leads_to_its_bore(name, left):
    """By arcs about two pins, the third to tell which crossing; then by tilt, direction and depth.

    The formulas are the reader's own: off upright by the tilt, turned from toward the nut to the
    left as the face is seen."""
    layout = layout_of(name).mirrored() if left else layout_of(name)
    rows, seen = rows_of(layout), 0
    pins = [(pin.x, pin.y) for pin in layout.blank.pins]
    for row in rows:
        assert row["hand"] == ("left-handed" if left else "right-handed")
        void = layout.by_id.get(row["hole"])
        if void is None:
            continue
        bore, over = void.shape.hole, -1.0 if row["face"] == "back" else 1.0
        x, y = float(row["x_mm"]), over * float(row["y_mm"])
        if row["pin_1_mm"]:
            seen += 1
            away = [float(row[f"pin_{k}_mm"]) for k in (1, 2, 3)]

            def spread(pair, spot=(x, y)):
                a, b = (math.atan2(pins[k][1] - spot[1], pins[k][0] - spot[0]) for k in pair)
                return abs(math.sin(a - b))

            i, j = max(combinations(range(3), 2), key=spread)
            found = crossings(pins[i], pins[j], away[i], away[j])
            k = 3 - i - j
            spot = min(found, key=lambda one: abs(math.dist(one, pins[k]) - away[k]))
            assert math.dist(spot, (x, y)) < CLOSE
        else:
            x, y = float(row["wood_x_mm"]), float(row["wood_y_mm"])
        steep, turn = (math.radians(float(row[key])) for key in ("tilt_deg", "direction_deg"))
        deep = float(row["depth_mm"])
        to = x + deep * math.sin(steep) * math.cos(turn)
        aside = y + over * deep * math.sin(steep) * math.sin(turn)
        down = float(row["wood_z_mm"]) - over * deep * math.cos(steep)
        ends = [bore.start, tuple(bore.at([bore.shoulder])[0])]
        assert min(math.dist((to, aside, down), end) for end in ends) < CLOSE
    assert seen > 20


def test_columns_name_their_units_and_numbers_are_plain():
    rows = rows_of(layout_of("teasel"))
    for row in rows:
        for key, value in row.items():
            if key.endswith(("_mm", "_deg")) and value:
                assert float(value) == float(f"{float(value):.4f}") and "e" not in value
    assert {row["design"] for row in rows} == {"teasel"} and {r["revision"] for r in rows} == {"1"}
    pilots = [row for row in rows if row["tag"].startswith("A") and row["face"] == "front"]
    assert len(pilots) == 8 and {row["count"] for row in pilots} == {"8"}


def spoilt(tmp_path, layout, change):
    """A schedule with its rows changed."""
    rows = [row for row in map(change, rows_of(layout)) if row is not None]
    path = tmp_path / "spoilt.csv"
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, table.COLUMNS)
        writer.writeheader()
        writer.writerows(rows)
    return path


def negated(value):
    return f"{-float(value):.3f}"


def carved(row):
    """The depth counted from the heel as it is carved, 1 mm under the back."""
    return row | {"depth_mm": f"{float(row['depth_mm']) - 1.0:.3f}"}


SPOILS = {
    "the back not mirrored": lambda r: r | {"y_mm": negated(r["y_mm"])} if back(r) else r,
    "a depth from a carved face": lambda r: carved(r) if r["hole"] == "neck.bolt.1.seat" else r,
    "a bore left out": lambda r: None if r["hole"] == "jack.bore" else r,
    "a pilot of the neck left out": lambda r: None if r["hole"] == "neck.bite.3" else r,
    "two holes of one tag": lambda r: r | {"tag": "A1"} if r["tag"] == "A2" else r,
    "a hole without a tag": lambda r: r | {"tag": ""} if r["tag"] == "A2" else r,
    "from the wrong side": lambda r: r | {"face": "front"} if back(r) else r,
    "tilted the other way": lambda r: r | {"direction_deg": negated(r["direction_deg"])},
    "a pin taken for another": lambda r: r | {"pin_1_mm": r["pin_2_mm"]},
    "a wider hole": lambda r: r | {"diameter_mm": f"{float(r['diameter_mm']) + 0.5:.3f}"},
    "higher on the edge": lambda r: r | {"height_mm": "30.000"} if r["height_mm"] else r,
}


def back(row):
    return row["face"] == "back" and row["piece"] == "body"


@pytest.mark.parametrize("what", SPOILS)
def test_a_spoilt_schedule_is_refused(tmp_path, what):
    layout = layout_of("teasel")
    table.verify(spoilt(tmp_path, layout, lambda row: row), layout)
    with pytest.raises(FileError, match="spoilt.csv"):
        table.verify(spoilt(tmp_path, layout, SPOILS[what]), layout)


def test_a_schedule_of_other_columns_is_refused(tmp_path):
    path = tmp_path / "odd.csv"
    path.write_text("tag,hole\r\nA1,jack.bore\r\n", encoding="utf-8")
    with pytest.raises(FileError, match="other columns"):
        table.verify(path, layout_of("teasel"))


def test_both_files_are_written_and_the_same_again(tmp_path):
    """Equal input, equal bytes; every tag has its box on the page, every drawing stands there."""
    layout = layout_of("teasel")
    report = Report(layout, (), ())
    for folder in ("one", "two"):
        (tmp_path / folder).mkdir()
        write(report, tmp_path / folder)
    assert names(layout) == ("teasel-drilling.csv", "teasel-drilling.html")
    for name in names(layout):
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()
    page = (tmp_path / "one" / "teasel-drilling.html").read_text(encoding="utf-8")
    assert "The holes of the datum pins come before all of these" in page
    found = holes(layout)
    for hole in found:
        assert page.count(f'aria-label="{hole.tag} drilled"') == 1
    drawn = len(list(clusters([hole for hole in found if hole.face is Face.EDGE])))
    slanted = sum(not hole.upright and hole.face is not Face.EDGE for hole in found)
    assert page.count("<svg") == 4 + drawn + slanted + 1


def test_the_edge_is_drawn_where_the_hole_is():
    """The jack's cup of 22.2 mm, 22 over the back of 44 mm: the mouth stands in the middle."""
    layout = layout_of("teasel")
    edge = [hole for hole in holes(layout) if hole.face is Face.EDGE]
    (jack,) = [one for one in clusters(edge) if any(hole.id == "jack.cup" for hole in one)]
    drawn = edge_view("teasel", layout.body, jack)
    assert 'cy="22" rx="11.1" ry="11.1"' in drawn and "79.63 along the edge" in drawn
    # The wood from the plain front to the plain back; the edge treatments begin within it.
    rim, *edges = re.findall(r'points="([^"]*)" class="(?:wood|edge)"', drawn)
    heights = [[float(pair.split(",")[1]) for pair in one.split()] for one in (rim, *edges)]
    assert (min(heights[0]), max(heights[0])) == (0.0, 44.0)
    drops = [layout.skin.drop(face) for face in ("front", "back")]
    assert set(heights[1]) == {drops[0]} and set(heights[2]) == {44.0 - drops[1]}


HOSTILE = "</style><script>alert('x')</script> \"&<b>"


def test_every_arc_of_the_page_says_where_it_ends():
    """A path stops being drawn at its first faulty command (SVG 1.1, 8.3.8 and F.2)."""
    page = drilling_page(Report(layout_of("teasel"), (), ()))
    assert "off upright" in page
    arcs = [arc for d in re.findall(r' d="([^"]*)"', page) for arc in d.split("A")[1:]]
    assert arcs
    for arc in arcs:
        own = re.split(r"[MLHVCSQTAZz]", arc)[0]
        assert len(re.findall(r"-?[0-9.]+(?:e-?[0-9]+)?", own)) % 7 == 0, arc


def test_the_shell_shows_every_text_as_text(tmp_path):
    report = run(replace(layout_of("teasel"), name="teasel"))
    sections = [Section("one", HOSTILE, ("<p>ready</p>",), HOSTILE), Section("two", "Two", ())]
    page = bench_page(report, HOSTILE, HOSTILE, sections, about=HOSTILE)
    assert "<script" not in page and page.count("</style>") == 1 and "<b>" not in page
    with pytest.raises(FileError, match="does not name"):
        verified(tmp_path / "page.html", page, ["what is not there"])


def test_a_design_that_fails_says_so_on_its_page():
    layout = layout_of("teasel_wrong")
    assert "cut nothing from this page" in drilling_page(run(layout))


def test_a_title_is_shown_as_text():
    layout = layout_of("teasel")
    body, cover, *rest = layout.pieces
    layout = replace(layout, pieces=(body, replace(cover, title="<b>lid</b>"), *rest))
    page = drilling_page(Report(layout, (), ()))
    assert "<b>lid" not in page and "&lt;b&gt;lid" in page


def test_a_slanted_hole_s_words_stay_in_its_drawing():
    """The longest words, of a hole so long that the drawing is all to one side of its mouth."""
    layout = layout_of("teasel")
    hole = next(h for h in holes(layout) if not h.upright and h.face is not Face.EDGE)
    for full, tilt in ((200.0, 65.8), (200.0, 10.0), (20.0, 45.0), (73.3, 65.8)):
        drawn = side_view("teasel", replace(hole, full=full, tilt_deg=tilt, start=0.0))
        x0, _, wide, _ = map(float, re.search(r'viewBox="([^"]*)"', drawn)[1].split())
        own = re.search(
            r'<text[^>]*x="([^"]*)"[^>]*font-size="([^"]*)"[^>]*>[^<]*off upright', drawn
        )
        begin, size = float(own[1]), float(own[2])
        length = len(f"{tilt:.1f}\u00b0 off upright") * 0.6 * size
        assert "text-anchor" not in own[0] and x0 <= begin and begin + length <= x0 + wide
