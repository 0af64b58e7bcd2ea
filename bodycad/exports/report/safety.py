"""Cautions that go with every report. General information only.

Sources: dust: OSHA's pages on wood dust; IARC Monographs 62 and 100C (volumes from memory). Noise:
NIOSH's limit, 85 dBA over 8 hours, halved for every 3 dB. Routers: OSHA 3157 (1999), "A Guide for
Protecting Workers from Woodworking Hazards". Finishes: 29 CFR 1910.107 and NFPA 33. The others:
common practice, no source.
"""

ADVICE = "Follow local codes, tool makers' manuals and product safety data sheets."

CAUTIONS = (
    (
        "Drawing is not wood",
        "The figures hold for the sizes given. Measure the real parts, cut a trial body in cheap "
        "board, and check the fit before the good blank.",
    ),
    (
        "Dust",
        "Wood dust harms airways; hardwood dust is classed as a cause of cancer, and cedar, "
        "mahogany, oak, redwood and walnut are named for asthma or skin reactions. Extract at the "
        "tool and wear a fitted mask.",
    ),
    (
        "Noise",
        "Routers and extractors are loud enough to harm hearing: at 94 dBA the daily allowance by "
        "NIOSH's criterion is one hour, at 100 dBA a quarter of an hour.",
    ),
    (
        "Router",
        "Feed against the cutter's turn, clamp the work and the pattern, take shallow steps, keep "
        "to the cutter's rated speed, and let it stop before clearing anything.",
    ),
    (
        "Long drills",
        "Start a short pilot, clamp the body, back up the exit side, clear chips often and keep "
        "clear of the drill's line; meet rows of through holes from both faces.",
    ),
    (
        "Metal filings",
        "Fret and ferrule filings harm eyes and cling to magnets; never draw sparks into a "
        "wood-dust collector.",
    ),
    (
        "Finishes",
        "Rags wet with drying oil can set themselves alight within hours: lay them flat or keep "
        "them in a closed metal can. Lacquer vapour burns and travels along the floor.",
    ),
)
"""(topic, caution)."""
