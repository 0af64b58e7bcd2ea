"""Waivers applied to findings: what is accepted passes with its reason, what has gone stale warns."""

from __future__ import annotations

import difflib
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from bodycad.checks.finding import Finding
from bodycad.checks.page import Page
from bodycad.errors import InputError
from bodycad.waiver import Waiver

NAME = "waiver"
SLACK = 1e-9
PAGE = Page(
    asks="Does every waiver of the design still stand for a finding that would fail or warn without it?",
    why="A waiver that nothing needs any more hides the next fault of the same two subjects; one that is exceeded protects nobody.",
    limits=(),
    cures="Remove the waiver, or correct its check and subjects; where a finding is beyond it, mend the wood or accept the new figure "
    "with a new reason.",
)


def waive(
    findings: Iterable[Finding],
    waivers: Sequence[Waiver],
    asked: Collection[str],
    known: Collection[str],
) -> list[Finding]:
    """The findings with the waivers of the checks that were `asked` applied, and one warning for
    each stale waiver.

    Accepted findings get status "pass" and the reason; findings worse than accepted stay and say by
    how much. Raises InputError for a waiver of a check that is not `known`."""
    found = list(findings)
    for waiver in waivers:
        if waiver.check not in {*asked, *known}:
            near = difflib.get_close_matches(waiver.check, known, n=1, cutoff=0.5)
            raise InputError(
                "a waiver's check",
                waiver.check,
                ", ".join(known),
                f"did you mean {near[0]}?" if near else "",
            )
        if waiver.check in asked:
            own = [
                k for k, f in enumerate(found) if (f.check, tuple(sorted(f.subjects))) == waiver.key
            ]
            unsound = [k for k in own if found[k].status in ("fail", "warn")]
            for k in unsound:
                found[k] = _waived(found[k], waiver)
            broken = any(f.check == waiver.check and f.status == "error" for f in found)
            if not unsound and not broken:
                found.append(_stale(waiver, [found[k] for k in own], found))
    return found


def _waived(finding: Finding, waiver: Waiver) -> Finding:
    """The finding as accepted, or with what it is beyond the waiver."""
    if (finding.value is None) != (waiver.accepts is None):
        why = (
            "it has no figure to compare" if finding.value is None else "the waiver names no figure"
        )
        return replace(finding, text=f"{finding.text}; its waiver does not cover this: {why}")
    beyond = _beyond(finding, waiver)
    if beyond <= SLACK:
        return replace(finding, status="pass", waiver=waiver.reason, cure="")
    amount = f"{beyond:.2f}" if beyond >= 5e-3 else "less than 0.01"
    return replace(
        finding,
        text=f"{finding.text}; {amount} {finding.unit} beyond its waiver, which accepts {waiver.accepts:g} {finding.unit}",
    )


def _beyond(finding: Finding, waiver: Waiver) -> float:
    """How much worse (in its unit) a finding is than accepted; its error bound counts against
    it."""
    if finding.value is None:
        return 0.0
    worst = finding.value + finding.bound if finding.most else finding.value - finding.bound
    return worst - waiver.accepts if finding.most else waiver.accepts - worst


def _stale(waiver: Waiver, own: Sequence[Finding], every: Sequence[Finding]) -> Finding:
    if own:
        figures = [f"{f.value:.2f} {f.unit}" for f in own if f.value is not None]
        why = "the finding holds without it" + (f" ({', '.join(figures)})" if figures else "")
        return Finding(
            NAME,
            "warn",
            waiver.subjects,
            f"{waiver} is no longer needed: {why}",
            cure="remove this waiver from the design",
        )
    listed = {", ".join(f.subjects) for f in every if f.check == waiver.check and f.subjects}
    near = difflib.get_close_matches(", ".join(waiver.subjects), sorted(listed), n=1)
    hint = f"; nearest: {near[0]}" if near else ""
    return Finding(
        NAME,
        "warn",
        waiver.subjects,
        f"{waiver} matches no finding",
        cure=f"remove this waiver from the design, or correct its subjects{hint}",
    )
