"""What a script may give by mistake in the place of a good value: by name, a function of the good
value and a random draw."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any

import numpy as np

from bodycad import Depth, Humbucker, circle, union

Odd = Callable[[Any, random.Random], Any]


def _scaled(share: float) -> Odd:
    def odd(value: Any, draw: random.Random) -> Any:
        number = isinstance(value, (int, float)) and not isinstance(value, bool)
        return value * share if number else draw.choice((0.04, 44000.0, share))

    return odd


def _nudged(value: Any, draw: random.Random) -> Any:
    number = isinstance(value, (int, float)) and not isinstance(value, bool)
    return float(value) + draw.choice((-1.0, 1.0)) * 10.0 ** draw.uniform(-9, 1.5) if number else 0


ODD: Mapping[str, Odd] = {
    "nan": lambda value, draw: math.nan,
    "infinity": lambda value, draw: draw.choice((math.inf, -math.inf)),
    "text": lambda value, draw: draw.choice((str(value)[:40], "6.0", "", "front", " ")),
    "none": lambda value, draw: None,
    "huge": lambda value, draw: draw.choice((1e300, -1e300, 10**400, 1e16, -(10**30))),
    "tiny": lambda value, draw: draw.choice((5e-324, 1e-12, -1e-300, 1e-6)),
    "zero": lambda value, draw: draw.choice((0, 0.0, -0.0)),
    "negative": lambda value, draw: -value if isinstance(value, (int, float)) else -1.0,
    "whole": lambda value, draw: draw.choice((6.0, 22.0, 3, 1, 100)),
    "yes": lambda value, draw: draw.choice((True, False, 1, "yes", "no", np.bool_(True))),
    "thousandfold": _scaled(1000.0),
    "a thousandth": _scaled(0.001),
    "inches": _scaled(1.0 / 25.4),
    "tenfold": _scaled(10.0),
    "nudged": _nudged,
    "class": lambda value, draw: draw.choice((type(value), Humbucker, float, Depth)),
    "other": lambda value, draw: draw.choice(
        (object(), Depth(3.0), circle(5.0), union([circle(9.0)])[0], len, 1j, b"a", {}, {1: 2})
    ),
    "lonely": lambda value, draw: (value,),
    "bare": lambda value, draw: value[0] if isinstance(value, tuple) and value else [value],
    "doubled": lambda value, draw: ((value,),),
    "empty": lambda value, draw: draw.choice(((), [], "", {}, frozenset())),
    "list": lambda value, draw: list(value) if isinstance(value, tuple) else [value, value],
    "longer": lambda value, draw: value * 2 if isinstance(value, tuple) else (value,) * 3,
    "shorter": lambda value, draw: value[1:] if isinstance(value, tuple) else (),
    "numeric": lambda value, draw: draw.choice(
        (np.float64(6.0), np.float32(6.5), np.int64(6), Fraction(13, 2), np.array([1.0, 2.0]))
    ),
    "strange id": lambda value, draw: draw.choice(
        (
            "弦",
            "p" * 10_000,
            "a b",
            "<script>",
            "a\x1b[2J",
            "\ud800",
            "a\nb",
            "-a",
            ".",
            "a;b|c",
            "",
        )
    ),
    "raises": lambda value, draw: draw.choice(
        (ValueError("no"), KeyError(3), SystemExit(0), KeyboardInterrupt(), RecursionError())
    ),
    "generator": lambda value, draw: (one for one in (value, value)),
}
SLIPS = ("nudged", "nudged", "tenfold", "negative", "zero", "whole", "inches", "tiny")
"""Mistakes that leave a number a number."""
