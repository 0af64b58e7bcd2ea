"""The command line: `entry` reads it, and each command has a file of its own."""

from bodycad.cli.entry import COMMANDS, main
from bodycad.cli.selftest import versions

__all__ = ["COMMANDS", "main", "versions"]
