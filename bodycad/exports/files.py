"""The files of a build: made beside their place, put into it only when all are whole.

The CAD kernel works in a child process while the drawings are written here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bodycad.chance.measure import measure_first, with_measure
from bodycad.checks.finding import Finding
from bodycad.checks.report import Report, sorted_findings
from bodycad.checks.rules.assembly import claims
from bodycad.checks.rules.complete import outside
from bodycad.checks.rules.kernel import SOLID
from bodycad.checks.runner import run
from bodycad.errors import FileError, InputError
from bodycad.exports import listed, more, simulation, stage
from bodycad.exports.sheet import drawn_faces
from bodycad.layout.layout import Layout
from bodycad.layout.volume import body_figures
from bodycad.solid.beside import Beside, Ended

if TYPE_CHECKING:
    from bodycad.solid import child

KERNEL_SECONDS = 300.0
"""The child process is given up after this."""


def build(
    layout: Layout,
    out: str | Path = "out",
    tell: Callable[[str], None] | None = None,
    improve: Callable[[Report], Report] | None = None,
    proof: bool = False,
    placing: Callable[[Path, str], None] | None = None,
    simulate: bool = False,
) -> Report:
    """Check, then write every file to `out`/<name>/, and return the report with the kernel's
    findings.

    All files are put in place in one step when all are whole; where the kernel refused a solid or
    one of its files (`refused`), none is, and what stands there stays. Of an earlier build go the
    files that its list names; whatever else is in its folder is the maker's own and stays.

    `tell` is called with the name of each step; `improve` may add words to the report of the checks
    before anything is written; `placing` is called with the folder of the build and its name before
    anything is made beside it; with `proof` the kernel measures every gap again and puts the
    instrument together, and a disagreement is an error finding; with `simulate` the cutting
    programs are run on a grid, and what they leave and gouge is found, with a picture.

    Raises InputError for a place that cannot be used or a maker's file where one of the build would
    go, and FileError for a file that does not say what the layout says; nothing is left behind."""
    tell = tell or (lambda step: None)
    with _usable(out):
        target, planned = _target(Path(out), layout.name), names(layout, simulate)
        stage.sweep(target, layout.name)
        listed.refuse(target, layout.name, planned)
    for void, beyond in outside(layout):
        what = f"how far {void.id} lies outside the blank, mm,"
        cure = f"move {void.part} into the body; bodycad check tells how the rest stands"
        raise InputError(what, round(beyond, 2), "0", cure)
    if placing is not None:
        placing(target, layout.name)
    place, done = None, False
    try:
        try:
            # A stop between the making of the stage and the care for it would leave it there.
            with stage.undisturbed(), _usable(out):
                place = stage.open_stage(target, layout.name)
            report = _write(layout, place, tell, improve, proof, simulate)
            if not refused(report):
                listed.write_list(place.new, layout.name, planned)
                with stage.undisturbed():
                    stage.publish(place, planned)
                    done = True
        finally:
            with stage.undisturbed():
                if place is not None:
                    stage.close(place)
    except OSError as error:
        why = f"{error.strerror or error}; {'all' if done else 'nothing'} was replaced"
        raise FileError(f"writing {target} failed: {why}") from error
    except KeyboardInterrupt as stop:
        stop.args = (f"the files in {target} are written",) if done else stop.args
        raise
    return report


@contextmanager
def _usable(out: str | Path) -> Iterator[None]:
    """Turn what the system says of a place into an InputError."""
    try:
        yield
    except OSError as error:
        allowed = f"a directory that can be written to ({error.strerror or error})"
        raise InputError("--out", str(out), allowed) from error


def refused(report: Report) -> tuple[Finding, ...]:
    """The findings that keep a build from being put in place: the kernel refused a solid or one of
    its files, or did not live to make them."""
    return tuple(f for f in report.findings if f.check == SOLID.name and f.status == "error")


def names(layout: Layout, simulate: bool = False) -> tuple[str, ...]:
    """The names of all files of a build; with `simulate` the picture of the simulation too."""
    from bodycad.solid import child

    drawn = (
        f"{stem}{twin}.dxf" for _, _, stem in drawn_faces(layout) for twin in ("", "-annotated")
    )
    further = (name for kind in more.kinds() for name in kind.names(layout))
    solids = child.files_of(layout.name, any(piece.skin.contours for piece in layout.pieces))
    shown = (simulation.picture_of(layout.name),) if simulate else ()
    return (*drawn, *further, *shown, *solids, *listed.REPORTS, listed.list_of(layout.name))


def _write(
    layout: Layout,
    place: stage.Stage,
    tell: Callable[[str], None],
    improve: Callable[[Report], Report] | None,
    proof: bool,
    simulate: bool,
) -> Report:
    """Every file but the list into the stage; the report with what the kernel found.

    The kernel works while the checks are asked, and writes its files while the report is written;
    what to measure first is worked out in a copy of this process while the drawings are, and what
    is slow to write is written in others."""
    from bodycad.solid import child, compare

    work, jobs = place.new, list[child.Handle]()
    stated = claims(layout) if proof else ()
    jobs.append(child.start(layout, work, KERNEL_SECONDS, stated, place.folder))
    copies = list[Beside[Any]]()
    try:
        tell("checking")
        report = run(layout) if improve is None else improve(run(layout))
        if proof:
            asked = [one for _, one in compare.questions(report.findings, layout.pieces[1:])]
            jobs.append(child.start_proof(layout.skin, asked, KERNEL_SECONDS, place.folder))
        kinds = more.kinds()
        slow = [kind for kind in kinds if kind.slow]
        for kind in slow:
            copies.append(Beside(f"writing {kind.what}", partial(_tried, kind, report, work)))
        first = Beside("working out what to measure first", lambda: measure_first(layout))
        copies.append(first)
        _draw(layout, work, tell)
        for kind in kinds:
            if not kind.slow:
                tell(f"writing {kind.what}")
                kind.write(report, work)
        for kind, copy in zip(slow, copies):
            tell(f"writing {kind.what}")
            _whole(kind, copy, report, work)
        if simulate:
            report = _simulated(report, work, tell)
        tell("working out what to measure first")
        try:
            report = replace(report, measure=first.answer())
        except Ended:  # a part's own code may end a process: here it is told how
            report = with_measure(report)
        tell("waiting for the solid")
        judged = child.judged(jobs[0])
        if proof:
            tell(f"waiting for {len(asked)} gaps to be measured again")
            proven = compare.proven(report.findings, *child.finish_proof(jobs[1]))
            report = replace(report, findings=proven)
        if judged is not None:
            told = _tell_all(report, judged, work, tell)
        made = child.made(jobs[0])
        if made != judged:
            told = _tell_all(report, made, work, tell)
    except BaseException:
        for job in jobs:
            child.stop(job)
        for copy in copies:
            copy.stop()
        raise
    return told


def _tried(kind: more.Kind, report: Report, work: Path) -> bool:
    """Whether a kind of file was written; whatever went wrong is told where it is written again."""
    try:
        kind.write(report, work)
    except Exception:
        return False
    return True


def _whole(kind: more.Kind, copy: Beside[bool], report: Report, work: Path) -> None:
    """Wait for what a copy of this process writes; what it could not write is written here, where
    its reason is heard."""
    try:
        done = copy.answer()
    except Ended:
        done = False
    if not done:
        kind.write(report, work)


def _simulated(report: Report, work: Path, tell: Callable[[str], None]) -> Report:
    """The report with what running the written cutting programs says, and its picture."""
    from bodycad.exports.simulation_picture import write_picture

    done = simulation.simulate(report.layout, work, tell=tell)
    write_picture(done, work / simulation.picture_of(report.layout.name))
    return replace(report, findings=sorted_findings([*report.findings, *done.findings]))


def _tell_all(report: Report, made: child.Made, work: Path, tell: Callable[[str], None]) -> Report:
    """The report with what the kernel found, written as a page and as data."""
    from bodycad.exports.report.html import html_text
    from bodycad.exports.report.json import json_text

    tell("writing the report")
    report = replace(report, findings=sorted_findings([*report.findings, *made.findings]))
    figures = made.figures or tuple(map(body_figures, report.layout.pieces))
    (work / "report.json").write_text(json_text(report, figures), encoding="utf-8")
    (work / "report.html").write_text(html_text(report, figures), encoding="utf-8")
    return report


def _draw(layout: Layout, work: Path, tell: Callable[[str], None]) -> None:
    """Every cut sheet and its annotated twin, each read back."""
    from bodycad.exports.dxf import annotate, document, lint

    cutter = min(one.diameter for one in layout.shop.flat_cutters)
    for piece, face, stem in drawn_faces(layout):
        tell(f"drawing the {face} of {piece.id}")
        bare, twin = work / f"{stem}.dxf", work / f"{stem}-annotated.dxf"
        document.write(piece, face, bare)
        lint.verify(bare, piece, face, cutter)
        annotate.write_annotated(layout, face, twin, piece)
        lint.verify(twin, piece, face, cutter, annotated=True)


def _target(out: Path, name: str) -> Path:
    """Where the build goes, whatever directory this process is in later. Raises InputError where a
    file is in the way."""
    target = out.absolute() / name
    for parent in target.parents:
        if parent.exists() and not parent.is_dir():
            allowed = f"a directory; {parent} is a file"
            raise InputError("--out", str(out), allowed, "name another place")
    return target.resolve() if target.is_symlink() else target
