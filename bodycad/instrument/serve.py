"""Which string a point serves: by its place across the strings, at its own place along them."""

from __future__ import annotations

from collections.abc import Sequence

from bodycad.instrument.lines import Point, StringLine


def serve(
    lines: Sequence[StringLine], spots: Sequence[Point], numbers: Sequence[int | None] = ()
) -> tuple[StringLine | None, ...]:
    """The string that each plan point serves, or None for a point that no string is left for.

    A point with a number serves the string of that number, alone or not. The others share the
    remaining strings in their order across them, one each; where there are fewer of one than of
    the other, those are left out that leave the smallest sum of squared distances."""
    numbers = numbers or (None,) * len(spots)
    by_number = {line.number: line for line in lines}
    free = [k for k, number in enumerate(numbers) if number is None]
    left = [line for line in lines if line.number not in numbers]
    free.sort(key=lambda k: across(lines, spots[k]))
    found = [None if n is None else by_number.get(n) for n in numbers]
    for k, line in _in_order([(k, spots[k]) for k in free], left):
        found[k] = line
    return tuple(found)


def across(lines: Sequence[StringLine], spot: Point) -> float:
    """Where a plan point lies across the strings there: 0 on the first line, 1 on the last."""
    x, y = spot
    first, last = lines[0].y_at(x), lines[-1].y_at(x)
    return (y - first) / (last - first) if last != first else y - first


def _in_order(
    spots: list[tuple[int, Point]], lines: list[StringLine]
) -> list[tuple[int, StringLine]]:
    """Pairs of points and lines, both in their order across, as many as there are of the fewer."""
    if len(spots) == len(lines):
        return [(k, line) for (k, _), line in zip(spots, lines, strict=True)]
    turned = len(spots) > len(lines)
    costs = [[(y - line.y_at(x)) ** 2 for line in lines] for _, (x, y) in spots]
    if turned:
        costs = [list(column) for column in zip(*costs, strict=True)]
    few, many = len(costs), max(len(spots), len(lines))
    # best[i][j]: the least sum for the first i of the fewer among the first j of the others.
    best = [[0.0] * (many + 1)] + [[float("inf")] * (many + 1) for _ in range(few)]
    for i in range(1, few + 1):
        for j in range(i, many + 1):
            best[i][j] = min(best[i][j - 1], best[i - 1][j - 1] + costs[i - 1][j - 1])
    pairs, j = [], many
    for i in range(few, 0, -1):
        while best[i][j] == best[i][j - 1]:
            j -= 1
        spot, line = (j - 1, i - 1) if turned else (i - 1, j - 1)
        pairs.append((spots[spot][0], lines[line]))
        j -= 1
    return pairs
