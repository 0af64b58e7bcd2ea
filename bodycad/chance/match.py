"""The same question in two reports: the findings of a changed body beside those of the drawn one."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Sequence

from bodycad.checks.finding import Finding

_FIGURE = re.compile(r"[-+]?\d+(?:\.\d+)?")

KEYS: tuple[Callable[[Finding], tuple], ...] = (
    lambda f: (f.subjects, f.limit, f.warn, f.most, f.unit, _FIGURE.sub("#", f.text)),
    lambda f: (f.subjects, f.limit, f.warn, f.most, f.unit),
    lambda f: (f.subjects[:1], f.limit, f.warn, f.most, f.unit),
)
"""What two findings of one check have in common, the surest first: subjects, limits and words;
without the words ("lies inside" becomes "overhangs"); without the second subject (another void or
string has become the nearest)."""


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
            j
            for j in right
            if other[j].subjects
            and set(other[j].subjects) < set(base[i].subjects)
            and other[j].margin is not None
            and KEYS[1](other[j])[1:] == KEYS[1](base[i])[1:]
        ]
        if some:
            found[i] = min(some, key=lambda j: other[j].margin)
    return found
