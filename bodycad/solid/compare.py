"""Our gaps beside the kernel's: which findings are measured again, and what to say of the answers.

This module never loads the kernel; `proof` does the measuring, in a child process.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from bodycad.checks.finding import Finding, Witness
from bodycad.checks.rules.kernel import PROOF
from bodycad.geometry.distance.search import Gap
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.workpiece import Workpiece

CHECK = PROOF.name
AGREE = 0.02
"""Our figure and the kernel's may differ by this (mm) beyond our own error bound."""
CURE = (
    "one of the two figures is wrong: measure there before cutting, and report it with the design"
)


@dataclass(frozen=True, eq=False)
class Question:
    """A gap to be measured again, and the names of the two things it lies between; `skin`: of the
    workpiece in whose frame it lies, None for the body's."""

    names: tuple[str, str]
    gap: Gap
    skin: Skin | None = None


def questions(
    findings: Sequence[Finding], pieces: Sequence[Workpiece] = ()
) -> tuple[tuple[int, Question], ...]:
    """The findings whose figure is a distance between two shapes, by their place in the row.
    `pieces`: the workpieces but the body that findings may speak of."""
    by_id = {piece.id: piece for piece in pieces}
    return tuple(
        (k, _question(f, by_id.get(f.piece)))
        for k, f in enumerate(findings)
        if f.between is not None and f.at is not None and f.value is not None and f.unit == "mm"
    )


def _question(f: Finding, piece: Workpiece | None) -> Question:
    assert f.value is not None and f.at
    names = f.subjects[0], f.subjects[-1]
    if piece is None:
        return Question(names, Gap(f.value, f.bound, f.at, f.between))
    one, two = map(piece.frame.own, f.at)
    return Question(names, Gap(f.value, f.bound, (one, two), f.between), piece.skin)


def compared(findings: Sequence[Finding], answers: Sequence[float | str]) -> tuple[Finding, ...]:
    """The findings with the kernel's figures in `proof`, then an error for each pair on which the
    two disagree or the kernel has no answer, and one line that sums up. `answers`: one for each of
    `questions`."""
    out, faults, differences = list(findings), [], [0.0]
    asked = questions(findings)
    for (k, question), answer in zip(asked, answers, strict=True):
        one = findings[k]
        words = f"{question.names[0]} to {question.names[1]} ({one.check})"
        if isinstance(answer, str):
            text = f"{words}: the kernel cannot measure it: {answer}"
            faults.append(Finding(CHECK, "error", one.subjects, text, at=one.at, cure=CURE))
            continue
        out[k] = replace(one, proof=answer)
        assert one.value is not None
        difference = abs(answer - one.value)
        differences.append(difference)
        if difference > AGREE + one.bound:
            text = f"{words}: {one.value:.3f} mm by the checks, {answer:.3f} mm by the kernel"
            pair = difference, AGREE + one.bound
            faults.append(at_most("error", CHECK, one.subjects, text, *pair, CURE, at=one.at))
    return (*out, *faults, _summary(len(asked), len(differences) - 1, max(differences)))


def at_most(
    status: str,
    check: str,
    subjects: tuple[str, ...],
    text: str,
    value: float,
    limit: float,
    cure: str = "",
    *,
    unit: str = "mm",
    at: Witness | None = None,
) -> Finding:
    """A finding on a figure of the kernel's that may be `limit` at most."""
    return Finding(
        check, status, subjects, text, value, 0.0, limit, limit, True, unit, at=at, cure=cure
    )


def proven(
    findings: Sequence[Finding], answers: Sequence[float | str], faults: Sequence[Finding]
) -> tuple[Finding, ...]:
    """`compared`, or the findings as they were and the faults of a kernel that did not live to
    answer."""
    return (*findings, *faults) if faults else compared(findings, answers)


def _summary(asked: int, measured: int, largest: float) -> Finding:
    if not asked:
        return Finding(CHECK, "skip", (), "no finding of this design is a gap between two shapes")
    whole = "" if measured == asked else f" of {asked}"
    text = (
        f"{measured}{whole} gaps measured again by the kernel, largest difference {largest:.4f} mm"
    )
    return Finding(CHECK, "pass", (), text)
