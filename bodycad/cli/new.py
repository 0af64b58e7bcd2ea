"""The command `bodycad new`: a first script, its empty table of sizes and its measuring sheet."""

from __future__ import annotations

import argparse
import keyword
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeVar

from bodycad.cli import console
from bodycad.errors import InputError
from bodycad.starting.answers import (
    BRIDGES,
    COUNTS,
    JOINTS,
    MOUNTS,
    PICKUPS,
    SWITCHES,
    Answers,
)

N = TypeVar("N", int, float)


def _installed(name: str) -> bool:
    """Whether a script of that name would hide an installed module from `python -m bodycad` in its
    folder."""
    from importlib.machinery import PathFinder

    elsewhere = [path for path in sys.path if path and Path(path).resolve() != Path.cwd()]
    return PathFinder.find_spec(name, elsewhere) is not None


def _listed(table: Mapping[str, str]) -> str:
    return "; ".join(f"{word}: {what}" for word, what in table.items())


def add_new(commands: argparse._SubParsersAction[Any]) -> None:
    """Put the command among the others."""
    parser = commands.add_parser(
        "new",
        allow_abbrev=False,
        help="write a first script that fails no check, with a sheet of what to measure",
        description="Write NAME.py, the empty table NAME-sizes.csv and the printable sheet "
        "NAME-measuring.html into this folder, from a few answers. On a terminal it asks for what "
        "no option says. No file that is there is replaced.",
    )
    parser.add_argument("name", metavar="NAME", help="the design's name: small letters, digits, _")
    parser.add_argument("--strings", metavar="N", help="4 or 5 (a bass), 6, 7 or 8 (default: 6)")
    parser.add_argument(
        "--gauges", metavar="LIST", help="treble first, such as .010,.013,.017,.026w,.036w,.046w"
    )
    parser.add_argument("--scale", metavar="LENGTH", help="mm, or inches such as 25.5in")
    parser.add_argument("--frets", metavar="N", help="19 to 24")
    parser.add_argument("--joint", metavar="KIND", help=_listed(JOINTS))
    parser.add_argument("--bridge", metavar="KIND", help=_listed(BRIDGES))
    parser.add_argument(
        "--pickups", metavar="LIST", help=f"one to three, from the neck on: {_listed(PICKUPS)}"
    )
    parser.add_argument("--mount", metavar="KIND", help=f"of the pickups: {_listed(MOUNTS)}")
    parser.add_argument("--volumes", metavar="N", help="1 to 3 (default: 1)")
    parser.add_argument("--tones", metavar="N", help="0 to 2 (default: 1)")
    parser.add_argument("--switch", metavar="KIND", help=_listed(SWITCHES))
    parser.add_argument("--hand", metavar="HAND", help="right or left (default: right)")
    parser.set_defaults(run=_new)


def _new(arguments: argparse.Namespace) -> int:
    import bodycad
    from bodycad.cli.measure import empty_table, page, put_new, refuse_old
    from bodycad.design import FileName
    from bodycad.kinds.read import kind_of
    from bodycad.kinds.value import Refused
    from bodycad.script import load, make
    from bodycad.starting.possible import settled
    from bodycad.starting.script import script_text

    name = arguments.name
    try:
        kind_of(FileName).read(name)
        if not name.isidentifier():
            raise Refused(name, "a name that Python can import: small letters, digits and _")
        if keyword.iskeyword(name) or name in sys.stdlib_module_names or _installed(name):
            raise Refused(name, "a name that no word or module of Python or of bodycad's has")
    except Refused as no:
        error = InputError("the design's name", no.value, no.allowed, no.remedy)
        raise error from None
    paths = [Path(f"{name}{end}") for end in (".py", "-sizes.csv", "-measuring.html")]
    refuse_old(paths)
    if sys.stdin is not None and sys.stdin.isatty() and sys.stderr.isatty():
        _ask(arguments)
    answers = settled(_answers(arguments))
    text = script_text(name, answers, bodycad.NAMES).encode()
    script = load(paths[0], text, {"sizes": None})
    design = make(script)
    sheet = page(design, paths[0].name).encode()
    put_new(list(zip(paths, (text, empty_table(design, paths[1].name), sheet))))
    console.write(_next(name))
    return 0


def _next(name: str) -> str:
    return (
        f"{name}.py, {name}-sizes.csv and {name}-measuring.html are written. What to do next:\n"
        f"  1. bodycad check {name}.py             nothing fails with usual sizes; see what warns\n"
        f"  2. print {name}-measuring.html, and measure your parts\n"
        f"  3. bodycad enter {name}.py neck.heel.length=76.2   each size, or fill in "
        f"{name}-sizes.csv\n"
        f"  4. bodycad check {name}.py             with your own sizes; then change the outline\n"
        f"  5. bodycad build {name}.py             the files to cut from\n"
    )


def _answers(given: argparse.Namespace) -> Answers:
    """The answers of the options. Raises InputError."""
    usual = Answers()
    strings = _whole("--strings", given.strings, usual.strings)
    usual_pickups = ("soapbar", "soapbar") if strings <= 5 else usual.pickups
    hand = given.hand or "right"
    if hand not in ("right", "left"):
        raise InputError("--hand", hand, "right, left")
    return Answers(
        strings=strings,
        gauges=_words(given.gauges) or (),
        scale=_some("--scale", given.scale, _length(given.scale), "mm, or inches as 25.5in"),
        frets=_some("--frets", given.frets, _whole("--frets", given.frets, 0), "19 to 24"),
        joint=given.joint or usual.joint,
        bridge=given.bridge or usual.bridge,
        pickups=_words(given.pickups) or usual_pickups,
        mount=given.mount or "",
        volumes=_whole("--volumes", given.volumes, usual.volumes),
        tones=_whole("--tones", given.tones, usual.tones),
        switch=given.switch or "",
        left_handed=hand == "left",
    )


def _some(option: str, text: str | None, value: N, allowed: str) -> N:
    """The value; 0 stands for what nobody said. Raises InputError where somebody said it."""
    if text is not None and not value:
        raise InputError(option, text, allowed)
    return value


def _words(text: str | None) -> tuple[str, ...]:
    return tuple(word.strip() for word in (text or "").split(",") if word.strip())


def _whole(option: str, text: str | None, usual: int) -> int:
    if text is None:
        return usual
    try:
        return int(text)
    except ValueError:
        raise InputError(option, text, "a whole number") from None


def _length(text: str | None) -> float:
    if text is None:
        return 0.0
    from bodycad.measuring.rows import number_in
    from bodycad.units import MM_PER_INCH

    plain = text.strip().removesuffix("mm").strip()
    for unit in ("inch", "in", '"'):
        if plain.endswith(unit):
            inches = number_in("--scale", plain.removesuffix(unit).strip(), "in")
            return round(MM_PER_INCH * inches, 4)  # it stands in the script
    return number_in("--scale", plain, "mm")


QUESTIONS = (
    ("strings", "How many strings", "6", f"{', '.join(map(str, COUNTS))}; 4 and 5 are basses"),
    ("scale", "Scale length", "as the strings want", "mm, or inches such as 25.5in"),
    ("joint", "Neck joint", "ferrules", _listed(JOINTS)),
    ("bridge", "Bridge", "hardtail", _listed(BRIDGES)),
    (
        "pickups",
        "Pickups from the neck on",
        "two of the kind",
        f"commas between; {_listed(PICKUPS)}",
    ),
    ("mount", "Mount of the pickups", "as its kind wants", _listed(MOUNTS)),
    ("volumes", "Volume controls", "1", "1 to 3"),
    ("tones", "Tone controls", "1", "0 to 2"),
    ("switch", "Switch", "as the pickups want", _listed(SWITCHES)),
    ("hand", "Hand", "right", "right, left"),
)
"""What is asked on a terminal, with what an empty answer means and what is allowed."""


TRIES = 5
"""How often one question is asked before the command gives up."""


def _ask(given: argparse.Namespace) -> None:
    """Ask, on stderr, for what no option says; an empty answer leaves the usual. What the kit
    cannot make with the answers before is asked again. Raises InputError after the last try."""
    from bodycad.starting.possible import settled

    for option, question, usual, allowed in QUESTIONS:
        if getattr(given, option) is not None:
            continue
        for left in reversed(range(TRIES)):
            sys.stderr.write(f"{question} [usual: {usual}]? ({allowed})\n> ")
            sys.stderr.flush()
            line = sys.stdin.readline()
            answer = line.strip()
            setattr(given, option, answer if answer and answer != "usual" else None)
            try:
                settled(_answers(given))
            except InputError as error:
                if not left or not line:
                    raise
                sys.stderr.write(f"{error}\n")
            else:
                break
