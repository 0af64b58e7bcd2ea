"""What every command writes with: results to stdout, progress and messages to stderr.

While a command runs, nothing else reaches stdout: what a script, its parts or their children print,
to `sys.stdout` or to descriptor 1, goes to stderr."""

from __future__ import annotations

import io
import os
import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import TextIO, cast

from bodycad.errors import LONGEST, BodycadError, harmless, plain

_PAINT = re.compile("(\x1b\\[(?:31;1|33|32|2|0)m)")
"""The colours of the report, which a terminal gets as they are."""


class OutputError(BodycadError):
    """A result could not be written to stdout."""


class _Aside(io.TextIOBase):
    """`sys.stdout` of a command: what is printed goes to `shown`, which may be missing or full;
    `results` is the stream for results."""

    def __init__(self, results: TextIO, shown: TextIO | None) -> None:
        self.results, self._shown = results, shown

    def write(self, text: str) -> int:
        with suppress(OSError, ValueError, AttributeError):
            self._shown.write(text)  # type: ignore[union-attr]
        return len(text)

    def flush(self) -> None:
        with suppress(OSError, ValueError, AttributeError):
            self._shown.flush()  # type: ignore[union-attr]

    def writable(self) -> bool:
        return True

    def isatty(self) -> bool:
        return self._shown is not None and self._shown.isatty()

    def fileno(self) -> int:
        if self._shown is None:
            raise io.UnsupportedOperation("fileno")
        return self._shown.fileno()

    @property
    def buffer(self) -> io.BufferedIOBase:
        """Where bytes are printed."""
        return self._shown.buffer  # type: ignore[union-attr, return-value]

    @property
    def encoding(self) -> str:  # type: ignore[override]
        return getattr(self._shown, "encoding", None) or "utf-8"


def opened() -> None:
    """Put nothing in the place of a standard stream that is closed, so that no other file gets its
    descriptor; let the others show a character that they have not escaped."""
    for place in range(3):
        try:
            os.fstat(place)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # the lowest free one
    sys.stdout = sys.stdout or open(os.devnull, "w")  # noqa: SIM115
    sys.stderr = sys.stderr or open(os.devnull, "w")  # noqa: SIM115
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


@contextmanager
def results_apart() -> Iterator[None]:
    """Keep stdout for `write` alone while a command runs."""
    before = sys.stdout
    results, kept = before, _moved(before)
    if kept is not None:
        results = open(kept, "w", encoding=before.encoding, errors=before.errors)  # noqa: SIM115
    sys.stdout = cast(TextIO, _Aside(results, sys.stderr))
    try:
        yield
    finally:
        sys.stdout = before
        if kept is not None:
            with suppress(OSError):
                results.flush()
            os.dup2(kept, 1)
            silence(results)
            results.close()


def _moved(stream: TextIO) -> int | None:
    """A new descriptor of what 1 was, which is stderr from now on; None where `stream` does not
    write to 1."""
    try:
        if stream.fileno() != 1:
            return None
        stream.flush()
    except (OSError, ValueError):
        return None
    kept = os.dup(1)
    os.dup2(2, 1)
    return kept


def results() -> TextIO:
    """The stream for results."""
    found: TextIO = getattr(sys.stdout, "results", sys.stdout)
    return found


def write(text: str) -> None:
    """Print a result to stdout, with nothing that moves a terminal's cursor; a reader that has gone
    away is no fault. Raises OutputError."""
    stream = results()
    parts = _PAINT.split(text) if coloured(stream) else [text]
    try:
        stream.write("".join(one if k % 2 else harmless(one) for k, one in enumerate(parts)))
        stream.flush()
    except BrokenPipeError:
        silence(stream)
    except OSError as error:
        silence(stream)
        what = f"the result could not be written to stdout ({error.strerror})"
        raise OutputError(f"{what}; send it to a place with room") from error


def message(text: str) -> None:
    """Print a line to stderr, where anybody reads it."""
    try:
        sys.stderr.write(f"bodycad: {plain(text, LONGEST)}\n")
        sys.stderr.flush()
    except OSError:
        silence(sys.stderr)  # the exit status must do


def silence(stream: TextIO) -> None:
    """Let what a stream that cannot be written to still holds go nowhere: else the interpreter
    complains once more when it ends, and changes the exit status."""
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)


def coloured(stream: TextIO) -> bool:
    """Whether colour is wanted: on a terminal that knows it, and not when NO_COLOR is set."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def progress(step: str) -> None:
    """Show the step in the terminal's one line of progress."""
    with suppress(OSError):
        sys.stderr.write(f"\r\033[K{plain(step, 200)} ...")
        sys.stderr.flush()


def clear(shown: bool) -> None:
    """Wipe the line of progress where there was one."""
    if shown:
        with suppress(OSError):
            sys.stderr.write("\r\033[K")
