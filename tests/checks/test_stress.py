"""`string-stress`: strings against the strength of their wire."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bodycad.instrument.load import string_tensions
from bodycad.instrument.strings import String, wire_strength
from tests.checks.bench import ask, board, instrument, one

A228 = {0.102: 439, 0.254: 387, 0.508: 350}
"""Least strength of music wire by its diameter (mm), ksi: ASTM A228's table, from memory."""
KSI = 6.894757


@pytest.mark.parametrize("wide", A228)
def test_the_formula_keeps_to_the_standards_table(wide):
    """Shigley states the formula within some percent of the least strengths of the table."""
    assert wire_strength(wide) == pytest.approx(A228[wide] * KSI, rel=0.04)


def with_first(**changes):
    own = instrument()
    return replace(own, strings=(replace(own.strings[0], **changes), *own.strings[1:]))


@pytest.mark.parametrize(
    "pitch, status", [("E4", "pass"), ("G4", "pass"), ("A4", "warn"), ("E5", "fail")]
)
def test_a_plain_string_at_higher_and_higher_pitches(pitch, status):
    """Its stress is rho (2 L f)^2, whatever its gauge: 7850 (2 x 0.635 f)^2 Pa."""
    played = with_first(pitch=pitch)
    found = one(board(played=played), "string-stress", "string.1")
    stress = 7850.0 * (2.0 * 0.635 * played.strings[0].frequency) ** 2 / 1e6
    assert found.value == pytest.approx(100.0 * stress / (2211.0 / 0.254**0.145), rel=1e-3)
    assert found.status == status and found.bound == 0.0


def test_a_string_that_hangs_is_told():
    (slack,) = (
        f
        for f in ask(board(played=with_first(pitch="E2")), "string-stress")
        if f.code == "string-stress.slack"
    )
    assert slack.status == "fail" and slack.unit == "N"
    assert slack.value == pytest.approx(string_tensions(with_first(pitch="E2"))[0])


def test_an_estimated_core_is_the_bound():
    own = instrument()
    wound = own.strings[5]
    guessed = one(board(played=own), "string-stress", "string.6")
    given = replace(own, strings=(*own.strings[:5], replace(wound, core=float(wound.core))))
    known = one(board(played=given), "string-stress", "string.6")
    assert known.bound == 0.0 and known.value == pytest.approx(guessed.value)
    thin = replace(own, strings=(*own.strings[:5], thinner(wound)))
    least = one(board(played=thin), "string-stress", "string.6")
    assert guessed.value + guessed.bound == pytest.approx(least.value)


def thinner(string: String) -> String:
    """The same weight on a core 15 % thinner."""
    return replace(string, core=0.85 * float(string.core), unit_mass=float(string.unit_mass))
