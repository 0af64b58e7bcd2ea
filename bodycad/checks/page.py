"""A check and its manual page."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from bodycad.checks.finding import Finding
from bodycad.layout.layout import Layout
from bodycad.safety import Danger


@dataclass(frozen=True)
class Page:
    """What a check asks, why it matters at the bench, its limits by name in the shop, usual cures,
    and what can hurt whoever does that work."""

    asks: str
    why: str
    limits: tuple[str, ...]
    cures: str
    dangers: tuple[Danger, ...] = ()


@dataclass(frozen=True)
class Topic:
    """A page of the manual whose question is put to the other checks' answers, not to the
    layout."""

    name: str
    page: Page


@dataclass(frozen=True)
class Check:
    """A name, the pure function that answers it, and its page.

    net: it asks over again, of the body as drawn, what other checks ask by name. So its findings
    take no part in chance but for what fails as drawn, and their cure is not sought while another
    check fails or warns.

    gate: where it fails, every other figure is wrong for the same cause, so no check after it is
    asked: each is skipped by name."""

    name: str
    function: Callable[[Layout], Iterable[Finding]]
    page: Page
    net: bool = False
    gate: bool = False


def together(
    *questions: Callable[[Layout], Iterable[Finding]],
) -> Callable[[Layout], Iterable[Finding]]:
    """One check made of several questions, asked in turn."""

    def ask(layout: Layout) -> Iterator[Finding]:
        for question in questions:
            yield from question(layout)

    return ask
