"""A fitted neck: what the strings lead follows it to the last digit, what is cut stays, and a
bridge that does not follow is noticed."""

from __future__ import annotations

import math
import os
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bodycad import Fitted, InputError, board_end_x, load_design, measured
from bodycad.checks.rules.place import neck_place
from bodycad.checks.rules.strings import string_margin
from bodycad.checks.runner import run

ROOT = Path(__file__).parents[2]
LED = {"pickup.neck", "pickup.bridge", "bridge"}
OFF = st.floats(-2.0, 2.0)


def design_of(name):
    return load_design(ROOT / "designs" / f"{name}.py")


@pytest.fixture(scope="module")
def teasel():
    return design_of("teasel")


def moved(one, other):
    """How far the middle of each cut of a layout lies from that of another, by the part's id."""
    found: dict[str, list[tuple[float, float]]] = {}
    for void in one.voids:
        (x0, y0), (x1, y1) = (v.shape.plan.centroid for v in (void, other.by_id[void.id]))
        found.setdefault(void.part, []).append((x1 - x0, y1 - y0))
    return found


@given(OFF, OFF)
@settings(max_examples=8, deadline=None)
def test_what_serves_the_strings_moves_with_them_by_as_much(teasel, aside, along):
    design = teasel
    fitted = Fitted(aside=aside, aside_at_board=aside, along=along)
    drawn, made = design.layout(), replace(design, fitted=fitted).layout()
    for part, offs in moved(drawn, made).items():
        wanted = (along, aside) if part in LED else (0.0, 0.0)
        for off in offs:
            assert off == pytest.approx(wanted, abs=1e-9), part
    for one, two in zip(drawn.instrument.lines, made.instrument.lines):
        assert two.nut[1] - one.nut[1] == pytest.approx(aside, abs=1e-9)
        assert two.saddle[0] - one.saddle[0] == pytest.approx(along, abs=1e-9)
    assert made.instrument.actions12 == drawn.instrument.actions12


def test_a_turned_neck_turns_what_follows(teasel):
    """By hand: 1.2 mm at the saddles and 0 at the fretboard's end, 166.2 mm on, turn by 0.41
    degrees; a place at x moves by what is left of it there."""
    made = replace(teasel, fitted=Fitted(aside=1.2)).layout()
    end = board_end_x(teasel.instrument.neck)
    turn = -math.degrees(math.atan(1.2 / end))
    for one, two in zip(teasel.layout().placed, made.placed):
        if one.id not in LED:
            assert two.place == one.place
            continue
        assert two.place.turn_deg - one.place.turn_deg == pytest.approx(turn)
        assert two.place.y - one.place.y == pytest.approx(1.2 * (1.0 - one.place.x / end), abs=2e-4)


def test_the_signs_hold_for_a_left_hand(teasel):
    """Toward the bass is toward the bass strings of either hand: -y in a left-handed body."""
    fitted = Fitted(aside=0.8, aside_at_board=0.8)
    left = replace(teasel, fitted=fitted, left_handed=True).layout()
    drawn = replace(teasel, left_handed=True).layout()
    for part in LED:
        for x, y in moved(drawn, left)[part]:
            assert (x, y) == pytest.approx((0.0, -0.8), abs=1e-9)
    bass = left.instrument.lines[-1].saddle[1] - drawn.instrument.lines[-1].saddle[1]
    assert bass == pytest.approx(-0.8)
    assert left.instrument.lines[-1].saddle[1] < 0.0


def margins(layout):
    return {one.subjects[0]: one for one in string_margin(layout)}


def test_margins_stay_where_the_bridge_follows_and_fail_where_it_does_not(teasel):
    fitted = Fitted(aside=2.4)
    drawn, made = margins(teasel.layout()), margins(replace(teasel, fitted=fitted).layout())
    for name, one in drawn.items():
        assert made[name].value == pytest.approx(one.value, abs=0.01)
        assert made[name].status == "pass"
    stays = replace(fitted, stays=("bridge",))
    left = margins(replace(teasel, fitted=stays).layout())
    assert left["strings"].status == "fail"
    # The strings' middle misses the bridge's by 2.4 mm at the saddles, by the lever of the last
    # fret at that fret: 2 * 2.4 * (1 - 170.2 / 643) between the two margins, and some hundredths
    # more, for the saddles stand a few mm behind the scale line.
    last = 643.0 / 2.0 ** (23 / 12)
    assert left["strings"].value == pytest.approx(2 * 2.4 * (1 - last / 643.0), abs=0.1)


@pytest.mark.parametrize(
    ("given", "status", "words"),
    [
        ({"aside": 0.4}, "pass", "0.40 mm toward the bass beside the drawn centreline"),
        ({"aside": -0.4}, "pass", "0.40 mm toward the treble beside the drawn centreline"),
        ({"aside_at_board": 1.8}, "warn", "1.80 mm toward the bass at the fretboard's end"),
        ({"along": -3.2}, "fail", "3.20 mm toward the bridge beside the drawn scale line"),
    ],
)
def test_the_report_tells_the_side(teasel, given, status, words):
    layout = replace(teasel, fitted=Fitted(**given)).layout()
    (found,) = (one for one in neck_place(layout) if one.code == "neck-place.fitted")
    assert found.status == status
    assert words in found.text


def test_a_part_that_stays_must_be_one(teasel):
    with pytest.raises(InputError, match="a part that stays is 'brigde'"):
        replace(teasel, fitted=Fitted(stays=("brigde",))).layout()


def test_farther_than_a_fitted_neck_may_be_is_refused():
    with pytest.raises(InputError, match="aside of the fitted neck|fitted neck's aside"):
        Fitted(aside=measured(6.0))


SOME = ("bistort", "bramble")
"""What every run of the tests asks; BODYCAD_DESIGNS=all asks every design."""
ALL = sorted(one.stem for one in (ROOT / "designs").glob("*.py") if "wrong" not in one.stem)


@pytest.mark.parametrize("name", ALL if os.environ.get("BODYCAD_DESIGNS") == "all" else SOME)
def test_half_a_millimetre_fails_nothing_of_the_gallery(name):
    design = design_of(name)
    before = {(f.code, f.subjects) for f in run(design.layout()).findings if f.status == "fail"}
    made = replace(design, fitted=Fitted(aside=0.5, aside_at_board=0.3, along=0.3)).layout()
    after = {(f.code, f.subjects) for f in run(made).findings if f.status in ("fail", "error")}
    assert after <= before
