"""Moisture of wood in air, and how much wood moves across its grain with it.

Sources: Wood Handbook (USDA FPL-GTR-190, 2010) eq. 4-5 (also Simpson, FPL-RN-0268, 1998) and eqs.
13-2 and 13-3. Convention stated: fibre saturation at 30 %, shrinkage in percent of the green size.
Other books use 28 %, or divide by another size.
"""

from __future__ import annotations

from bodycad.errors import InputError, number
from bodycad.wood import GREEN, Species

COLDEST, HOTTEST = -1.2, 43.4
"""The temperatures (30 to 110 F, in C) over which eq. 4-5 was compared with table 4-2."""
DAMPEST = 95.0
"""The table's highest relative humidity, percent."""
LINEAR = (6.0, 14.0)
"""Moisture range in percent over which eq. 13-2 holds."""
ALONG = 0.2
"""Percent of shrinkage along the grain, green to ovendry: the upper of 0.1 to 0.2 (American Wood
Council, citing the Handbook)."""
DIRECTIONS = ("radial", "tangential", "along")


def equilibrium_moisture(temperature_c: float, humidity: float) -> float:
    """Percent of moisture that wood settles to in air of `temperature_c` and `humidity` percent
    (eq. 4-5).

    Raises InputError outside the range in which the equation was compared with the printed table.
    """
    t = number("the temperature in C", temperature_c, COLDEST, HOTTEST)
    h = number("the relative humidity in percent", humidity, 0.0, DAMPEST) / 100.0
    w = 349.0 + 1.29 * t + 0.0135 * t * t
    k = 0.805 + 0.000736 * t - 0.00000273 * t * t
    k1 = 6.27 - 0.00938 * t - 0.000303 * t * t
    k2 = 1.91 + 0.0407 * t - 0.000293 * t * t
    kh = k * h
    bound = (k1 * kh + 2.0 * k1 * k2 * kh * kh) / (1.0 + k1 * kh + k1 * k2 * kh * kh)
    return 1800.0 / w * (kh / (1.0 - kh) + bound)


def movement_by_coefficient(size: float, coefficient: float, start: float, end: float) -> float:
    """mm by which `size` mm grows (negative: shrinks) from `start` to `end` percent of moisture,
    eq. 13-2.

    `coefficient`: share of the size per percent. InputError outside 6 to 14 %, where the equation
    ends."""
    number("a coefficient of dimensional change", coefficient, above=0.0, high=0.02)
    for name, value in (("the first moisture", start), ("the last moisture", end)):
        number(name, value, *LINEAR, remedy="use movement_by_shrinkage outside this range")
    return number("a size", size, low=0.0) * coefficient * (end - start)


def movement_by_shrinkage(size: float, shrinkage: float, start: float, end: float) -> float:
    """mm by which `size` mm grows from `start` to `end` percent of moisture, eq. 13-3.

    `shrinkage`: percent from green to ovendry. InputError above 30 % (fibre saturation)."""
    number("a shrinkage", shrinkage, above=0.0, high=35.0)
    for name, value in (("the first moisture", start), ("the last moisture", end)):
        number(name, value, 0.0, GREEN)
    return number("a size", size, low=0.0) * (end - start) / (3000.0 / shrinkage - GREEN + start)


def coefficient_of(shrinkage: float) -> float:
    """Coefficient of dimensional change that belongs to a shrinkage of so many percent: 1/(3000/S -
    20).

    Eq. 13-3 at 10 % moisture, the middle of eq. 13-2's range."""
    return 1.0 / (3000.0 / number("a shrinkage", shrinkage, above=0.0, high=35.0) - 20.0)


def moves(species: Species, direction: str) -> bool:
    """Whether the species' movement in that direction is known."""
    _direction(direction)
    return (
        direction == "along"
        or getattr(species, direction) is not None
        or (getattr(species, f"change_{direction}") is not None)
    )


def movement(size: float, species: Species, direction: str, start: float, end: float) -> float:
    """mm by which `size` mm of a species grows from `start` to `end` percent of moisture.

    direction: "radial" (the width of a quartersawn board, the thickness of a flatsawn one),
    "tangential" (the width of a flatsawn board) or "along" the grain. Eq. 13-2 with the printed
    coefficient within 6 to 14 %, else eq. 13-3. InputError when the species lacks the figures."""
    _direction(direction)
    if direction == "along":
        return movement_by_shrinkage(size, ALONG, start, end)
    coefficient, shrinkage = getattr(species, f"change_{direction}"), getattr(species, direction)
    within = all(
        LINEAR[0] <= number("a moisture content", m, 0.0, GREEN) <= LINEAR[1] for m in (start, end)
    )
    if coefficient is not None and within:
        return movement_by_coefficient(size, coefficient, start, end)
    if shrinkage is None:
        thing = f"the {direction} shrinkage of {species.name}"
        remedy = f"give Species({species.name!r}, ..., {direction}=...)"
        raise InputError(thing, shrinkage, "a percentage, green to ovendry", remedy)
    return movement_by_shrinkage(size, shrinkage, start, end)


def _direction(direction: str) -> None:
    if direction not in DIRECTIONS:
        raise InputError("a direction in wood", direction, ", ".join(DIRECTIONS))
