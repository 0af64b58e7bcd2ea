"""Many curves fitted at once: what one evaluation of a B-spline costs, many cost hardly more."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from bodycad.errors import InputError
from bodycad.geometry.plane.arcfit import fit_spans
from bodycad.imports.curve import Curve, Track, astray, de_boor, joints

SIDE = 1e-9
"""Share of a stretch by which its slope at an end is that of a place further in: at a corner, of
its own side."""
STILL = 1e-7
"""Share of a curve's mean speed under which it stands still, as a Bezier whose handle lies on its
end does: its direction is then that of a place a little further in."""
SAMPLES = 12
"""Points between two knots at which a fitted curve is measured once more."""


class Row:
    """B-splines of one degree with their knots and controls one after the other."""

    def __init__(self, curves: Sequence[Curve]) -> None:
        self.degree = curves[0].degree
        self.knots = np.concatenate([curve.knots for curve in curves])
        self.controls = np.vstack([curve.controls for curve in curves])
        self.low = np.array([curve.knots[0] for curve in curves])
        self.wide = np.array([curve.knots[-1] for curve in curves]) - self.low
        count = np.array([len(curve.controls) for curve in curves])
        each = count + self.degree + 1
        self.first = np.cumsum(each) - each + self.degree
        self.last = self.first + count - self.degree - 1
        owner = np.repeat(np.arange(len(curves)), each)
        # In this order every curve's knots stand apart from the next one's.
        self.order = 2.0 * owner + (self.knots - self.low[owner]) / self.wide[owner]

    def values(self, owner: np.ndarray, u: np.ndarray) -> np.ndarray:
        """Homogeneous coordinates (m, 3) of curve `owner` (m,) at `u` (m,)."""
        place = 2.0 * owner + (u - self.low[owner]) / self.wide[owner]
        span = np.searchsorted(self.order, place, side="right") - 1
        span = np.minimum(np.maximum(span, self.first[owner]), self.last[owner])
        return de_boor(self.degree, self.knots, self.controls, span, owner * (self.degree + 1), u)


@dataclass(frozen=True, eq=False)
class Bundle:
    """Stretches of curves of one degree, end to end in one parameter: stretch j, from `low[j]` to
    `high[j]` of curve `owner[j]`, is that from 2 j to 2 j + 1."""

    curves: tuple[Curve, ...]
    owner: np.ndarray
    low: np.ndarray
    high: np.ndarray

    @property
    def begins(self) -> np.ndarray:
        """Where each stretch begins."""
        return 2.0 * np.arange(len(self.owner))

    def point(self, t: np.ndarray) -> np.ndarray:
        """Positions (m, 2)."""
        j, u = self._places(t)
        found = self._row.values(self.owner[j], u)
        return found[:, :2] / found[:, 2:]

    def slope(self, t: np.ndarray) -> np.ndarray:
        """Directions (m, 2), of the length of first derivatives."""
        j, u = self._places(t)
        reach = SIDE * (self.high[j] - self.low[j])
        u = np.clip(u, self.low[j] + reach, self.high[j] - reach)
        found = self._slopes(j, u)
        speed = self._speeds[self.owner[j]]
        for step in (1e-6, 1e-4):
            still = np.hypot(*found.T) < STILL * speed
            if not still.any():
                break
            k = j[still]
            middle = (self.low[k] + self.high[k]) / 2.0
            inward = np.where(u[still] < middle, step, -step) * (self.high[k] - self.low[k])
            found[still] = self._slopes(k, u[still] + inward)
        return found * (self.high[j] - self.low[j])[:, None]

    def _slopes(self, j: np.ndarray, u: np.ndarray) -> np.ndarray:
        whole, rate = self._row.values(self.owner[j], u), self._rates.values(self.owner[j], u)
        return (rate[:, :2] - whole[:, :2] / whole[:, 2:] * rate[:, 2:]) / whole[:, 2:]

    @cached_property
    def _row(self) -> Row:
        return Row(self.curves)

    @cached_property
    def _rates(self) -> Row:
        return Row(tuple(curve.rates for curve in self.curves))

    @cached_property
    def _speeds(self) -> np.ndarray:
        return np.array([curve.speed for curve in self.curves])

    def _places(self, t: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """The stretch (m,) and its curve's own parameter (m,)."""
        j = np.floor(t / 2.0).astype(int)
        return j, self.low[j] + (t - 2.0 * j) * (self.high[j] - self.low[j])


def fitted(curves: Sequence[Curve], tolerance: float, labels: Sequence[str]) -> list[np.ndarray]:
    """The rows (n, 3) of a chain of arcs within `tolerance` of each curve, tangent to each other
    but at its corners. Raises InputError of the label of a curve that none follows."""
    found: dict[int, np.ndarray] = {}
    for degree in sorted({curve.degree for curve in curves}):
        which = [k for k, curve in enumerate(curves) if curve.degree == degree]
        for inner in (joints, lambda curve: curve.inner):
            if which:
                made = _fitted(
                    [curves[k] for k in which], inner, tolerance, [labels[k] for k in which]
                )
                found |= dict(zip(which, made))
            which = [k for k in which if _off(found[k], curves[k]) > tolerance]
        if which:
            value = f"{_off(found[which[0]], curves[which[0]]):g} mm off its arcs"
            raise InputError(labels[which[0]], value, f"a curve within {tolerance:g} mm of arcs")
    return [found[k] for k in range(len(curves))]


def _off(rows: np.ndarray, curve: Curve) -> float:
    return astray(Track(rows), curve.sampled(SAMPLES))


def _fitted(
    curves: Sequence[Curve],
    inner: Callable[[Curve], np.ndarray],
    tolerance: float,
    labels: Sequence[str],
) -> list[np.ndarray]:
    """One fit of all; arcs begin anew at the parameters that `inner` gives of each curve."""
    bounds = []
    for curve in curves:
        low, high = curve.domain
        bounds.append(np.concatenate([[low], inner(curve), [high]]))
    owner = np.repeat(np.arange(len(curves)), [len(one) - 1 for one in bounds])
    bundle = Bundle(
        tuple(curves),
        owner,
        np.concatenate([one[:-1] for one in bounds]),
        np.concatenate([one[1:] for one in bounds]),
    )
    begins = bundle.begins
    try:
        parts = fit_spans(bundle.point, bundle.slope, begins, begins + 1.0, tolerance)
    except InputError as error:
        if len(curves) == 1:
            raise InputError(labels[0], error.value, error.allowed) from None
        # One at a time, so that the one that is at fault is named.
        return [_fitted([one], inner, tolerance, [label])[0] for one, label in zip(curves, labels)]
    rows = []
    for k in range(len(curves)):
        own = [parts[j] for j in np.flatnonzero(owner == k).tolist()]
        rows.append(np.vstack([*(part[:-1] for part in own), own[-1][-1:]]))
    return rows
