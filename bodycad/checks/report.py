"""The report: findings of one layout with the numbers behind them; what every renderer reads."""

from __future__ import annotations

from dataclasses import dataclass

from bodycad.checks.finding import Finding, margin_key
from bodycad.checks.outlook import Chance, Hanging, Unwatched
from bodycad.layout.layout import Layout
from bodycad.units import Dimension


@dataclass(frozen=True, eq=False)
class Report:
    """A layout, its findings tightest first, and its parts' dimensions.

    `chance`: that of the whole body, where it was asked for; `measure`: what to measure before
    cutting, the size with the least room for error first, where it was worked out; `unwatched`: the
    design's numbers that move no figure, where that was asked for."""

    layout: Layout
    findings: tuple[Finding, ...]
    dimensions: tuple[Dimension, ...]
    chance: Chance | None = None
    measure: tuple[Hanging, ...] | None = None
    unwatched: tuple[Unwatched, ...] | None = None

    @property
    def verdict(self) -> str:
        """`fail` when any finding fails or is in error, else `warn` when any warns, else `pass`."""
        found = {f.status for f in self.findings}
        if found & {"error", "fail"}:
            return "fail"
        return "warn" if "warn" in found else "pass"

    @property
    def exit_status(self) -> int:
        """0 when nothing fails, else 1."""
        return 1 if self.verdict == "fail" else 0

    def count(self, status: str) -> int:
        """How many findings have that status; waived ones count apart."""
        return sum(f.status == status and not f.waiver for f in self.findings)

    @property
    def waived(self) -> tuple[Finding, ...]:
        """The findings that hold only because the maker accepts them, tightest first."""
        return tuple(f for f in self.findings if f.waiver)


def sorted_findings(findings: list[Finding]) -> tuple[Finding, ...]:
    """Worst status first, then the least to spare (`margin_key`); equal ones by code and subjects,
    so the order of placing does not matter."""
    return tuple(sorted(findings, key=lambda f: (*margin_key(f), *f.identity)))
