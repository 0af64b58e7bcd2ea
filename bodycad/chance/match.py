"""The same question in two reports: a changed body's findings beside those of the drawn one."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence

from bodycad.checks.finding import Finding

KEYS: tuple[Callable[[Finding], object], ...] = (
    lambda f: f.identity,
    lambda f: (f.code, f.subjects[:1]),
)
"""What two findings have in common, the surest first: code and subjects; code and first subject
(another void, contour or string has become the nearest)."""


def pairs(base: Sequence[Finding], other: Sequence[Finding]) -> tuple[dict[int, int], list[int]]:
    """Index in `other` by index in `base`, of one check's findings in the order it gave them, and
    the indices in `other` that answer nothing of `base`. Of equal questions the first answers the
    first."""
    found: dict[int, int] = {}
    left, right = list(range(len(base))), list(range(len(other)))
    for key in KEYS:
        waiting = defaultdict(list)
        for j in right:
            waiting[key(other[j])].append(j)
        for i in left:
            row = waiting.get(key(base[i]))
            if row:
                found[i] = row.pop(0)
        taken = set(found.values())
        left, right = [i for i in left if i not in found], [j for j in right if j not in taken]
    return found | _parted(base, other, left, right), right


def _parted(
    base: Sequence[Finding], other: Sequence[Finding], left: list[int], right: list[int]
) -> dict[int, int]:
    """A finding on a group of like things that are alike no longer: the one with the least margin
    answers for it."""
    found = {}
    for i in left:
        some = [
            (other[j].margin, j)
            for j in right
            if other[j].code == base[i].code
            and other[j].subjects
            and set(other[j].subjects) < set(base[i].subjects)
            and other[j].margin is not None
        ]
        if some:
            found[i] = min(some, key=lambda pair: pair[0] or 0.0)[1]
    return found
