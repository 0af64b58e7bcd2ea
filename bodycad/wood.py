"""Wood species: density, shrinkage and strength, each on a stated basis.

Source: Wood Handbook (USDA FPL-GTR-190, 2010), table 4-3 (shrinkage green to ovendry, percent of
the green size), chapter 5 (specific gravity, modulus of elasticity), table 13-5 (coefficients of
dimensional change, share of the size per percent of moisture between 6 and 14 %). Figures that were
not read there are named in a species' `from_memory`; the crushing strengths (compression across the
grain at the proportional limit, table 5-3) are all from memory.

Trap: the book gives native species on their volume at 12 % moisture and imported ones (mahogany) on
their green volume. `Species.basis` says which, and everything here converts; a gravity is never
taken for the other kind.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from bodycad.declare import Text, between, declared, over
from bodycad.errors import InputError, number

GREEN = 30.0
"""Moisture in percent at which wood begins to shrink (fibre saturation, the book's convention)."""
AIR_DRY = 12.0
"""Moisture in percent of the book's main column."""
CRUSH_SHARE = 0.70
"""The least share of `crushing_law` that the eleven species with such a figure reach."""
MPA_PER_PSI = 0.00689475729


@dataclass(frozen=True)
@declared("{name}")
class Species:
    """A species by its specific gravity: ovendry mass over volume at `basis` percent moisture.

    basis: 12 for the book's native species, GREEN for imported ones. radial, tangential,
    volumetric: shrinkage from green to ovendry, percent. change_radial, change_tangential: share of
    the size per percent of moisture. modulus_gpa: modulus of elasticity along the grain at 12 %.
    crush_mpa: compression across the grain at 12 %. None where the figure is not known. Raises
    InputError."""

    name: Text
    gravity: Annotated[float, between(0.05, 1.4), "it is relative to water: 0.41, not 410"]
    basis: Annotated[float, between(0.0, GREEN, "%")] = AIR_DRY
    radial: Annotated[float, over(20.0, "%")] | None = None
    tangential: Annotated[float, over(25.0, "%")] | None = None
    volumetric: Annotated[float, over(35.0, "%")] | None = None
    change_radial: Annotated[float, over(0.02, "a percent")] | None = None
    change_tangential: Annotated[float, over(0.02, "a percent")] | None = None
    modulus_gpa: Annotated[float, between(0.1, 50.0, "GPa")] | None = None
    crush_mpa: Annotated[float, between(0.05, 100.0, "MPa")] | None = None
    from_memory: tuple[Text, ...] = ()

    @property
    def volume_shrinkage(self) -> float:
        """Percent of the green volume lost from green to ovendry; where it is not tabulated 26.5
        times the green gravity (Wood Handbook ch. 4, from memory)."""
        if self.volumetric is not None:
            return self.volumetric
        dried = (GREEN - self.basis) / GREEN
        return 26.5 * self.gravity / (1.0 + 0.265 * dried * self.gravity)

    def volume_share(self, moisture: float) -> float:
        """Volume at `moisture` percent over the green volume; it shrinks evenly from 30 % to 0."""
        dried = (GREEN - min(number("a moisture content", moisture, 0.0, 200.0), GREEN)) / GREEN
        return 1.0 - self.volume_shrinkage / 100.0 * dried

    def gravity_at(self, moisture: float) -> float:
        """Ovendry mass over the volume at `moisture` percent."""
        if moisture == self.basis:
            return float(self.gravity)
        return self.gravity * self.volume_share(self.basis) / self.volume_share(moisture)

    def density(self, moisture: float = AIR_DRY) -> float:
        """kg/m3 at `moisture` percent: 1000 G_M (1 + M/100), G_M on the volume at that moisture
        (Wood Handbook ch. 4, form from memory)."""
        return 1000.0 * self.gravity_at(moisture) * (1.0 + moisture / 100.0)

    @property
    def crushing(self) -> float:
        """MPa at which wood dents across the grain at 12 %: the species' own figure (from memory),
        else CRUSH_SHARE of the Handbook's law, on the safe side."""
        if self.crush_mpa is not None:
            return self.crush_mpa
        return CRUSH_SHARE * crushing_law(self.gravity_at(AIR_DRY))


def crushing_law(gravity: float) -> float:
    """MPa of compression across the grain at the proportional limit, air-dry: 4630 G^2.25 psi.

    Source: US Army TM 5-852-4 / AFM 88-19 ch. 4, table 2-2 (courtesy of the Forest Products
    Laboratory)."""
    share = number("a specific gravity", gravity, 0.05, 1.4)
    return 4630.0 * MPA_PER_PSI * float(share**2.25)


def shearing_law(gravity: float) -> float:
    """MPa of shear along the grain at which hardwoods fail, air-dry: 21.9 G^1.13.

    Source: Wood Handbook ch. 5, relations of strength to specific gravity, from memory."""
    return float(21.9 * number("a specific gravity", gravity, 0.05, 1.4) ** 1.13)


def bending_law(gravity: float) -> float:
    """MPa of bending at which hardwoods break (modulus of rupture), air-dry: 171.3 G^1.13.

    Source: as `shearing_law`, from memory."""
    return float(171.3 * number("a specific gravity", gravity, 0.05, 1.4) ** 1.13)


def pressing_law(gravity: float) -> float:
    """MPa of compression along the grain at which hardwoods fail, air-dry: 76.0 G^0.89.

    Source: as `shearing_law`, from memory."""
    return float(76.0 * number("a specific gravity", gravity, 0.05, 1.4) ** 0.89)


def tearing_law(gravity: float) -> float:
    """MPa of tension across the grain at which hardwoods fail, air-dry: 10.1 G^1.3.

    Source: as `shearing_law`, from memory."""
    return float(10.1 * number("a specific gravity", gravity, 0.05, 1.4) ** 1.3)


_CRUSH = ("crush_mpa",)
_BOTH = ("radial", "tangential", "volumetric", *_CRUSH)
_POPLAR = ("gravity", "change_radial", "change_tangential", "modulus_gpa", *_CRUSH)
_TABLE = (
    Species("alder, red", 0.41, AIR_DRY, 4.4, 7.3, 12.6, 0.00151, 0.00256, 9.5, 3.0, _CRUSH),
    Species("ash, black", 0.49, AIR_DRY, 5.0, 7.8, 15.2, 0.00172, 0.00274, 11.0, 5.2, _CRUSH),
    # Trap: the printed coefficients of green ash are those of white ash; its own shrinkage gives
    # .00158 and .00248.
    Species("ash, green", 0.56, AIR_DRY, 4.6, 7.1, 12.5, 0.00169, 0.00274, 11.4, 9.0, _CRUSH),
    Species("ash, white", 0.60, AIR_DRY, 4.9, 7.8, 13.3, 0.00169, 0.00274, 12.0, 8.0, _CRUSH),
    Species(
        "basswood, American", 0.37, AIR_DRY, 6.6, 9.3, 15.8, 0.00230, 0.00330, 10.1, 2.6, _CRUSH
    ),
    Species("cherry, black", 0.50, AIR_DRY, 3.7, 7.1, 11.5, 0.00126, 0.00248, 10.3, 4.8, _CRUSH),
    Species("mahogany, African", 0.42, GREEN, 2.5, 4.5, 8.8, modulus_gpa=9.7),
    Species("mahogany, true", 0.45, GREEN, 3.0, 4.1, 7.8, modulus_gpa=10.3),
    Species("maple, black", 0.57, AIR_DRY, 4.8, 9.3, 14.0, 0.00165, 0.00353, 11.2, 7.0, _BOTH),
    Species("maple, red", 0.54, AIR_DRY, 4.0, 8.2, 12.6, 0.00137, 0.00289, 11.3, 6.9, _BOTH),
    Species("maple, sugar", 0.63, AIR_DRY, 4.8, 9.9, 14.7, 0.00165, 0.00353, 12.6, 10.1, _CRUSH),
    Species("poplar, yellow", 0.42, AIR_DRY, 4.6, 8.2, 12.7, 0.00158, 0.00289, 10.9, 3.4, _POPLAR),
    Species("walnut, black", 0.55, AIR_DRY, 5.5, 7.8, 12.8, 0.00190, 0.00274, 11.6, 7.0, _CRUSH),
)
SPECIES: tuple[str, ...] = tuple(one.name for one in _TABLE)
"""The names that `species` knows."""


@declared("a wood species")
def species(name: Text) -> Species:
    """The species of that name; InputError lists the known ones."""
    for one in _TABLE:
        if one.name == name:
            return one
    thing = "a wood species"
    raise InputError(thing, name, "; ".join(SPECIES), "or give Species(name, gravity) of your own")
