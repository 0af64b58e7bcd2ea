"""What to measure first: how far a size may be off is where the finding truly fails; what is
listed, and where it is shown."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bodycad.chance.built import Errors, as_built
from bodycad.chance.measure import (
    contradicted,
    measure_first,
    unsure_variables,
    with_chances,
    with_measure,
)
from bodycad.checks.runner import answers, run
from bodycad.errors import InputError
from bodycad.exports.report.html import html_text
from bodycad.exports.report.json import json_report
from bodycad.exports.report.text import report_text
from bodycad.units import claimed, measured
from tests.checks.bench import TABLE, board, controls, hardtail, humbucker, necked


@pytest.fixture(scope="module")
def layout():
    heel = replace(
        necked().part.heel,
        width_mouth=measured(55.9, claim=56.3),
        length=measured(76.0),
        thickness=claimed(25.4, 0.5),
    )
    joint = replace(necked().part, heel=heel)
    return board(
        replace(necked(), part=joint),
        hardtail(saddle_low=9.0),
        humbucker(60.0),
        controls(6.0, y=-100.0),
    )


@pytest.fixture(scope="module")
def rows(layout):
    return measure_first(layout)


def test_the_least_room_comes_first(rows):
    assert len(rows) > 10
    rooms = [round(h.may_be_off, 6) for h in rows]
    assert rooms == sorted(rooms)


def test_the_finding_fails_where_it_is_said_to(layout, rows):
    """A size off by a fifth less than it may be holds the finding, off by a fifth more fails it,
    one way or the other."""
    tried = 0
    for h in rows:
        # A string's figures bend too much over half their own size.
        if h.may_be_off > 3.0 or h.finding.at is None or ".strings." in h.part:
            continue
        names = {
            (owner, path)
            for owner, path in (_split(layout, f"{part}.{name}") for part, name in h.names)
        }
        margins = []
        for share in (0.8, 1.2):
            found = []
            for sign in (1.0, -1.0):
                try:
                    built = as_built(
                        layout, Errors(sizes=dict.fromkeys(names, sign * share * h.may_be_off))
                    )
                except InputError:  # no part has that size: beyond what may be off, it fails
                    found += [-math.inf] if share > 1.0 else []
                    continue
                # What is spare, the error bound taken off.
                found += [
                    f.margin - f.bound
                    for f in answers(TABLE[h.finding.check], built)
                    if f.limit == h.finding.limit
                    and f.subjects[:1] == h.finding.subjects[:1]
                    and f.margin is not None
                ]
            margins.append(min(found))
        assert margins[0] > 0.0 > margins[1], (h.part, h.name, h.may_be_off, margins)
        tried += 1
    assert tried >= 8


def _split(layout, path):
    owner = max(
        (p.id for p in layout.placed if path.startswith(f"{p.id}.")), key=len, default="instrument"
    )
    return owner, path.removeprefix(f"{owner}.")


def test_measured_sizes_are_not_asked_for_again(layout, rows):
    """Only a measured size whose vendor says otherwise stays among the unsure."""
    assert all(
        h.origin != "measured" or (h.part, h.name) == ("neck.heel", "width_mouth") for h in rows
    )
    names = {v.subject for v in unsure_variables(layout)}
    assert (
        "neck.heel.length" not in names
        and {"neck.heel.width_mouth", "instrument.neck.heel.thickness", "pickup.feet_span"} <= names
    )


def test_what_is_only_cut_is_not_to_be_measured(rows):
    """Clearances, holes and corners are the shop's own choice; no finding hangs on another number
    for what is cut already."""
    assert not {"side_clearance", "end_clearance", "hole", "pilot", "corner", "gap", "fit"} & {
        h.name for h in rows if h.part != "instrument.neck.heel"
    }


def test_claims_that_the_calipers_deny(layout):
    report = run(layout, [TABLE["stack"]])
    assert [(d.part, d.name, d.claim) for d in contradicted(report.dimensions)] == [
        ("neck.heel", "width_mouth", 56.3)
    ]
    text = report_text(with_measure(report))
    assert "neck.heel.width_mouth measures 55.9 mm and is claimed 56.3: 0.40 apart; mind" in text
    close = replace(
        report,
        dimensions=tuple(replace(d, claim=56.0) if d.claim else d for d in report.dimensions),
        measure=(),
    )
    assert "0.10 apart\n" in report_text(close)


def test_where_it_is_shown(layout, rows):
    """Text, page and JSON name the size, how far it may be off and the finding; a report without it
    keeps the plain list."""
    report = replace(run(layout, [TABLE["stack"]]), measure=rows)
    first = rows[0]
    text, page = report_text(report), html_text(report)
    assert (
        f"{first.part}.{first.name}" in text
        and f"{first.may_be_off:.2f} {first.unit} off, and {first.finding.code} fails"
        in " ".join(text.split())
    )
    assert (
        f'<td class="full">{first.part}.{first.name}</td>' in page and "Claimed otherwise" in page
    )
    row = next(
        d
        for d in json_report(report)["dimensions"]
        if (d["part"], d["name"]) == (first.part, first.name)
    )
    assert (
        row["may_be_off"] == pytest.approx(first.may_be_off)
        and row["decides"]["check"] == first.finding.check
    )
    plain = run(layout, [TABLE["stack"]])
    assert plain.measure is None and "common practice, not yet measured" in report_text(plain)
    assert not any("may_be_off" in d for d in json_report(plain)["dimensions"])


def test_one_set_of_slopes_serves_both(layout, rows):
    """`check --chance` lists what `measure_first` does."""
    report = with_chances(run(layout), "100")
    assert report.chance.bodies == 100
    assert [(h.part, h.name) for h in report.measure] == [(h.part, h.name) for h in rows]
    assert [h.may_be_off for h in report.measure] == pytest.approx([h.may_be_off for h in rows])
