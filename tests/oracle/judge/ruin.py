"""What the judge says: what is ruined, of which parts and cuts, by how much."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Ruin:
    """code: the question. subjects: ids of the cuts, rooms and parts it is about. value: its
    figure. words: the rest, for people."""

    code: str
    subjects: tuple[str, ...]
    value: float
    words: str = ""

    def __str__(self) -> str:
        return f"{self.code} {' / '.join(self.subjects)}: {self.value:.3g} {self.words}"


def ruin(code: str, subjects: tuple[str, ...], value: float, words: str = "") -> Ruin:
    return Ruin(code, tuple(map(str, subjects)), float(value), words)
