"""Waivers applied to findings: an accepted finding passes with its reason, a stale waiver warns."""

from __future__ import annotations

import difflib
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace

from bodycad.checks.finding import Finding
from bodycad.checks.page import Page
from bodycad.errors import InputError
from bodycad.waiver import Waiver

NAME = "waiver"
SLACK = 1e-9
"""A figure within this of what is accepted is accepted, as in `checks.finding.judge`."""
PAGE = Page(
    asks="Does every waiver of the design still stand for a finding that would fail or warn "
    "without it?",
    why="A waiver that nothing needs any more hides the next fault of the same two subjects; one "
    "that is exceeded protects nobody.",
    limits=(),
    cures="Remove the waiver, or correct its code and subjects; where a finding is beyond it, mend "
    "the wood or accept the new figure with a new reason.",
)


def waive(
    findings: Iterable[Finding],
    waivers: Sequence[Waiver],
    asked: Collection[str],
    known: Mapping[str, Sequence[str]],
) -> list[Finding]:
    """The findings with the waivers of the checks that were `asked` applied, and one warning for
    each stale waiver. `known`: the codes of every check, by its name.

    Accepted findings get status "pass" and the reason; findings worse than accepted stay and say by
    how much. Raises InputError for a waiver of no check, and for one that names a check where the
    check's findings have codes of their own."""
    found = list(findings)
    for waiver in waivers:
        _understood(waiver, found, known)
        if waiver.check not in asked:
            continue
        own = [k for k, f in enumerate(found) if (f.code, tuple(sorted(f.subjects))) == waiver.key]
        unsound = [k for k in own if found[k].status in ("fail", "warn")]
        for k in unsound:
            found[k] = _waived(found[k], waiver)
        broken = any(f.check == waiver.check and f.status == "error" for f in found)
        if not unsound and not broken:
            found.append(_stale(waiver, [found[k] for k in own], found))
    return found


def _understood(
    waiver: Waiver, found: Sequence[Finding], known: Mapping[str, Sequence[str]]
) -> None:
    """Raise InputError for a waiver whose code can be no finding's."""
    if waiver.check not in known:
        every = sorted({*known, *(code for codes in known.values() for code in codes)})
        near = difflib.get_close_matches(waiver.code, every, n=1, cutoff=0.5)
        remedy = f"did you mean {near[0]}?" if near else ""
        allowed = f"a code of one of these checks: {', '.join(known)}"
        raise InputError("a waiver's code", waiver.code, allowed, remedy)
    judged = (f.code for f in found if f.check == waiver.check and f.status in ("fail", "warn"))
    codes = sorted({*known[waiver.check], *judged})
    if waiver.code == waiver.check and codes and waiver.code not in codes:
        remedy = f"{waiver.check} is a check; name the code of the finding, as the report lists it"
        raise InputError("a waiver's code", waiver.code, ", ".join(codes), remedy)


def _waived(finding: Finding, waiver: Waiver) -> Finding:
    """The finding as accepted, or with what it is beyond the waiver."""
    value, accepts, unit = finding.value, waiver.accepts, finding.unit
    accepted = replace(finding, status="pass", waiver=waiver.reason, cure="")
    if value is None and accepts is None:
        return accepted
    if value is None or accepts is None:
        why = "it has no figure to compare" if value is None else "the waiver names no figure"
        words = f"its waiver does not cover this: {why}"
        return replace(finding, text=f"{finding.text}; {words}")
    beyond = finding.bound + (value - accepts if finding.most else accepts - value)
    if beyond <= SLACK:
        return accepted
    amount = f"{beyond:.2f}" if beyond >= 5e-3 else "less than 0.01"
    words = f"{amount} {unit} beyond its waiver, which accepts {accepts:g} {unit}"
    return replace(finding, text=f"{finding.text}; {words}")


def _stale(waiver: Waiver, own: Sequence[Finding], every: Sequence[Finding]) -> Finding:
    """The warning that a waiver is not needed, or matches nothing."""
    code, subjects = f"{NAME}.{waiver.code}", tuple(waiver.subjects)
    remove = "remove this waiver from the design"
    if own:
        figures = [f"{f.value:.2f} {f.unit}" for f in own if f.value is not None]
        why = "the finding holds without it" + (f" ({', '.join(figures)})" if figures else "")
        return Finding(code, "warn", subjects, f"{waiver} is no longer needed: {why}", cure=remove)
    like = (f for f in every if f.check == waiver.check and f.subjects)
    listed = {f"{f.code} of {', '.join(f.subjects)}" for f in like}
    wanted = f"{waiver.code} of {', '.join(subjects)}"
    near = difflib.get_close_matches(wanted, sorted(listed), n=1)
    hint = f"; nearest: {near[0]}" if near else ""
    cure = f"{remove}, or correct its code and subjects{hint}"
    return Finding(code, "warn", subjects, f"{waiver} matches no finding", cure=cure)
