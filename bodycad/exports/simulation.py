"""The cutting programs of a folder, run on a grid: every piece of a layout from its own files."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from bodycad.checks.finding import Finding
from bodycad.checks.report import Report, sorted_findings
from bodycad.errors import FileError
from bodycad.exports import programs
from bodycad.exports.grid_job import read_heights
from bodycad.exports.sheet import drawn_faces
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.making.shaped import follower
from bodycad.making.tabs import tabs
from bodycad.simulation.grid import PITCH
from bodycad.simulation.job import Job
from bodycad.simulation.judge import findings
from bodycad.simulation.run import Simulated, simulated


@dataclass(frozen=True, eq=False)
class Simulation:
    """Every piece of a layout, cut from its files, and what there is to say of each."""

    layout: Layout
    pieces: tuple[Simulated, ...]
    findings: tuple[Finding, ...]

    @property
    def report(self) -> Report:
        """The findings as a report of their own."""
        return Report(self.layout, sorted_findings(list(self.findings)), ())


def picture_of(name: str) -> str:
    """The name of the picture of a design's simulation."""
    return f"{name}-simulation.png"


def write_programs(layout: Layout, folder: Path) -> None:
    """Write what is to be run into a folder, as a build does."""
    programs.write(Report(layout, (), ()), folder)


def simulate(
    layout: Layout,
    folder: str | Path,
    pitch: float = PITCH,
    tell: Callable[[str], None] | None = None,
) -> Simulation:
    """Run the cutting programs in a folder. Raises FileError for one that is missing or cannot be
    run, InputError for a pitch that is not of use."""
    made, found = list[Simulated](), list[Finding]()
    for piece in layout.pieces:
        if tell is not None:
            tell(f"cutting {piece.id}")
        held = [tab for tab in tabs(layout) if tab.piece == piece.id]
        done = simulated(piece, layout.shop, _jobs(layout, piece, Path(folder)), pitch, held)
        made.append(done)
        found += findings(done, layout.shop)
    return Simulation(layout, tuple(made), tuple(found))


def _jobs(layout: Layout, piece: Workpiece, folder: Path) -> tuple[Job, ...]:
    """The jobs of a piece's faces."""
    from bodycad.exports.dxf.job import read_job

    jobs = []
    for own, face, stem in drawn_faces(layout):
        if own is not piece:
            continue
        path = folder / f"{stem}-cam.dxf"
        if not path.is_file():
            raise FileError(f"{path} is missing: the {face} of {piece.id} has no cutting program")
        job = read_job(path)
        if job.face != face:
            raise FileError(f"{path} is of the {job.face or 'no'} face, not the {face}")
        odd = tuple(_others(layout, piece, job.name, job.said))
        job = replace(job, notes=(*job.notes, *odd))
        grid = folder / f"{stem}-heights.png"
        followed = grid.is_file() and follower(layout.shop) is not None
        jobs.append(_with_heights(layout, piece, job, grid) if followed else job)
    return tuple(jobs)


def _others(layout: Layout, piece: Workpiece, name: str, told: Mapping[str, str]) -> Iterator[str]:
    """Where a file says that it is another design's, piece's, hand's, revision's or stock's."""
    for key, own in (
        ("design", layout.name),
        ("piece", piece.id),
        ("hand", layout.hand),
        ("revision", layout.revision),
        ("thickness", f"{piece.thickness:g}"),
    ):
        said = told.get(key, "")
        same = _same(said, piece.thickness) if key == "thickness" else said == own
        if not same:
            yield f"{name} says {key} {said or 'nothing'}, not {own}"


def _with_heights(layout: Layout, piece: Workpiece, job: Job, path: Path) -> Job:
    """A job with the grid of heights of its face; what of it does not fit the drawing is noted, for
    both are run from one zero."""
    heights, said = read_heights(path)
    zero = tuple(said.get(name, "") for name in ("datum x", "datum y"))
    notes = [*job.notes, *_others(layout, piece, path.name, said)]
    if said.get("face") != job.face:
        notes.append(f"{path.name} is of the face {said.get('face')}, not {job.face}")
    if any(not _same(one, own) for one, own in zip(zero, job.zero)):
        drawn = f"({job.zero[0]:g}, {job.zero[1]:g})"
        notes.append(f"{path.name} has its datum at ({', '.join(zero)}), the drawing at {drawn}")
    return replace(job, heights=heights, notes=tuple(notes))


def _same(said: str, number: float) -> bool:
    try:
        return abs(float(said) - number) < 1e-3
    except ValueError:
        return False
