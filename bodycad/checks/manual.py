"""The manual as text: one check's page, and the list of checks that the README carries."""

from __future__ import annotations

from pathlib import Path

from bodycad.checks.table import MANUAL

BEGIN, END = "<!-- checks -->", "<!-- /checks -->"


def checks_list() -> str:
    """The README's table of checks."""
    rows = [f"| `{check.name}` | {check.page.asks} |" for check in MANUAL]
    return "\n".join(["| check | what it asks |", "|---|---|", *rows])


def renewed(text: str) -> str:
    """`text` with the part between the two marks replaced by the present list."""
    head, _, rest = text.partition(BEGIN)
    _, _, tail = rest.partition(END)
    return f"{head}{BEGIN}\n{checks_list()}\n{END}{tail}"


if __name__ == "__main__":
    readme = Path(__file__).resolve().parents[2] / "README.md"
    readme.write_text(renewed(readme.read_text(encoding="utf-8")), encoding="utf-8")
