"""How the wood came out beside its drawing: what a part needs to know to be fitted into it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Made:
    """`deeper`: mm by which a void, by id, went deeper from its face than drawn; `thicker`: mm by
    which the stock is thicker than drawn. The front face stays where it is; the back face and all
    that is measured from it move."""

    deeper: Mapping[str, float] = field(default_factory=dict)
    thicker: float = 0.0

    def depth(self, void: str) -> float:
        """mm by which that void went deeper."""
        return self.deeper.get(void, 0.0)
