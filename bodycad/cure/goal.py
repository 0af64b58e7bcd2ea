"""What curing a finding means: its question is found again in another run, and now holds."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from functools import cached_property

from bodycad.checks.finding import STATUSES, Finding
from bodycad.checks.report import Report
from bodycad.checks.waive import NAME as WAIVER
from bodycad.cure.number import Reluctance
from bodycad.words import SIDES

Identity = tuple[str, tuple[str, ...]]


@dataclass(frozen=True)
class Outcome:
    """What one run answered: findings, and ids of parts and voids. `whole`: of all checks.
    `reluctance`: what the changed number stands for; `touched`: the parts and contours that it
    changes."""

    findings: tuple[Finding, ...]
    ids: frozenset[str]
    whole: bool = True
    reluctance: Reluctance = Reluctance.FREE
    touched: frozenset[str] = frozenset()

    @cached_property
    def failing(self) -> Counter[Identity]:
        """How many findings fail or are in error, by code and subjects."""
        return Counter(f.identity for f in self.findings if f.status in ("fail", "error"))

    @cached_property
    def unsound(self) -> Counter[Identity]:
        """How many fail, are in error or warn."""
        return self.failing + Counter(f.identity for f in self.findings if f.status == "warn")

    def with_more(self, other: Outcome) -> Outcome:
        """With what other checks answered of the same values."""
        known = {f.check for f in self.findings} - {WAIVER}
        more = tuple(f for f in other.findings if f.check not in known)
        return replace(self, findings=self.findings + more, ids=self.ids | other.ids)


def outcome(report: Report) -> Outcome:
    """The outcome of a report of all checks."""
    layout = report.layout
    ids = {p.id for p in layout.placed} | {v.id for v in layout.voids}
    return Outcome(report.findings, frozenset(ids))


def curable(finding: Finding) -> bool:
    """Whether a number could make it hold: it fails or warns, and is no stale waiver."""
    return finding.status in ("fail", "warn") and finding.check != WAIVER


@dataclass(frozen=True)
class Goal:
    """A finding to be brought to its limit, and the run it is from.

    clear: it must not even warn, and nothing else may warn for it. watch: what other runs broke for
    it, code and subjects; that must hold too."""

    finding: Finding
    base: Outcome
    clear: bool = False
    watch: frozenset[Identity] = frozenset()

    @property
    def wanted(self) -> tuple[str, ...]:
        """The statuses that will do."""
        return ("pass",) if self.clear else ("pass", "warn")

    @property
    def check(self) -> str:
        """The check that asks."""
        return self.finding.check

    @property
    def checks(self) -> frozenset[str]:
        """The checks that have to be asked."""
        return frozenset({self.check, *(code.partition(".")[0] for code, _ in self.watch)})

    def to_clear(self) -> Goal:
        """The same, to where it no longer warns."""
        return replace(self, clear=True)

    def watching(self, broken: frozenset[Identity]) -> Goal:
        """The same, with what must hold besides."""
        return replace(self, watch=self.watch | broken)

    @cached_property
    def short_now(self) -> float | None:
        """How much is lacking as the design stands, None without a figure."""
        return self._lack(self.finding)

    def short(self, run: Outcome | None) -> float | None:
        """How much is lacking in a run (negative: to spare); None without a figure."""
        if run is None:
            return None
        answers = [f for f in run.findings if f.identity == self.finding.identity]
        watched = [f for f in run.findings if f.identity in self._broken(run)]
        lacks = [lack for f in (*answers, *watched) if (lack := self._lack(f)) is not None]
        return max(lacks) if answers and len(lacks) == len(answers) + len(watched) else None

    def held(self, run: Outcome | None) -> bool:
        """Whether the finding holds in a run, and nothing is broken that is watched."""
        return run is not None and not self._broken(run) and self.met(run)

    def met(self, run: Outcome | None) -> bool:
        """Whether the finding itself holds, or is gone while all its subjects are there."""
        if run is None:
            return False
        found = [f for f in run.findings if f.identity == self.finding.identity]
        if found:
            return all(f.status in self.wanted for f in found)
        there = set(self.finding.subjects) & self.base.ids <= run.ids
        return there and any(
            f.check == self.check and f.status not in ("skip", "error") for f in run.findings
        )

    def about(self, run: Outcome) -> bool:
        """Whether the number changes what the finding is about."""
        skin = (
            {"edge", "edge.front", "edge.back", *map(str, SIDES)} if "skin" in run.touched else ()
        )
        return any(
            subject == one or subject.startswith(f"{one}.")
            for subject in map(str, self.finding.subjects)
            for one in (*run.touched, *skin)
        )

    def broken(self, run: Outcome) -> frozenset[Identity]:
        """What fails in a run that did not fail before; to clear, what warns that did not too."""
        more = run.failing - self.base.failing
        return frozenset(more | (run.unsound - self.base.unsound) if self.clear else more)

    def cured(self, run: Outcome | None) -> bool:
        """Held by a run of all checks, and nothing broken for it."""
        return run is not None and run.whole and self.held(run) and not self.broken(run)

    def _broken(self, run: Outcome) -> frozenset[Identity]:
        return self.broken(run) & self.watch if self.watch else frozenset()

    def words(self, name: str, value: float, now: float, run: Outcome) -> str:
        """The cure in words: what to set, and what was then found."""
        others = "nothing that held before fails" if run.failing else "nothing else fails"
        return f"set {name}={value:.10g} (now {now:.10g}): then this {self._then(run)} and {others}"

    def _then(self, run: Outcome) -> str:
        found = [f for f in run.findings if f.identity == self.finding.identity]
        if not found:
            return "no longer arises"
        worst = min(found, key=lambda f: (STATUSES.index(f.status), -(self._lack(f) or 0.0)))
        lack = self._lack(worst)
        if lack is None:
            return "holds"
        unit = f" {worst.unit}".rstrip()
        spare = f"{max(-lack, 0.0) + 0.0:.2f}{unit} to spare"
        if worst.status == "warn":
            side = "over" if worst.most else "under"
            return f"holds with {spare} (it still warns {side} {worst.warn:g}{unit})"
        return f"no longer warns, with {spare}" if self.clear else f"holds with {spare}"

    def _lack(self, f: Finding) -> float | None:
        """How far a figure, its bound against it, is from the limit that counts here."""
        limit = f.warn if self.clear or f.limit is None else f.limit
        if f.value is None or limit is None:
            return None
        return f.value + f.bound - limit if f.most else limit - f.value + f.bound
