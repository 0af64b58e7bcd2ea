"""Wood species: density at a stated moisture content.

Source: Wood Handbook (USDA FPL-GTR-190, 2010) chapters 4, 5 and 13, as tabulated there; sapele and
mahogany are on another basis in the book and are left to the user.
"""

from __future__ import annotations

from dataclasses import dataclass

from bodycad.errors import InputError


@dataclass(frozen=True)
class Species:
    """A species by its specific gravity (ovendry mass over volume at 12 % moisture content)."""

    name: str
    gravity: float

    def density(self, moisture: float = 12.0) -> float:
        """kg/m3 at `moisture` percent: 1000 G (1 + M/100) (Wood Handbook ch. 4, form from memory)."""
        return 1000.0 * self.gravity * (1.0 + moisture / 100.0)


_TABLE = (
    Species("alder, red", 0.41),
    Species("ash, black", 0.49),
    Species("ash, green", 0.56),
    Species("ash, white", 0.60),
    Species("basswood, American", 0.37),
    Species("cherry, black", 0.50),
    Species("maple, black", 0.57),
    Species("maple, red", 0.54),
    Species("maple, sugar", 0.63),
    Species("walnut, black", 0.55),
)


def species(name: str) -> Species:
    """The species of that name; InputError lists the known ones."""
    for one in _TABLE:
        if one.name == name:
            return one
    raise InputError("a wood species", name, ", ".join(one.name for one in _TABLE),
                     "or give Species(name, gravity) of your own")
