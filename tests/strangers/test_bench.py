"""The body that the tests of this folder swap parts of is sound with the shipped parts."""

from __future__ import annotations

from tests.strangers.bench import quoin


def test_the_body_of_shipped_parts_has_no_fault():
    report = quoin().check()
    assert not [
        (f.code, f.subjects, f.text) for f in report.findings if f.status in ("fail", "error")
    ]
