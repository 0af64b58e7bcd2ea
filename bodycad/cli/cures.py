"""What `check` prints after the verdict: the cures, and what was not searched."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from bodycad.exports.report.chance_text import wrapped

if TYPE_CHECKING:
    from bodycad.checks.finding import Finding
    from bodycad.cure.search import Told


def cures_text(told: Sequence[Told], seconds: float) -> str:
    """Each cure found; then which findings no number cures, and which were not searched to the end
    in those seconds."""
    cured = [one for one in told if one.change]
    none = [one for one in told if not one.change and not one.left]
    unended = [one for one in told if one.left]
    lines = list[str]()
    if cured:
        head = "Cures, each proven by running the script again with that number changed:"
        lines += ["", *wrapped(head, "", "  ")]
    for one in cured:
        lines += [
            *wrapped(_named(one.finding), "  ", "    "),
            *wrapped(one.words, " " * 6, " " * 6),
        ]
    if none:
        names = "; ".join(_named(one.finding) for one in none)
        lines += ["", *wrapped(f"No single number of the script cures: {names}.", "", "  ")]
    if unended:
        names = "; ".join(_named(one.finding) for one in unended)
        left = ", ".join(dict.fromkeys(name for one in unended for name in one.left))
        text = f"Not searched to the end in {seconds:g} s: {names}."
        more = f"Numbers not yet tried over their whole span: {left}."
        lines += ["", *wrapped(f"{text} {more} --cures {10.0 * seconds:g} looks longer.", "", "  ")]
    return "\n".join(lines) + "\n"


def _named(finding: Finding) -> str:
    subjects = ", ".join(finding.subjects)
    return f"{finding.status} {finding.code}" + (f" ({subjects})" if subjects else "")
