"""The page of the manual on computed cures; the package `cure` works them out."""

from __future__ import annotations

from bodycad.checks.page import Page

NAME = "cures"
PAGE = Page(
    asks="Which one number of the script, set to what, makes a finding hold that fails or warns, "
    "while nothing else fails for it?",
    why="Each is proven by running the script again with that number changed, by at most 32 mm or "
    "degrees. A maker's reluctance decides which: positions, depths and shapes come first; then "
    "sizes of parts that are bought; last, only where nothing else serves, measured sizes, the "
    "stock's thickness and the other numbers of neck and strings. Scale, frets, gauges, "
    "tolerances, limits and waivers are never changed. "
    "Of numbers alike in that, the least change decides that brings the finding to its limit; it "
    "then goes on to where the finding no longer warns, if that breaks nothing. The verdict is "
    "printed first; the search ends after 2 s (--cures SECONDS), and what it did not come to is "
    "named.",
    limits=(),
    cures="Where no single number cures, two must change, or another part; the finding's own words "
    "say what usually helps. Give the script a parameter for what may move.",
)
