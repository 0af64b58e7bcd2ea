"""The files of a build: written beside their place, moved into it only when all are whole.

The CAD kernel works in a child process while the drawings are written here.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import tempfile
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from bodycad.chance.measure import with_measure
from bodycad.checks.report import Report, sorted_findings
from bodycad.checks.rules.assembly import claims
from bodycad.checks.rules.complete import outside
from bodycad.checks.runner import run
from bodycad.errors import FileError, InputError
from bodycad.layout.layout import Layout

KERNEL_SECONDS = 300.0
"""The child process is given up after this."""
KINDS = ("dxf", "step", "glb", "pdf", "csv", "svg", "json", "html", "txt")
"""Endings of files that a build may have written as `<design>-...`."""


def build(
    layout: Layout,
    out: str | Path = "out",
    tell: Callable[[str], None] | None = None,
    improve: Callable[[Report], Report] | None = None,
    proof: bool = False,
) -> Report:
    """Check, then write every file to `out`/<name>/, and return the report with the kernel's
    findings.

    A directory of that name is replaced only by a whole new one, and only when everything in it is
    a build's. `tell` is called with the name of each step; `improve` may add words to the report of
    the checks before anything is written; with `proof` the kernel measures every gap again and puts
    the instrument together, and a disagreement is an error finding. Raises InputError for a place
    that cannot be used and FileError for a file that does not say what the layout says; nothing is
    left behind."""
    tell = tell or (lambda step: None)
    target = _target(Path(out), layout.name)
    for void, beyond in outside(layout):
        what = f"how far {void.id} lies outside the blank, mm,"
        cure = f"move {void.part} into the body; bodycad check tells how the rest stands"
        raise InputError(what, round(beyond, 2), "0", cure)
    tell("checking")
    report = run(layout) if improve is None else improve(run(layout))
    made = _missing(target.parent)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        work = Path(tempfile.mkdtemp(prefix=f".{layout.name}-", dir=target.parent))
    except OSError as error:
        allowed = f"a directory that can be written to ({error.strerror})"
        raise InputError("--out", str(out), allowed) from error
    try:
        report = _write(report, work, tell, proof)
        _replace(work, target)
    except BaseException as error:
        shutil.rmtree(work, ignore_errors=True)
        for one in made:
            with suppress(OSError):
                one.rmdir()
        if isinstance(error, OSError):
            why = f"{error.strerror or error}; nothing was replaced"
            raise FileError(f"writing {target} failed: {why}") from error
        raise
    return report


def _write(report: Report, work: Path, tell: Callable[[str], None], proof: bool) -> Report:
    """Every file into `work`; the report with what the kernel found."""
    from bodycad.exports.dxf import annotate, document, lint
    from bodycad.exports.report.html import html_text
    from bodycad.exports.report.json import json_text
    from bodycad.layout.volume import body_figures
    from bodycad.solid import child, compare

    layout = report.layout
    stated = claims(layout) if proof else ()
    handle = child.start(layout, work, KERNEL_SECONDS, stated)
    rows = compare.questions(report.findings, layout.pieces[1:]) if proof else ()
    asked = [question for _, question in rows]
    measuring = None
    try:
        measuring = child.start_proof(layout.skin, asked, KERNEL_SECONDS) if proof else None
        cutter = min(one.diameter for one in layout.shop.cutters)
        for piece, face in ((p, f) for p in layout.pieces for f in p.faces):
            own = "" if piece is layout.body else f"{piece.file_id}-"
            stem = f"{layout.name}-{own}{face}"
            tell(f"drawing the {face} of {piece.id}")
            bare, twin = work / f"{stem}.dxf", work / f"{stem}-annotated.dxf"
            document.write(piece, face, bare)
            lint.verify(bare, piece, face, cutter)
            annotate.write_annotated(layout, face, twin, piece)
            lint.verify(twin, piece, face, cutter, annotated=True)
        tell("weighing the pieces")
        figures = tuple(map(body_figures, layout.pieces))
        tell("working out what to measure first")
        report = with_measure(report)
        tell("waiting for the solid")
        made = child.finish(handle)
        if measuring is not None:
            tell(f"waiting for {len(asked)} gaps to be measured again")
            proven = compare.proven(report.findings, *child.finish_proof(measuring))
            report = replace(report, findings=proven)
    except BaseException:
        for job in filter(None, (handle, measuring)):
            child.stop(job)
        raise
    report = replace(report, findings=sorted_findings([*report.findings, *made]))
    tell("writing the report")
    (work / "report.json").write_text(json_text(report, figures), encoding="utf-8")
    (work / "report.html").write_text(html_text(report, figures), encoding="utf-8")
    return report


def _target(out: Path, name: str) -> Path:
    """Where the build goes. Raises InputError when something there is not a build's."""
    target = out / name
    for parent in target.parents:
        if parent.exists() and not parent.is_dir():
            allowed = f"a directory; {parent} is a file"
            raise InputError("--out", str(out), allowed, "name another place")
    if target.is_symlink():
        target = target.resolve()
    if not target.exists():
        return target
    what, away = "the place for the build", "move it away, or name another place with --out"
    if not target.is_dir():
        raise InputError(what, str(target), "a directory or nothing", "move the file away")
    ours = re.compile(rf"report\.(json|html)|{re.escape(name)}-[^/]*\.({'|'.join(KINDS)})")
    for entry in sorted(target.iterdir()):
        if not ours.fullmatch(entry.name) or not entry.is_file():
            inside = f"in {target}, which a build would replace,"
            raise InputError(inside, entry.name, "nothing but files of a build", away)
    if any(target.iterdir()) and _design_in(target) != name:
        allowed = f"a build of {name}, an empty directory or nothing"
        raise InputError(what, str(target), allowed, away)
    return target


def _design_in(target: Path) -> str | None:
    try:
        found = json.loads((target / "report.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return found.get("design") if isinstance(found, dict) else None


def _missing(directory: Path) -> list[Path]:
    """The directories that `mkdir(parents=True)` would make, innermost first."""
    return [one for one in (directory, *directory.parents) if not one.exists()]


def _replace(work: Path, target: Path) -> None:
    """Move a finished directory into place; the old one comes back when that fails."""
    mask = os.umask(0)
    os.umask(mask)
    work.chmod(0o777 & ~mask)
    if not target.exists():
        work.rename(target)
        return
    old = Path(tempfile.mkdtemp(prefix=f".{target.name}-old-", dir=target.parent))
    target.rename(old / target.name)
    try:
        work.rename(target)
    except BaseException:
        (old / target.name).rename(target)
        old.rmdir()
        raise
    shutil.rmtree(old, ignore_errors=True)
