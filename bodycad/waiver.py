"""Waivers: findings that the maker accepts, each with how far it may go and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from bodycad.declare import Count, Pattern, Text, between, declared
from bodycad.errors import InputError


@dataclass(frozen=True)
@declared("the waiver for {code} of {subjects}")
class Waiver:
    """One accepted finding, by its code ("bolt-seat.wall") and its subjects (in any order).

    `accepts` is the worst figure accepted, in the unit of the finding: the least where the figure
    must be large, the most where it must be small; None for a finding that has no figure (something
    is missing). A figure's error bound counts against it. `reason` says why the wood, or the maker,
    can live with it."""

    code: Text
    subjects: Text | Annotated[tuple[Text, ...], Count(1, 50)]
    accepts: Annotated[float, between(-1e9, 1e9)] | None
    reason: Annotated[
        str,
        Pattern(
            r"(?=.*\S)[^\x00-\x08\x0e-\x1f\x7f-\x9f\ud800-\udfff]{1,2000}",
            "words that say why it is accepted",
        ),
    ]

    def __post_init__(self) -> None:
        if isinstance(self.subjects, str):
            object.__setattr__(self, "subjects", (self.subjects,))
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
    """The waivers of a design. Raises InputError for two of one finding."""
    seen: set[tuple[str, tuple[str, ...]]] = set()
    for one in waivers:
        if one.key in seen:
            raise InputError("the waivers", str(one), "one for each finding", "keep one of the two")
        seen.add(one.key)
    return tuple(waivers)
