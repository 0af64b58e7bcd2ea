"""What can hurt whoever builds the instrument: every caution in one place. General information
only; each report, drawing and page shows those that concern it.

Sources: dust: OSHA's pages on wood dust; IARC Monographs 62 and 100C (volumes from memory). Noise:
NIOSH's limit, 85 dBA over 8 hours, halved for every 3 dB. Routers: OSHA 3157 (1999), "A Guide for
Protecting Workers from Woodworking Hazards". Finishes: 29 CFR 1910.107 and NFPA 33. The others:
common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

LONG = 10.0
"""A hole deeper than so many diameters wants a long drill, as `drill-reach.ratio` warns."""
ADVICE = (
    "General information: follow local codes, the tool makers' manuals and the products' safety "
    "data sheets, and leave mains wiring to a licensed electrician."
)


class Danger(StrEnum):
    """What a caution is about."""

    NECK = "String tension"
    ROUTER = "Router"
    DRILL = "Long drills"
    DUST = "Dust"
    NOISE = "Noise"
    FILINGS = "Metal filings"
    FINISH = "Solvents and oils"
    MAINS = "Mains wiring"
    TRIAL = "Drawing is not wood"


@dataclass(frozen=True)
class Caution:
    """A caution: what it is about, in one line for a drawing, and in full."""

    danger: Danger
    brief: str
    words: str


CAUTIONS: Mapping[Danger, Caution] = MappingProxyType(
    {
        danger: Caution(danger, brief, words)
        for danger, brief, words in (
            (
                Danger.NECK,
                "slacken every string before a neck screw is loosened",
                "Slacken every string before you loosen a neck screw: under tension the neck jumps "
                "out of its pocket, strips its holes and whips the strings. Look away from a "
                "string while it is tuned up, and cut none under tension.",
            ),
            (
                Danger.ROUTER,
                "goggles at the router, work clamped, shallow steps against the cutter's turn",
                "Wear goggles, for chips and broken cutters fly. Clamp work and pattern, feed "
                "against the cutter's turn in shallow steps, keep to its rated speed, shank well "
                "in the collet, hands off the line of cut, and let it stop, unplugged, before "
                "anything is cleared or changed. The same goes for a machine that cuts by itself.",
            ),
            (
                Danger.DRILL,
                "body clamped, exit backed up, chips cleared often, hands off the drill's line",
                "A long drill bends, grabs and comes out where it is not looked for. Start a short "
                "pilot, clamp the body, back up the exit side, clear chips often, turn slowly and "
                "keep hands off the drill's line; meet rows of through holes from both faces.",
            ),
            (
                Danger.DUST,
                "dust drawn off at the tool, fitted mask worn",
                "Wood dust harms airways; hardwood dust is classed as a cause of cancer, and "
                "cedar, mahogany, oak, redwood and walnut are named for asthma or skin reactions. "
                "Extract at the tool and wear a fitted mask.",
            ),
            (
                Danger.NOISE,
                "ears covered: a router harms hearing within the hour",
                "Routers and extractors are loud enough to harm hearing: at 94 dBA the daily "
                "allowance by NIOSH's criterion is one hour, at 100 dBA a quarter of an hour. "
                "Cover your ears.",
            ),
            (
                Danger.FILINGS,
                "goggles for fret and ferrule filings; no sparks into a dust collector",
                "Fret and ferrule filings harm eyes and cling to magnets: wear goggles. Never draw "
                "sparks into a wood-dust collector.",
            ),
            (
                Danger.FINISH,
                "oily rags laid flat or shut in metal, vapour aired off, no flame near",
                "Rags wet with drying oil can set themselves alight within hours: lay them flat or "
                "keep them in a closed metal can. Solvent and lacquer vapour harms lungs, burns "
                "and travels along the floor: air it off, no flame or spark near, a mask for "
                "vapour on.",
            ),
            (
                Danger.MAINS,
                "the strings are earthed: a faulty amplifier or socket can kill through them",
                "The strings are earthed through the amplifier: with a faulty one, or a socket "
                "wired wrong, they can carry mains to the player. Nothing in the instrument is "
                "wired to the mains; leave amplifiers and sockets to a licensed electrician. "
                "Solder with fumes drawn off, and wash your hands.",
            ),
            (
                Danger.TRIAL,
                "measure the real parts and cut a trial body before the good blank",
                "The figures hold for the sizes given. Measure the real parts, cut a trial body in "
                "cheap board, and check the fit before the good blank.",
            ),
        )
    }
)
"""Every caution by what it is about, in the order in which they are shown."""
