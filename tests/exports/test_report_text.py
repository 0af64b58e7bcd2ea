"""The terminal report: order, width, words for what is spare, colour only when asked."""

from dataclasses import replace

import pytest

from bodycad.exports.report.text import (
    WIDTH,
    figure,
    judged,
    measure,
    report_text,
    spare,
    tightest,
    to_measure,
)
from tests.exports.reports import DIMENSIONS, FINDINGS, report


def test_order_and_contents():
    """Verdict and counts, then errors, failures, warnings, the tightest of what holds once a check,
    skips with their reason, sizes to measure, and where the cautions are."""
    text = report_text(report())
    assert text.splitlines()[0] == "sample: FAIL  (1 in error, 2 fail, 1 warn, 4 hold, 1 not asked)"
    marks = [
        "ERROR broken",
        "FAIL  wall",
        "FAIL  complete",
        "warn  floor",
        "Tightest of what holds",
        "  tilt",
        "  wall",
        "Not asked",
        "swing: nothing swings here",
        "Measure before cutting (2 of 5",
        "Working safely",
    ]
    places = [text.index(m, text.index("Tightest") if m.startswith("  ") else 0) for m in marks]
    assert places == sorted(places)
    assert "a.ears, wire" not in text, "only the tightest of a check is listed"
    assert "neck.heel.length 76 +-3; jack.plug 30 +-1" in text and "modulus" not in text


def test_a_failing_finding_says_all():
    """Figure with its error bound, limit and its source, what is short, where, and the cure."""
    text = report_text(report())
    assert "2.50 mm (to 0.01), limit at least 3.00 mm: short by 0.50 mm (a made-up table)" in text
    assert "at (60.0, 45.0, -10.0) to (60.0, 47.5, -10.0)" in text and "cure: move one" in text
    assert "4.00 mm, limit at least 3.00 mm, warns under 5.00 mm: 1.00 mm spare" in text


def test_no_line_is_wider_than_the_terminal():
    """Also with long words and names."""
    long = replace(
        FINDINGS[0],
        text="far " * 60,
        cure="cure " * 50,
        subjects=("part." * 9 + "one", "part." * 9 + "two"),
    )
    held = replace(FINDINGS[4], subjects=long.subjects)
    lines = report_text(report(long, held, FINDINGS[7])).splitlines()
    assert max(map(len, lines)) <= WIDTH <= 100 and len(lines) > 15


def test_colour_only_when_asked():
    """The same words with and without."""
    import re

    plain, coloured = report_text(report()), report_text(report(), colour=True)
    assert "\x1b" not in plain and "\x1b[31;1mFAIL" in coloured
    assert re.sub(r"\x1b\[[\d;]*m", "", coloured) == plain


@pytest.mark.parametrize(
    "k, words", [(0, "short by 0.50 mm"), (1, "1.00 mm spare"), (2, "1.50 deg spare"), (5, "")]
)
def test_spare_in_words(k, words):
    """Whichever way the limit runs."""
    assert spare(FINDINGS[k]) == words


def test_the_measure_in_words():
    """Deviations where one is known and the figure is not as true as it can be cut, else bands."""
    known = replace(FINDINGS[1], deviation=0.25)  # 1.00 mm spare, 2.00 from limit to warning
    assert measure(known) == "4.0 deviations" and measure(known, short=True) == "4.0 dev"
    assert measure(FINDINGS[1]) == "0.5 bands" and measure(FINDINGS[5]) == ""
    short = replace(FINDINGS[0], deviation=0.25)  # short by 0.50, told to 0.01
    assert measure(short) == "2.0 deviations short"
    assert measure(replace(FINDINGS[2], deviation=0.3)) == "1.5 bands", "half a degree is as true"


def test_a_hair_short_is_still_short():
    """A failing finding never reads as "0.00 spare"."""
    assert spare(replace(FINDINGS[0], value=2.9999)) == "short by less than 0.01 mm"
    assert figure(-0.001, "mm") == "0.00 mm" and judged(
        replace(FINDINGS[0], value=2.9999)
    ).startswith("3.00 mm")


def test_tightest_and_to_measure():
    """One a check, least to spare first; default lengths by their tolerance."""
    assert [(f.check, f.value) for f in tightest(report())] == [("tilt", 0.5), ("wall", 9.0)]
    assert [d.name for d in to_measure(DIMENSIONS)] == ["length", "plug"]


def test_a_clean_report_is_short():
    """Nothing fails, nothing is skipped, everything is measured: no empty headings."""
    text = report_text(
        report(FINDINGS[2], dimensions=[d for d in DIMENSIONS if d.origin == "measured"])
    )
    assert text.startswith("sample: PASS  (0 fail, 0 warn, 1 hold)\n")
    assert not any(word in text for word in ("Not asked", "Measure before", "cure"))
