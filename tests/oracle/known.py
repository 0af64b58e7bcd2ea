"""Spoilings that the judge calls ruined and `check` lets pass, each with its reason.

The number is that of the case, as in `python -m tests.oracle.spoil --case 137`."""

from __future__ import annotations

PASSED: dict[int, str] = {}
