"""A finding: which question, which subjects, the figure, its limit, where, in words, the cure."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace

from bodycad.geometry.distance.search import Gap
from bodycad.geometry.solids.solid import Solid
from bodycad.layout.workpiece import BODY
from bodycad.shop import Limit

STATUSES = ("error", "fail", "warn", "skip", "pass")
"""Worst first."""

Several = Callable[[], Sequence[float]]
Witness = tuple[tuple[float, float, float], tuple[float, float, float]]


def witness(one: Iterable[float], two: Iterable[float], z: float | None = None) -> Witness:
    """Two points as plain numbers, mm: (x, y, z) each, or (x, y) each at height `z`."""
    (x0, y0, z0), (x1, y1, z1) = (
        (*map(float, p), *(() if z is None else (z,))) for p in (one, two)
    )
    return (x0, y0, z0), (x1, y1, z1)


@dataclass(frozen=True)
class Finding:
    """One judged figure. `value` is None where no figure exists; `text` then says why.

    `code` says what is asked, the name of its limit where it has one ("bolt-seat.wall"); code and
    subjects are a finding's identity, whatever its words.

    `waiver`: the reason for which the maker accepts it (its status is then "pass"). `change`: the
    one parameter of the script, and its value, that was proven to cure it. `between`: where `value`
    is a distance between two shapes, those two (see `Gap`); `proof`: the same as the kernel
    measures it. `chance`: that it holds within the tolerances, 0 to 1; `worst`: the figure with all
    of them at their worst. `piece`: the workpiece in whose own frame `between` lies; `at` is always
    in the instrument's. `of`: where `value` is the least (or the greatest) of several figures, what
    gives them, in an order that no error of the body changes; () where it cannot. `either`: the
    finding holds where any of them does, not only where all do. `steps`: an error of the body that
    is within its tolerance may make the figure jump, so no worst case is foretold. `deviation`: how
    far the shop's own work may move the figure, in its unit; 0 where no error is known to (see
    `deviation`). `size`: where `value` is the lesser of what is spare below and above a size, which
    `of` gives in that order, the size: it is what is measured."""

    code: str
    status: str
    subjects: tuple[str, ...]
    text: str
    value: float | None = None
    bound: float = 0.0
    limit: float | None = None
    warn: float | None = None
    most: bool = False
    unit: str = "mm"
    at: Witness | None = None
    cure: str = ""
    limit_source: str = ""
    proof: float | None = None
    waiver: str = ""
    change: tuple[str, float] | None = None
    between: tuple[Solid | str, Solid | str] | None = field(default=None, compare=False, repr=False)
    chance: float | None = None
    worst: float | None = None
    piece: str = BODY
    of: Several | None = field(default=None, compare=False, repr=False)
    either: bool = field(default=False, compare=False, repr=False)
    steps: bool = field(default=False, compare=False, repr=False)
    deviation: float = field(default=0.0, compare=False)
    size: float | None = field(default=None, compare=False)

    def __getstate__(self) -> dict[str, object]:
        """Its fields for another process; what gives its figures stays behind, with its layout."""
        return {**vars(self), "of": None}

    @property
    def check(self) -> str:
        """The check that asks: the beginning of its code."""
        return self.code.partition(".")[0]

    @property
    def identity(self) -> tuple[str, tuple[str, ...]]:
        """What the finding is, apart from its answer."""
        return self.code, self.subjects

    @property
    def margin(self) -> float | None:
        """How much is spare in the unit of `value`; negative when it is short."""
        if self.value is None or self.limit is None:
            return None
        return self.limit - self.value if self.most else self.value - self.limit

    @property
    def deviations(self) -> float | None:
        """How many deviations are spare, the error bound taken off; None where none is known."""
        if self.margin is None or self.deviation <= 0.0:
            return None
        return (self.margin - self.bound) / self.deviation

    @property
    def bands(self) -> float | None:
        """How many times the band between limit and warning is spare: 1 where it stops warning;
        None where there is no band."""
        if self.margin is None or self.limit is None or self.warn is None:
            return None
        band = abs(self.warn - self.limit)
        return self.margin / band if band > 1e-9 else None

    @property
    def true(self) -> bool:
        """Whether what holds is as true as the shop can cut it: nil, or off by no more than twice
        its deviation where it may not differ. Nothing there was drawn near its limit."""
        if self.status != "pass" or self.value is None:
            return False
        return abs(self.value) <= max(1e-6, 2.0 * self.deviation * self.most)


def both_ways(offs: Iterable[float]) -> Several:
    """What gives offsets and their opposites: the greatest of them is the greatest offset to either
    side."""
    found = tuple(offs)
    return lambda: (*found, *(-one for one in found))


def judge(
    subjects: tuple[str, ...],
    value: float,
    limit: Limit,
    text: str,
    cure: str,
    *,
    at: Witness | None = None,
    bound: float = 0.0,
    unit: str = "mm",
    between: tuple[Solid | str, Solid | str] | None = None,
    code: str = "",
    of: Several | None = None,
    either: bool = False,
) -> Finding:
    """A finding from a figure and its limit. The error bound counts against the figure; a figure
    within 1e-9 of its limit holds it. `between`: where the figure is their distance, the two
    shapes. `code`: the finding's code, where one limit judges several figures of like subjects.
    `of`: what gives the figures of which `value` is the least or the greatest; `either`: any of
    them that holds the limit will do."""
    code, sign, slack = code or limit.name, -1.0 if limit.most else 1.0, 1e-9
    worst, fail, warn = sign * value - bound, sign * limit.fail - slack, sign * limit.warn - slack
    status = "fail" if worst < fail else "warn" if worst < warn else "pass"
    if not math.isfinite(value):
        return Finding(code, "error", subjects, f"{text}: the figure is {value}", unit=unit, at=at)
    figures, cure = (value, bound, limit.fail, limit.warn), cure if status != "pass" else ""
    row = (*figures, limit.most, unit, at, cure, limit.source)
    return Finding(code, status, subjects, text, *row, between=between, of=of, either=either)


def judge_gap(
    subjects: tuple[str, ...], gap: Gap, limit: Limit, text: str, cure: str, code: str = ""
) -> Finding:
    """`judge` for a gap with its witnesses and error bound."""
    value, at, bound, two = gap.distance, gap.at, gap.bound, gap.between
    return judge(subjects, value, limit, text, cure, at=at, bound=bound, between=two, code=code)


def advise(
    subjects: tuple[str, ...],
    value: float,
    limit: Limit,
    text: str,
    cure: str,
    *,
    at: Witness | None = None,
    unit: str = "mm",
    code: str = "",
) -> Finding:
    """`judge` for advice: what would fail only warns, and the finding has no failing limit."""
    found = judge(subjects, value, limit, text, cure, at=at, unit=unit, code=code)
    return replace(found, status="warn" if found.status == "fail" else found.status, limit=None)


def skip(check: str, reason: str) -> Finding:
    """A question that does not apply to this design, with the reason."""
    return Finding(check, "skip", (), reason)


def failed(
    code: str,
    subjects: tuple[str, ...],
    text: str,
    cure: str,
    at: Witness | None = None,
    source: str = "",
) -> Finding:
    """A fault that has no figure (something is missing or meets nothing)."""
    return Finding(code, "fail", subjects, text, at=at, cure=cure, limit_source=source)


def passed(code: str, subjects: tuple[str, ...], text: str) -> Finding:
    """A yes-or-no question answered yes."""
    return Finding(code, "pass", subjects, text)


def margin_key(finding: Finding) -> tuple[int, float, float, float]:
    """Sort key: worst status first, then the least to spare: in deviations; below, what no error of
    the shop is known to move, in bands; then in the figure's own unit, and what has no figure."""
    status, margin = STATUSES.index(finding.status), finding.margin
    if margin is None:
        return status, math.inf, math.inf, math.inf
    deviations, bands = finding.deviations, finding.bands
    return (
        status,
        math.inf if deviations is None or finding.true else deviations,
        math.inf if bands is None else bands,
        margin,
    )
