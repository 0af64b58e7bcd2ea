"""The report for a terminal: verdict, what fails and warns, the tightest of what holds, what to
measure first.

At most WIDTH columns; colour only when asked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from bodycad.checks.finding import Finding
from bodycad.checks.page import Check, Topic
from bodycad.checks.report import Report
from bodycad.exports import cautions
from bodycad.exports.coordinates import convention
from bodycad.exports.report.chance_text import (
    MOST_SIZES,
    WIDTH,
    chance_lines,
    measure_lines,
    wrapped,
)
from bodycad.safety import ADVICE, CAUTIONS
from bodycad.shop import LIMITS, PRACTICE, Limit
from bodycad.units import Dimension
from bodycad.words import Still

SHOWN = {"fail": "FAIL", "error": "ERROR", "warn": "warn", "pass": "pass", "skip": "skip"}
_COLOURS = {"fail": "31;1", "error": "31;1", "warn": "33", "pass": "32", "skip": "2"}
COUNTED = {
    "error": "in error",
    "fail": "fail",
    "warn": "warn",
    "pass": "hold",
    "skip": "not asked",
}
WATCHED = {
    Still.UNASKED: "Numbers that move no figure: no check asks about them",
    Still.WIDER: "Numbers that move a figure when they change by more: something else decides now",
    Still.FIXED: "Numbers that may not be changed alone",
    Still.NO_WOOD: "Numbers that change no wood",
}
ORDER = (
    "Ranked by what is spare in deviations (dev), over how far the shop's own work may move the "
    "figure; below, what no error of the shop is known to move, in bands, over that from limit to "
    "warning. See bodycad explain order."
)
"""How findings are ranked, in one sentence."""
VERDICTS = {"fail": "FAIL", "warn": "WARN", "pass": "PASS"}


def report_text(report: Report, colour: bool = False) -> str:
    """The whole report as lines of text, tightest first."""
    lines = [verdict_line(report, colour), *wrapped(convention(report.layout), "  ", "  ")]
    cure = ""
    for finding in report.findings:
        if finding.status in ("error", "fail", "warn"):
            lines += ["", *finding_lines(finding, colour, finding.cure != cure)]
            cure = finding.cure
    held = tightest(report)
    if held:
        lines += ["", *wrapped(f"Tightest of what holds, by check. {ORDER}"), *_table(held)]
    for text in proofs(report):
        lines += ["", *wrapped(text, "", "  ")]
    if report.waived:
        lines += ["", "Waived by the design:"]
        lines += [row for f in report.waived for row in _accepted(f)]
    skips = [f for f in report.findings if f.status == "skip"]
    if skips:
        lines += ["", "Not asked:"]
        lines += [row for f in skips for row in wrapped(f"{f.check}: {f.text}", "  ", "    ")]
    lines += chance_lines(report)
    lines += _unwatched(report)
    lines += _sizes(report.dimensions) if report.measure is None else measure_lines(report)
    if any(f.limit_source == PRACTICE for f in report.findings):
        text = "Limits without a source are common practice: bodycad explain CHECK."
        lines += ["", *wrapped(text)]
    lines += ["", *wrapped(f"Working safely. {ADVICE} In full in report.html.")]
    for row in cautions.lines(cautions.of_design(report.layout)):
        lines += wrapped(row, "  ", "    ")
    return "\n".join(lines) + "\n"


def _unwatched(report: Report) -> list[str]:
    """The numbers that move no figure, where that was asked for."""
    if report.unwatched is None:
        return []
    lines = list[str]()
    for still, words in WATCHED.items():
        rows: dict[str, list[str]] = {}
        for one in report.unwatched:
            if one.still is still:
                rows.setdefault(one.why, []).append(f"{one.number} = {one.value:.6g}")
        if rows:
            lines += ["", *wrapped(f"{words}:", "", "  ")]
        for why, found in rows.items():
            lines += wrapped(f"{', '.join(found)}: {why}", "  ", "    ")
    if all(one.still is not Still.UNASKED for one in report.unwatched):
        lines += ["", "Every other number of the design moves some figure, mass and balance aside."]
    return lines


def verdict_line(report: Report, colour: bool = False) -> str:
    """One line: the design, the verdict and the counts."""
    shown = counts(report, ("fail", "warn", "pass"))
    verdict = _painted(VERDICTS[report.verdict], report.verdict, colour)
    return f"{report.layout.name}: {verdict}  ({shown})"


def counts(report: Report, always: Sequence[str] = ()) -> str:
    """How many findings have each status that occurs, and each of `always`."""
    found = [f"{n} {COUNTED[s]}" for s in COUNTED if (n := report.count(s)) or s in always]
    return ", ".join(found + [f"{len(report.waived)} waived"] * bool(report.waived))


def proofs(report: Report) -> list[str]:
    """What the kernel's second measuring confirms."""
    found = (f for f in report.findings if f.check == "proof" and f.status == "pass")
    return [f"Proof: {f.text}." for f in found]


def tightest(report: Report) -> list[Finding]:
    """Of every check the passing figure with the least to spare, and the same of the figure that
    bears the check's own name; tightest first."""
    found: dict[tuple[str, bool], Finding] = {}
    for one in report.findings:
        if one.status == "pass" and not one.waiver and one.margin is not None:
            first = found.setdefault((one.check, False), one)
            if one.code == one.check and first.code != one.code:
                found.setdefault((one.check, True), one)
    return list(found.values())


def to_measure(dimensions: Sequence[Dimension]) -> list[Dimension]:
    """Lengths and angles that are still common practice, the most uncertain first."""
    found = [d for d in dimensions if d.origin == "default" and d.unit in ("mm", "deg")]
    return sorted(found, key=lambda d: (-d.tolerance, d.part, d.name))


def figure(value: float | None, unit: str, digits: int = 2) -> str:
    """A figure with its unit; never "-0.00"."""
    return "-" if value is None else f"{round(value, digits) + 0.0:.{digits}f} {unit}".rstrip()


def spare(finding: Finding) -> str:
    """ "1.20 mm spare" or "short by 0.40 mm"."""
    margin = finding.margin
    if margin is None:
        return ""
    if finding.status == "fail" or (finding.waiver and margin < 0.0):
        least = (
            figure(-margin, finding.unit) if margin <= -5e-3 else f"less than 0.01 {finding.unit}"
        )
        return f"short by {least}"
    return f"{figure(margin, finding.unit)} spare"


def measure(finding: Finding, short: bool = False) -> str:
    """What is spare in the measure that ranks it: "6.4 deviations", "1.5 bands"; "" for neither."""
    if finding.deviations is not None and not finding.true:
        much, unit = finding.deviations, "dev" if short else "deviations"
    elif finding.bands is not None:
        much, unit = finding.bands, "bands"
    else:
        return ""
    return f"{much:.1f} {unit}" if much >= 0.0 else f"{-much:.1f} {unit} short"


def side(limit: Finding | Limit) -> str:
    """On which side of a limit a figure must stay."""
    return "at most" if limit.most else "at least"


def judged(finding: Finding) -> str:
    """The figure, its limits and what is spare; a limit's source when it is more than common
    practice."""
    unit = finding.unit
    text = figure(finding.value, unit)
    text += f" (to {finding.bound:.2f})" if finding.bound > 0.0 else ""
    text += f" (by the kernel {figure(finding.proof, unit)})" if finding.proof is not None else ""
    text += f", limit {side(finding)} {figure(finding.limit, unit)}"
    if finding.status == "warn" and finding.warn is not None:
        text += f", warns {'over' if finding.most else 'under'} {figure(finding.warn, unit)}"
    source = f" ({finding.limit_source})" if finding.limit_source not in ("", PRACTICE) else ""
    much = f", {measure(finding)}" if finding.status == "warn" and measure(finding) else ""
    return f"{text}: {spare(finding)}{much}{source}"


def check_list(checks: Iterable[Check | Topic]) -> str:
    """Every check's name and what it asks."""
    rows = list(checks)
    width = max(len(c.name) for c in rows) + 2
    lines = [row for c in rows for row in wrapped(c.page.asks, f"{c.name:<{width}}", " " * width)]
    return "\n".join([*lines, "", "bodycad explain CHECK prints a check's page."]) + "\n"


def check_page(check: Check | Topic) -> str:
    """A check's manual page."""
    page, lines = check.page, [check.name, ""]
    for title, text in (("Asks", page.asks), ("Why", page.why)):
        lines += [*wrapped(text, f"{title + ':':<8}", " " * 8)]
    for name in page.limits:
        limit = LIMITS[name]
        unless = f"unless {side(limit)}"
        text = f"{name}: fails {unless} {limit.fail:g}, warns {unless} {limit.warn:g}"
        lines += wrapped(f"{text} ({limit.source})", "Limit:  ", " " * 8)
    lines += wrapped(page.cures, "Cures:  ", " " * 8)
    for danger in page.dangers:
        words = f"{danger.value}. {CAUTIONS[danger].words}"
        lines += wrapped(words, "Care:   ", " " * 8)
    if page.limits:
        text = (
            "These limits are starting values; a design changes them with "
            "Shop(limits={NAME: Limit(fail, warn, source)})."
        )
        lines += ["", *wrapped(text)]
    return "\n".join(lines) + "\n"


def finding_lines(finding: Finding, colour: bool, cure: bool = True) -> Iterator[str]:
    """A finding in a few lines; `cure` is False right after a finding with the same cure."""
    mark = _painted(f"{SHOWN[finding.status]:<5}", finding.status, colour)
    first, *rest = wrapped(finding.text, f"{SHOWN[finding.status]:<5} {finding.code}: ", " " * 6)
    yield mark + first[5:]
    yield from rest
    if finding.value is not None and finding.limit is not None:
        yield from wrapped(judged(finding), " " * 6, " " * 6)
    if finding.at is not None:
        one, two = finding.at
        yield " " * 6 + f"at {_place(one)}" + (f" to {_place(two)}" if one != two else "")
    if finding.cure and cure:
        yield from wrapped(f"cure: {finding.cure}", " " * 6, " " * 6)


def _accepted(finding: Finding) -> Iterator[str]:
    """A waived finding with its figure and the reason."""
    yield from wrapped(finding.text, f"  {finding.code}: ", "    ")
    if finding.value is not None and finding.limit is not None:
        yield from wrapped(judged(finding), "    ", "    ")
    yield from wrapped(f"waived: {finding.waiver}", "    ", "    ")


def _table(held: Sequence[Finding]) -> Iterator[str]:
    width = max(len(f.code) for f in held) + 1
    yield f"  {'':<{width}}{'figure':>10} {'limit':>12} {'spare':>7} {'measure':>10}"
    for f in held:
        limit = f"{'<=' if f.most else '>='} {figure(f.limit, f.unit)}"
        head = f"  {f.code:<{width}}{figure(f.value, f.unit):>10} {limit:>12} "
        head += f"{figure(f.margin, ''):>7} {measure(f, short=True):>10}  "
        head += f"kernel {figure(f.proof, '')}  " if f.proof is not None else ""
        text = ", ".join(f.subjects)
        room = WIDTH - len(head)
        yield head + (text if len(text) <= room else text[: max(room - 3, 0)] + "...")


def _sizes(dimensions: Sequence[Dimension]) -> list[str]:
    found = to_measure(dimensions)
    if not found:
        return []
    shown = [
        f"{d.part}.{d.name} {d.value:g}{f' +-{d.tolerance:g}' if d.tolerance else ''}"
        for d in found[:MOST_SIZES]
    ]
    if len(found) > MOST_SIZES:
        shown.append(f"{len(found) - MOST_SIZES} more in the report's list of sizes")
    head = (
        f"Measure before cutting ({len(found)} of {len(dimensions)} sizes are common practice, "
        "not yet measured):"
    )
    return ["", *wrapped(head), *wrapped("; ".join(shown), "  ", "  ")]


def _place(point: Sequence[float]) -> str:
    return "(" + ", ".join(f"{v:.1f}" for v in point) + ")"


def _painted(text: str, status: str, colour: bool) -> str:
    return f"\x1b[{_COLOURS[status]}m{text}\x1b[0m" if colour else text
