"""What curing a finding means: its question is found again in another run, and now holds."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from bodycad.checks.finding import STATUSES, Finding
from bodycad.checks.waive import NAME as WAIVER
from bodycad.cure.rerun import Outcome


def curable(finding: Finding) -> bool:
    """Whether a parameter could make it hold: it fails or warns, and is no stale waiver."""
    return finding.status in ("fail", "warn") and finding.check != WAIVER


@dataclass(frozen=True)
class Goal:
    """A finding to be brought to its limit (of failing or of warning), and the run it is from."""

    finding: Finding
    base: Outcome

    @property
    def wanted(self) -> tuple[str, ...]:
        """The statuses that will do."""
        return ("pass", "warn") if self.finding.status == "fail" else ("pass",)

    @property
    def check(self) -> str:
        """The check that asks."""
        return self.finding.check

    @cached_property
    def short_now(self) -> float | None:
        """How much is lacking as the design stands, None without a figure."""
        return self._lack(self.finding)

    def answers(self, run: Outcome) -> tuple[Finding, ...]:
        """The findings of a run that have this one's code and subjects."""
        return tuple(f for f in run.findings if f.identity == self.finding.identity)

    def short(self, run: Outcome) -> float | None:
        """How much is lacking in a run (negative: to spare); None without a figure."""
        answers = self.answers(run)
        lacks = [lack for f in answers if (lack := self._lack(f)) is not None]
        return max(lacks) if lacks and len(lacks) == len(answers) else None

    def held(self, run: Outcome | None) -> bool:
        """Whether the finding holds in a run, or is gone while all its subjects are there."""
        if run is None:
            return False
        found = self.answers(run)
        if found:
            return all(f.status in self.wanted for f in found)
        there = set(self.finding.subjects) & self.base.ids <= run.ids
        return there and any(
            f.check == self.finding.check and f.status not in ("skip", "error")
            for f in run.findings
        )

    def breaks_nothing(self, run: Outcome | None) -> bool:
        """Whether nothing fails in a run that did not fail before."""
        return run is not None and run.whole and not run.failing - self.base.failing

    def cured(self, run: Outcome | None) -> bool:
        """Held, and nothing broken for it."""
        return self.held(run) and self.breaks_nothing(run)

    def words(self, name: str, value: float, now: float, run: Outcome) -> str:
        """The cure in words: what to set, and what was then found."""
        others = "nothing that held before fails" if run.failing else "nothing else fails"
        return f"set {name}={value:.10g} (now {now:.10g}): then this {self._then(run)} and {others}"

    def _then(self, run: Outcome) -> str:
        found = self.answers(run)
        if not found:
            return "no longer arises"
        worst = min(found, key=lambda f: (STATUSES.index(f.status), -(self._lack(f) or 0.0)))
        lack = self._lack(worst)
        if lack is None:
            return "holds"
        unit = f" {worst.unit}".rstrip()
        spare = f"{max(-lack, 0.0) + 0.0:.2f}{unit} to spare"
        if self.finding.status == "warn":
            return f"no longer warns, with {spare}"
        side = "over" if worst.most else "under"
        return f"holds with {spare}" + (
            f" (it still warns {side} {worst.warn:g}{unit})" if worst.status == "warn" else ""
        )

    def _lack(self, f: Finding) -> float | None:
        """How far a figure, its bound against it, is from the limit that counts here."""
        limit = f.warn if self.finding.status == "warn" or f.limit is None else f.limit
        if f.value is None or limit is None:
            return None
        return f.value + f.bound - limit if f.most else limit - f.value + f.bound
