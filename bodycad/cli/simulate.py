"""The command `bodycad simulate`."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path
from typing import Any

from bodycad.cli import console
from bodycad.cli.design import script_arguments
from bodycad.errors import InputError


def add_simulate(commands: argparse._SubParsersAction[Any]) -> None:
    """Put the command among the others."""
    parser = commands.add_parser(
        "simulate",
        allow_abbrev=False,
        help="run the cutting programs on a grid: what is left, what is gouged",
        description="Cut every piece on a grid of heights from its cutting programs as they are "
        "written, from both faces, and hold it against the design. Writes one picture to "
        "DIR/<design>-simulation.png. Exit status 1: wood is left or gouged.",
    )
    script_arguments(parser)
    parser.add_argument("--out", metavar="DIR", default="out", help="where the picture goes (out)")
    parser.add_argument(
        "--pitch",
        metavar="MM",
        default="0.1",
        help="the side of a cell, 0.05 to 1 mm (0.1); above 0.2 a warning at best",
    )
    parser.add_argument(
        "--cam", metavar="DIR", help="run the cutting programs in DIR, not freshly written ones"
    )
    parser.add_argument(
        "--json", action="store_true", help="print one JSON document and nothing else"
    )
    parser.set_defaults(run=_simulate)


def _simulate(arguments: argparse.Namespace) -> int:
    import tempfile

    from bodycad.exports.simulation import picture_of, simulate, write_programs
    from bodycad.exports.simulation_picture import write_picture
    from bodycad.exports.simulation_text import simulation_json, simulation_text
    from bodycad.script import load_design

    pitch, given = _pitch(arguments.pitch), arguments.cam
    if given is not None and not os.path.isdir(given):
        raise InputError("--cam", given, "a directory that holds cutting programs")
    layout = load_design(arguments.design, arguments.settings).layout()
    progress = sys.stderr.isatty() and not arguments.json
    tell = console.progress if progress else None
    with tempfile.TemporaryDirectory(prefix="bodycad-") as made:
        folder = Path(given) if given is not None else Path(made)
        if given is None:
            write_programs(layout, folder)
        done = simulate(layout, folder, pitch, tell)
    out = Path(arguments.out)
    try:
        out.mkdir(parents=True, exist_ok=True)
        shown = write_picture(done, out / picture_of(layout.name))
    except OSError as error:
        allowed = f"a directory that can be written to ({error.strerror or error})"
        raise InputError("--out", str(out), allowed) from error
    console.clear(progress)
    if arguments.json:
        console.write(simulation_json(done))
    else:
        console.write(simulation_text(done, console.coloured(console.results())))
        console.write(f"\nPicture: {shown}\n")
    return done.report.exit_status


def _pitch(text: str) -> float:
    """The side of a cell. Raises InputError for what is no number of use."""
    from bodycad.simulation.grid import COARSEST, FINEST, PITCH

    try:
        found = float(text)
    except ValueError:
        found = float("nan")
    if not FINEST <= found <= COARSEST:
        allowed = f"{FINEST:g} to {COARSEST:g} mm"
        raise InputError("--pitch", text, allowed, f"leave it out for {PITCH:g}")
    return found
