"""The command line. Results go to stdout, messages to stderr; heavy modules are imported by the
command that needs them.

Exit status: 0 no finding fails, 1 at least one fails, 2 unusable input or usage, 128 and the number
of the signal that stopped it (130: the keyboard).
"""

from __future__ import annotations

import argparse
import os
import signal
import sys
import traceback
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NoReturn

from bodycad.cli import console
from bodycad.cli.build import add_build
from bodycad.cli.check import add_check
from bodycad.cli.enter import add_enter
from bodycad.cli.explain import add_explain
from bodycad.cli.measure import add_measure
from bodycad.cli.new import add_new
from bodycad.cli.outline import add_outline
from bodycad.cli.parts import add_parts
from bodycad.cli.pattern import add_pattern
from bodycad.cli.route import add_route
from bodycad.cli.selftest import add_selftest, versions
from bodycad.cli.simulate import add_simulate
from bodycad.errors import BodycadError, InputError, plain

COMMANDS = {
    "new": add_new,
    "check": add_check,
    "build": add_build,
    "measure": add_measure,
    "enter": add_enter,
    "pattern": add_pattern,
    "route": add_route,
    "simulate": add_simulate,
    "parts": add_parts,
    "outline": add_outline,
    "explain": add_explain,
    "selftest": add_selftest,
}
"""What puts each command among the others."""


class _Parser(argparse.ArgumentParser):
    """A parser whose complaint is one line."""

    def error(self, message: str) -> NoReturn:
        raise BodycadError(f"{message}; see {self.prog} --help")


class _Version(argparse.Action):
    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> NoReturn:
        console.write("\n".join(f"{name} {number}" for name, number in versions()) + "\n")
        sys.exit(0)


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status.

    A command line that has a script run does so under supervision, where the system has it:
    whatever ends the process at work, nothing half done stays and the exit status says so. `argv`
    runs here."""
    console.opened()
    try:
        arguments = _parse(sys.argv[1:] if argv is None else list(argv))
    except SystemExit as leaving:  # help or version was printed
        try:
            console.write("")
        except BodycadError as error:
            return _say(str(error))
        return int(leaving.code or 0)
    except BodycadError as error:
        return _say(str(error))
    if argv is None and hasattr(arguments, "design") and not _traced():
        from bodycad.cli.supervise import supervised

        return supervised(lambda placing: _run(arguments, placing))
    return _run(arguments, lambda place, name: None)


def _run(arguments: argparse.Namespace, placing: Callable[[Path, str], None]) -> int:
    """Run the command; whatever it raises is one line and an exit status."""
    arguments.placing = placing
    try:
        with console.results_apart():
            return int(arguments.run(arguments))
    except BodycadError as error:
        if _traced() and error.__cause__ is not None:
            raise error.__cause__ from None
        return _say(str(error))
    except KeyboardInterrupt as stop:
        _say(f"stopped; {str(stop) or 'nothing was replaced'}")
        return 128 + getattr(stop, "number", int(signal.SIGINT))
    except Exception as error:
        if _traced():
            raise
        return _say(_fault(error))
    except BaseException as error:
        # What is no Exception leaves a program: no code of ours does, a script's part may.
        thing = f"what the design's own code did {_place(error)}"
        left = " ".join(f"{type(error).__name__}: {error}".split())
        return _say(str(InputError(thing, left, "code that runs to its end and returns")))


def _traced() -> bool:
    return bool(os.environ.get("BODYCAD_TRACEBACK"))


def _parse(argv: list[str]) -> argparse.Namespace:
    parser = _Parser(
        prog="bodycad",
        allow_abbrev=False,
        description="Lay out a solid body from a design script, "
        "check every clearance, and write the files that get the wood cut.",
        epilog="Exit status: 0 no finding fails, 1 at least one fails, 2 unusable input or usage.",
    )
    parser.add_argument(
        "--version", action=_Version, nargs=0, help="versions of bodycad and what it stands on"
    )
    commands = parser.add_subparsers(metavar="COMMAND", title="commands", parser_class=_Parser)
    for add in COMMANDS.values():
        add(commands)
    command = next((word for word in argv if not word.startswith("-")), None)
    if command is not None and command not in COMMANDS:
        from bodycad.errors import nearest

        raise InputError("the command", command, ", ".join(COMMANDS), nearest(command, COMMANDS))
    arguments = parser.parse_args(argv)
    if not hasattr(arguments, "run"):
        raise BodycadError(
            f"no command is given; allowed: {', '.join(COMMANDS)}; see bodycad --help"
        )
    return arguments


def _say(text: str) -> int:
    console.message(text)
    return 2


def _fault(error: Exception) -> str:
    """One line for a fault that no check of ours foresaw: what, and the last place in the code."""
    return (
        f"{type(error).__name__} {_place(error)}: {plain(str(error), 150)}. A part or a number of "
        "the design has a kind that is not allowed there; BODYCAD_TRACEBACK=1 shows the way to it"
    )


def _place(error: BaseException) -> str:
    *_, last = traceback.extract_tb(error.__traceback__)
    return f"at {os.path.basename(last.filename)} line {last.lineno}"
