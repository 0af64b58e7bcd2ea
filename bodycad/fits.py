"""Metric threads, clearance holes and ISO 286 fits, from stored tables.

These are metal-to-metal figures. In wood a whole IT7 band goes with one percent of moisture (8 mm times
0.0025 is 20 um), so a press in wood is a shop allowance from a test block, not a letter.
"""

from __future__ import annotations

from dataclasses import dataclass

from bodycad.errors import InputError, number


@dataclass(frozen=True)
class Thread:
    """An ISO metric coarse thread: outside diameter and pitch, mm (ISO 261, 724), and its tap
    drill."""

    name: str
    diameter: float
    pitch: float
    tap_drill: float

    @property
    def pitch_diameter(self) -> float:
        """d2 = d - 0.649519 P, mm."""
        return self.diameter - 0.649519 * self.pitch

    @property
    def nut_bore(self) -> float:
        """D1 = d - 1.082532 P, mm: the inside of the nut's thread."""
        return self.diameter - 1.082532 * self.pitch

    @property
    def root(self) -> float:
        """d3 = d - 1.226869 P, mm: the root of the screw's thread."""
        return self.diameter - 1.226869 * self.pitch

    @property
    def stress_area(self) -> float:
        """A_t = pi/4 ((d2 + d3)/2)^2, mm2."""
        return 0.7853981633974483 * ((self.pitch_diameter + self.root) / 2.0) ** 2


_THREADS = {
    t.name: t
    for t in (
        Thread("M3", 3.0, 0.5, 2.5),
        Thread("M4", 4.0, 0.7, 3.3),
        Thread("M5", 5.0, 0.8, 4.2),
        Thread("M6", 6.0, 1.0, 5.0),
        Thread("M8", 8.0, 1.25, 6.8),
    )
}
_CLEARANCE = {  # ISO 273:1979, mm
    "fine": {"M2.5": 2.7, "M3": 3.2, "M4": 4.3, "M5": 5.3, "M6": 6.4, "M8": 8.4, "M10": 10.5},
    "medium": {"M2.5": 2.9, "M3": 3.4, "M4": 4.5, "M5": 5.5, "M6": 6.6, "M8": 9.0, "M10": 11.0},
    "coarse": {"M2.5": 3.1, "M3": 3.6, "M4": 4.8, "M5": 5.8, "M6": 7.0, "M8": 10.0, "M10": 12.0},
}


def thread(name: str) -> Thread:
    """The metric coarse thread of that name."""
    if name not in _THREADS:
        raise InputError("a metric thread", name, ", ".join(_THREADS))
    return _THREADS[name]


def clearance_hole(name: str, series: str = "medium") -> float:
    """Diameter in mm of the hole that a metric screw passes freely (ISO 273:1979)."""
    if series not in _CLEARANCE:
        raise InputError("a series of clearance holes", series, ", ".join(_CLEARANCE))
    if name not in _CLEARANCE[series]:
        raise InputError("a screw with a clearance hole", name, ", ".join(_CLEARANCE[series]))
    return _CLEARANCE[series][name]


# Micrometres (upper, lower) by band "over .. up to and including" in mm. ISO 286-2, read through
# two
# table-driven packages; h6 and the IT grades likewise. The 30 to 50 rows are those of a published
# example.
_BANDS = {
    (3, 6): {
        "H7": (12, 0),
        "p6": (20, 12),
        "n6": (16, 8),
        "s6": (27, 19),
        "g6": (-4, -12),
        "h6": (0, -8),
    },
    (6, 10): {
        "H7": (15, 0),
        "p6": (24, 15),
        "n6": (19, 10),
        "s6": (32, 23),
        "g6": (-5, -14),
        "h6": (0, -9),
    },
    (10, 18): {
        "H7": (18, 0),
        "p6": (29, 18),
        "n6": (23, 12),
        "s6": (39, 28),
        "g6": (-6, -17),
        "h6": (0, -11),
    },
    (30, 50): {"H7": (25, 0), "p6": (42, 26), "g6": (-9, -25)},
}
_GRADES = {
    (3, 6): {6: 8, 7: 12, 8: 18, 11: 75},
    (6, 10): {6: 9, 7: 15, 8: 22, 11: 90},
    (10, 18): {6: 11, 7: 18, 8: 27, 11: 110},
}


def _band(size: float, table: dict) -> dict:
    number("a fitted size", size, above=0.0)
    for (over, up_to), row in table.items():
        if over < size <= up_to:
            return row
    known = ", ".join(f"over {a} to {b}" for a, b in table)
    raise InputError("a fitted size", float(size), f"{known} mm")


def grade(size: float, it: int) -> int:
    """The standard tolerance IT of a size in um, from the table: the formula's 14.37 is not the
    standard's 15."""
    row = _band(size, _GRADES)
    if it not in row:
        raise InputError("a tolerance grade", it, ", ".join(map(str, row)))
    return row[it]


def deviations(size: float, symbol: str) -> tuple[int, int]:
    """(upper, lower) deviation in um of a size with a tolerance symbol such as "H7" or "p6"."""
    row = _band(size, _BANDS)
    if symbol not in row:
        raise InputError(f"a tolerance symbol at {float(size):g} mm", symbol, ", ".join(row))
    return row[symbol]


def clearance(size: float, hole: str, shaft: str) -> tuple[int, int]:
    """(least, most) clearance in um of a hole and a shaft; negative is interference."""
    (hole_up, hole_low), (shaft_up, shaft_low) = deviations(size, hole), deviations(size, shaft)
    return hole_low - shaft_up, hole_up - shaft_low
