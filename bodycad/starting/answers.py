"""What `bodycad new` asks: the answers, each kind in one line of words, and what is usual."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

JOINTS: Mapping[str, str] = MappingProxyType(
    {
        "ferrules": "wood screws on single ferrules",
        "plate": "wood screws through a plate",
        "inserts": "machine screws through a plate into threaded inserts",
        "tenon": "a tenon glued into its mortise",
        "through": "the neck runs through the body as its core",
    }
)
BRIDGES: Mapping[str, str] = MappingProxyType(
    {
        "hardtail": "a fixed plate, strings through the body",
        "plate": "a fixed plate that holds the strings in its rear edge",
        "posts": "a bar with saddles on two posts, and a tailpiece on two more",
        "wrap": "one bar on two posts, bridge and anchor in one",
        "vibrato": "a vibrato that tips on a row of screws",
        "post-vibrato": "a vibrato that tips on two posts",
    }
)
PICKUPS: Mapping[str, str] = MappingProxyType(
    {
        "humbucker": "two coils",
        "small": "two coils in a small frame",
        "single": "one coil with a tab at each end",
        "soapbar": "one block without feet",
        "split": "a split pair of halves, for a four-string bass",
    }
)
MOUNTS: Mapping[str, str] = MappingProxyType(
    {
        "ring": "a ring on the front holds it and hides its route",
        "wood": "screws into the floor of its route",
        "ears": "ears of its cover, screwed to the front",
    }
)
SWITCHES: Mapping[str, str] = MappingProxyType(
    {
        "none": "no switch",
        "toggle": "a three-way toggle",
        "blade": "a blade switch",
    }
)
COUNTS = 4, 5, 6, 7, 8
GAUGES: Mapping[int, tuple[str, ...]] = MappingProxyType(
    {
        4: (".045w", ".065w", ".085w", ".105w"),
        5: (".045w", ".065w", ".085w", ".105w", ".130w"),
        6: (".010", ".013", ".017", ".026w", ".036w", ".046w"),
        7: (".010", ".013", ".017", ".026w", ".036w", ".046w", ".059w"),
        8: (".010", ".013", ".017", ".026w", ".036w", ".046w", ".059w", ".074w"),
    }
)
"""Usual sets, treble first (common practice, no source)."""
SCALES: Mapping[int, float] = MappingProxyType({4: 860.0, 5: 864.0, 6: 640.0, 7: 660.0, 8: 686.0})
PITCH: Mapping[int, float] = MappingProxyType({4: 19.0, 5: 17.5, 6: 10.5, 7: 10.5, 8: 10.5})
"""From string to string at the saddles, mm (common practice, no source)."""
NUT: Mapping[int, tuple[float, float]] = MappingProxyType(
    {4: (42.0, 32.5), 5: (47.0, 39.5), 6: (42.0, 35.0), 7: (48.0, 41.5), 8: (55.0, 48.0)}
)
"""Width of the nut and spread of the strings there, mm (common practice, no source)."""

REACH: Mapping[str, float] = MappingProxyType(
    {"humbucker": 23.3, "small": 20.6, "single": 10.0, "soapbar": 18.5, "split": 29.0}
)
"""From a pickup's middle to its edge along the strings, its ring or its route included, mm."""
FRONT = 16.5
"""Where a bridge ends toward the pickups, about, mm from the scale line."""

GAUGE = re.compile(r"([0-9]*\.[0-9]+|[0-9]+)w?")
"""A gauge as it stands in a script: it is put into the script's text."""


@dataclass(frozen=True)
class Answers:
    """What a maker wants; the words are those of the tables. pickups: from the neck to the
    bridge."""

    strings: int = 6
    gauges: tuple[str, ...] = ()
    scale: float = 0.0
    frets: int = 0
    joint: str = "ferrules"
    bridge: str = "hardtail"
    pickups: tuple[str, ...] = ("humbucker", "humbucker")
    mount: str = ""
    volumes: int = 1
    tones: int = 1
    switch: str = ""
    left_handed: bool = False

    @property
    def bass(self) -> bool:
        """Whether it is a bass: four or five strings."""
        return self.strings <= 5
