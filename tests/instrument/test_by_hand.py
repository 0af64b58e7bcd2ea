"""String lines, poles and margins of 4 to 8 strings, of a fanned neck and of pairs, by hand sums
(computed): a string that is a mm off the middle at the saddle line and b at the nut is
a + (b - a) x / L off it at x; fret n lies L 2^(-n/12) from the saddle line."""

from __future__ import annotations

import pytest

from bodycad.errors import InputError
from bodycad.instrument.lines import Instrument
from bodycad.instrument.neck import Neck
from bodycad.instrument.strings import even_centres, spread_positions, strings
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.parts.bridge import Hardtail, TopLoad
from bodycad.parts.pickup import Humbucker
from tests.checks.bench import ask, board, holds, one

SETS = {
    4: (".045w", ".065w", ".085w", ".105w"),
    6: (".010", ".013", ".017", ".026w", ".036w", ".046w"),
    7: (".010", ".013", ".017", ".026w", ".036w", ".046w", ".059w"),
    8: (".009", ".011", ".016", ".024w", ".034w", ".046w", ".060w", ".074w"),
}
ROWS = [
    # strings, nut and bridge spread, scale, frets, nut and board width, pickup x, pole spacing;
    # the outer string at the pickup, its pole's offset, the margin at the last fret
    (4, 38.0, 57.0, 863.6, 20, 45.0, 62.0, 70.0, 56.0, 27.7300, 0.2700, 5.4923),
    (6, 35.0, 52.5, 635.0, 22, 43.0, 56.0, 60.0, 51.0, 25.4232, 0.0768, 4.2054),
    (7, 41.5, 63.0, 660.4, 24, 48.0, 68.0, 60.0, 61.0, 30.5233, 0.0233, 5.1875),
    (8, 48.0, 73.5, 685.8, 24, 55.0, 79.0, 50.0, 72.0, 35.8204, 0.1796, 5.9375),
]


@pytest.mark.parametrize("left", [False, True])
@pytest.mark.parametrize("row", ROWS, ids=[f"{row[0]} strings" for row in ROWS])
def test_lines_poles_and_margins(row, left):
    count, nut, bridge, scale, frets, wide, last, x, poles, outer, off, margin = row
    neck = Neck(scale, frets, wide, nut, last)
    own = Instrument(neck, strings(SETS[count]), bridge_spread=bridge, equal="centres")
    lines = own.lines
    step = 2.0 * outer / (count - 1)
    for k, line in enumerate(lines):
        assert line.y_at(x) == pytest.approx(k * step - outer, abs=1e-4)
        assert line.scale == pytest.approx(scale, abs=1e-9)
    pickup = Placed("pickup", Humbucker(poles, poles=count, coil_spacing=0.0), Place(x))
    layout = board(pickup, played=own, left_handed=left)
    found = ask(layout, "pole-offset")
    assert len(found) == 1
    holds(found[0], "pass", off, 1e-4)
    for string in (1, count):
        holds(one(layout, "string-margin", f"string.{string}"), "pass", margin, 1e-4)


def test_a_fanned_neck():
    """Seven strings, 648 to 686 mm, square at fret 7, 42 mm at the nut and 63 at the bridge. Of
    the scales 0.66742 is left at fret 7: the nut leans by 38 (1 - 0.66742) / 42, the saddle line
    by -38 x 0.66742 / 63."""
    neck = Neck((648.0, 686.0), 24, 48.0, 42.0, 68.0, overhang=14.0, straight_fret=7.0)
    own = Instrument(neck, strings(SETS[7]), bridge_spread=63.0, equal="centres")
    treble, *_, bass = own.lines
    assert treble.nut == pytest.approx((660.6810, -21.0), abs=1e-4)
    assert treble.saddle == pytest.approx((12.6810, -31.5), abs=1e-4)
    assert bass.nut == pytest.approx((673.3190, 21.0), abs=1e-4)
    assert bass.saddle == pytest.approx((-12.6810, 31.5), abs=1e-4)
    assert (treble.scale, bass.scale) == pytest.approx((648.0, 686.0))
    assert own.lines[3].scale == pytest.approx(667.0)
    # A pickup square across at x = 60, its outer poles 61 mm apart.
    assert treble.y_at(60.0) == pytest.approx(-30.7333, abs=1e-4)
    assert bass.y_at(60.0) == pytest.approx(30.3875, abs=1e-4)
    pickup = Placed("pickup", Humbucker(61.0, poles=7, coil_spacing=0.0), Place(60.0))
    layout = board(pickup, played=own)
    holds(ask(layout, "pole-offset")[0], "pass", 0.2333, 1e-4)
    # The last fret crosses the middle at 667 / 4; the board is 68 mm wide there.
    holds(one(layout, "string-margin", "string.1"), "pass", 34.0 - 29.0035, 1e-4)
    holds(one(layout, "string-margin", "string.7"), "pass", 34.0 - 28.7536, 1e-4)


def test_pairs_of_strings():
    """Six pairs, 2.6 mm in each at the saddles: their middles from -24.95 to 24.95, 9.98 apart."""
    neck = Neck(635.0, 22, 47.0, 40.0, 58.0)
    gauges = (".010", ".010", ".014", ".014", ".009", ".023w", ".012", ".030w", ".020w", ".039w")
    own = Instrument(
        neck, strings((*gauges, ".027w", ".047w")), bridge_spread=52.5, courses=(2,) * 6
    )
    assert (own.pair_nut, own.pair_bridge) == (1.9, 2.6)
    at = [line.saddle[1] for line in own.lines]
    by_hand = [9.98 * (k // 2) - 24.95 + (1.3 if k % 2 else -1.3) for k in range(12)]
    assert at == pytest.approx(by_hand, abs=1e-9)
    nut = [line.nut[1] for line in own.lines]
    assert [b - a for a, b in zip(nut[::2], nut[1::2])] == pytest.approx([1.9] * 6)
    # Equal air between the pairs at the nut.
    edges = [string.gauge / 2.0 for string in own.strings]
    air = [nut[k + 1] - nut[k] - edges[k + 1] - edges[k] for k in range(1, 11, 2)]
    assert air == pytest.approx([air[0]] * 5) and air[0] > 4.0
    for part in (
        Hardtail(52.5, strings=12, courses=(2,) * 6),
        TopLoad(52.5, strings=12, courses=(2,) * 6),
    ):
        assert part.saddle_offsets == pytest.approx(by_hand, abs=1e-9)
        assert part.hole_offsets == pytest.approx(by_hand, abs=1e-9)
        assert part.hole_pitch == pytest.approx(9.98)
        widths = [room.shape.box[4] - room.shape.box[1] for room in part.blocks("b", Place(), 2.5)]
        assert widths == pytest.approx([2.3] * 12)
    # Six poles sense a pair each, between its strings.
    layout = board(
        Placed("bridge", TopLoad(52.5, strings=12, courses=(2,) * 6), Place(-24.0)), played=own
    )
    saddled = [f for f in ask(layout, "string-path") if f.code == "string-path.aside"]
    assert [f.status for f in saddled] == ["pass"]
    assert not [f.text for f in ask(layout, "complete") if "saddle" in f.code or "anchor" in f.code]


def test_air_between_courses():
    """Strings of 1, 1, 2 and 2 mm, 30 mm over all, 4 mm within a pair: 30 - 8 - 1.5 = 20.5 mm of
    air between the pairs."""
    found = spread_positions((1.0, 1.0, 2.0, 2.0), 30.0, "gaps", (2, 2), 4.0)
    assert found == pytest.approx((-15.0, -11.0, 11.0, 15.0))
    assert even_centres(3, 20.0, (1, 2), 4.0) == pytest.approx((-10.0, 6.0, 10.0))


@pytest.mark.parametrize(
    "courses, pair, thing",
    [
        ((2, 2), 0.9, "strings of a course"),
        ((2, 1), 4.0, "courses of strings"),
        ((4,), 4.0, "courses of strings"),
        ((2, 2), 15.0, "string spread"),
    ],
)
def test_courses_that_cannot_be(courses, pair, thing):
    with pytest.raises(InputError, match=thing):
        spread_positions((1.0, 1.0, 2.0, 2.0), 30.0, "gaps", courses, pair)
