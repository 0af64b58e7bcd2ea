"""What every command writes with: results to stdout, progress and messages to stderr."""

from __future__ import annotations

import io
import os
import sys
from typing import TextIO


def write(text: str) -> None:
    """Print to stdout; a reader that has gone away is no fault."""
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        # Else the interpreter complains once more at exit.
        sys.stdout = open(os.devnull, "w")  # noqa: SIM115


def coloured(stream: TextIO) -> bool:
    """Whether colour is wanted: on a terminal that knows it, and not when NO_COLOR is set."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def progress(step: str) -> None:
    """Show the step in the terminal's one line of progress."""
    sys.stderr.write(f"\r\033[K{step} ...")
    sys.stderr.flush()


def clear(shown: bool) -> None:
    """Wipe the line of progress where there was one."""
    if shown:
        sys.stderr.write("\r\033[K")


def forgiving(stream: TextIO) -> None:
    """Let a stream that cannot show a character show it escaped instead of failing."""
    if isinstance(stream, io.TextIOWrapper):
        stream.reconfigure(errors="backslashreplace")
