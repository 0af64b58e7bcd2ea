"""Waivers: findings that the maker accepts, each with how far it may go and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bodycad.errors import InputError, finite


@dataclass(frozen=True)
class Waiver:
    """One accepted finding, by its code ("bolt-seat.wall") and its subjects (in any order).

    `accepts` is the worst figure accepted, in the unit of the finding: the least where the figure
    must be large, the most where it must be small; None for a finding that has no figure (something
    is missing). A figure's error bound counts against it. `reason` says why the wood, or the maker,
    can live with it. Raises InputError for anything else."""

    code: str
    subjects: str | tuple[str, ...]
    accepts: float | None
    reason: str

    def __post_init__(self) -> None:
        if not isinstance(self.code, str) or not self.code:
            raise InputError("a waiver's code", self.code, 'a finding\'s code, such as "wall"')
        subjects = (self.subjects,) if isinstance(self.subjects, str) else self.subjects
        if (
            not isinstance(subjects, (tuple, list))
            or not subjects
            or not all(isinstance(s, str) and s for s in subjects)
        ):
            thing = f"the subjects of the waiver for {self.code}"
            raise InputError(thing, self.subjects, "the finding's ids, as the report lists them")
        object.__setattr__(self, "subjects", tuple(subjects))
        if self.accepts is not None and not finite(self.accepts):
            allowed = "a finite number in the finding's unit, or None where it has no figure"
            raise InputError(f"what {self} accepts", self.accepts, allowed)
        if not isinstance(self.reason, str) or not self.reason.strip():
            thing = f"the reason of {self}"
            raise InputError(thing, self.reason, "words that say why it is accepted")
        object.__setattr__(self, "reason", " ".join(self.reason.split()))

    @property
    def check(self) -> str:
        """The check that asks: the beginning of the code."""
        return self.code.partition(".")[0]

    @property
    def key(self) -> tuple[str, tuple[str, ...]]:
        """Code and subjects, whichever way round they were given."""
        return self.code, tuple(sorted(self.subjects))

    def __str__(self) -> str:
        return f"the waiver for {self.code} of {', '.join(self.subjects)}"


def each_once(waivers: Sequence[Waiver]) -> tuple[Waiver, ...]:
    """The waivers of a design. Raises InputError for anything else, and for two of one finding."""
    if not isinstance(waivers, (tuple, list)):
        thing = "the design's waivers"
        raise InputError(thing, waivers, "Waiver(code, subjects, accepts, reason), ...")
    seen: set[tuple[str, tuple[str, ...]]] = set()
    for one in waivers:
        if not isinstance(one, Waiver):
            raise InputError("a waiver", one, "Waiver(code, subjects, accepts, reason)")
        if one.key in seen:
            raise InputError("the waivers", str(one), "one for each finding", "keep one of the two")
        seen.add(one.key)
    return tuple(waivers)
