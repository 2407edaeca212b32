"""Bodies: the outer shapes of cars and vans as one smooth surface each, found along rays from a line within.

A body is where a function is 0: a hull of side, top, nose and tail, a cabin of side, roof and screens, blended where they
meet. Local metres: x to the right of who sits in it, y ahead, z up, the middle of its length at y = 0. Shapes are nobody's.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from preview.build.mesh import Floats, Part
from preview.build.things.curves import Curve, smooth_max, smooth_min, spline
from preview.build.things.sheets import grid_sheet

Points = Sequence[tuple[float, float]]


@dataclass(frozen=True)
class Body:
    """Sizes in metres of a vehicle as long, wide and high; curves as points (y, z), from tail to nose."""

    length: float
    width: float
    height: float
    axles: tuple[float, float]
    """y of the rear and the front axle."""
    wheel: float
    """Radius of a tyre."""
    clearance: float
    top: Points
    """Bonnet, shoulder and deck, along the middle."""
    roof: Points
    """Of the cabin, along the middle."""
    screen: tuple[tuple[float, float], tuple[float, float]]
    """Foot and head of the windscreen, along the middle."""
    back: tuple[tuple[float, float], tuple[float, float]]
    """Head and foot of the rear window or tailgate."""
    belt: float
    """Height of the lower edge of the windows."""
    lean: float = 0.42
    """How far the cabin's sides lean in, for each metre up."""
    bow: float = 0.26
    """How much nose and tail are rounded in plan, 1/m."""
    nose: Points = ((0.15, -0.10), (0.35, -0.01), (0.52, 0.0), (0.66, -0.035), (0.80, -0.12))
    """(z, y) from the foremost point: the front in profile."""
    tail: Points = ((0.15, 0.10), (0.38, 0.015), (0.55, 0.0), (0.80, 0.03), (1.05, 0.09))
    crease: Points = ((-2.4, 0.80), (0.0, 0.76), (2.4, 0.66))
    """Height along the body of the line pressed into its side."""
    cabin_width: float = 0.93
    """Of the cabin at the belt, as a share of the whole."""
    fullness: float = 1.0
    """How full the plan stays to its ends; more is boxier."""
    axis: float = 0.62
    """Height of the line from which the surface is seen."""

    @cached_property
    def _curves(self) -> dict[str, Curve]:
        return {name: spline(getattr(self, name)) for name in ("top", "roof", "nose", "tail", "crease")}

    def half_width(self, y: Floats, z: Floats) -> Floats:
        """Of the hull at a place along it and a height."""
        half = self.length / 2.0
        plan = 1.0 - 0.115 / self.fullness * np.abs(y / half) ** (3.4 * self.fullness)
        below, above = np.minimum(z - 0.60, 0.0), np.maximum(z - 0.60, 0.0)
        section = -0.30 * below**2 - 0.16 * above**2
        line = self._curves["crease"](y)
        press = 0.008 * np.tanh((line - z) / 0.030)
        flare = np.zeros_like(y)
        for axle in self.axles:
            away = np.hypot(y - axle, z - self.wheel) - (self.wheel + 0.045)
            flare += 0.016 * np.exp(-((away / 0.06) ** 2))
        return np.asarray((self.width / 2.0 - 0.02) * plan + section + press + flare)

    def value(self, x: Floats, y: Floats, z: Floats) -> Floats:
        """About the distance from the surface, negative inside."""
        curves, half = self._curves, self.length / 2.0
        side = np.abs(x) - self.half_width(y, z)
        top = z - curves["top"](y) + 0.13 * x**2
        front = y - half - curves["nose"](z) + self.bow * x**2 + 0.22 * x**4
        rear = -y - half + curves["tail"](z) + 0.8 * self.bow * x**2 + 0.16 * x**4
        hull = smooth_max(side, top, 0.16)
        hull = smooth_max(smooth_max(hull, front, 0.20), rear, 0.16)
        hull = smooth_max(hull, self.clearance + 0.02 - z, 0.10)
        cabin = smooth_max(smooth_max(self._cabin(x, y, z), rear + 0.02, 0.06), front + 0.02, 0.06)
        return smooth_min(hull, cabin, 0.05)

    def _cabin(self, x: Floats, y: Floats, z: Floats) -> Floats:
        rise = np.maximum(z - self.belt, -0.25)
        side = np.abs(x) - (self.cabin_width * self.width / 2.0 - self.lean * rise - 0.14 * rise**2)
        taper = 1.0 - 0.035 * ((y + 0.2) / (self.length / 2.0)) ** 2
        side = side + (1.0 - taper) * self.width / 2.0
        roof = z - self._curves["roof"](y) + 0.075 * x**2 + 0.05 * x**4
        screen = _beyond(x, y, z, *self.screen, bow=0.16, hollow=0.035)
        back = -_beyond(x, y, z, *self.back[::-1], bow=-0.10, hollow=-0.025)
        cabin = smooth_max(side, roof, 0.15)
        cabin = smooth_max(cabin, screen, 0.12)
        cabin = smooth_max(cabin, back, 0.12)
        return np.maximum(cabin, self.belt - 0.10 - z)

    def sheet(self, step: float = 0.028) -> Part:
        """The half of the surface at x >= 0, seen along rays about `step` metres apart, of the asked sizes exactly."""
        half, reach = self.length / 2.0, 0.72
        ends = np.radians(np.linspace(0.0, 90.0, int(1.35 * reach / step)))
        straight = np.linspace(-half + reach, half - reach, int((self.length - 2.0 * reach) / step))
        y0 = np.concatenate(
            [np.full(len(ends) - 1, straight[0]), straight, np.full(len(ends) - 1, straight[-1])]
        )
        tilt = np.concatenate([-ends[:0:-1], np.zeros(len(straight)), ends[1:]])
        around = np.radians(np.linspace(-90.0, 90.0, int(3.4 / step)))
        dx = np.cos(around)[None] * np.cos(tilt)[:, None]
        dz = np.sin(around)[None] * np.cos(tilt)[:, None]
        dy = np.broadcast_to(np.sin(tilt)[:, None], dx.shape)
        dx = np.where(np.abs(dx) < 1e-9, 0.0, dx)
        origin = np.broadcast_to(y0[:, None], dx.shape)

        def at(far: Floats) -> Floats:
            return self.value(far * dx, origin + far * dy, self.axis + far * dz)

        far = _first_root(at, 0.03, max(self.height, self.width, reach) + 0.5, dx.shape)
        points = np.stack([far * dx, origin + far * dy, self.axis + far * dz], axis=-1)
        return grid_sheet(self._to_size(points), self._normals(points))

    def _to_size(self, points: Floats) -> Floats:
        """A few per mille longer, wider, higher, so that the sizes are those asked for."""
        low, high = points[..., 1].min(), points[..., 1].max()
        sized = points.copy()
        sized[..., 1] = (points[..., 1] - (low + high) / 2.0) * self.length / (high - low)
        sized[..., 0] *= self.width / 2.0 / points[..., 0].max()
        above = points[..., 2] - self.axis
        grown = (self.height - self.axis) / above.max()
        sized[..., 2] = self.axis + above * np.where(above > 0.0, grown, 1.0)
        return sized

    def _normals(self, points: Floats) -> Floats:
        x, y, z = np.moveaxis(points, -1, 0)
        step = 2e-3
        slope = np.stack(
            [
                self.value(x + step, y, z) - self.value(x - step, y, z),
                self.value(x, y + step, z) - self.value(x, y - step, z),
                self.value(x, y, z + step) - self.value(x, y, z - step),
            ],
            axis=-1,
        )
        slope[..., 0] = np.where(x < 1e-9, 0.0, slope[..., 0])
        return np.asarray(slope / np.linalg.norm(slope, axis=-1, keepdims=True))


def _beyond(
    x: Floats,
    y: Floats,
    z: Floats,
    foot: tuple[float, float],
    head: tuple[float, float],
    *,
    bow: float,
    hollow: float,
) -> Floats:
    """How far ahead of a leaning screen points are; it is bowed in plan, and bulges by `hollow` halfway up."""
    lean = np.array([head[0] - foot[0], head[1] - foot[1]])
    length = float(np.linalg.norm(lean))
    ahead = np.array([lean[1], -lean[0]]) / length
    share = ((y - foot[0]) * lean[0] + (z - foot[1]) * lean[1]) / length**2
    bulge = hollow * 4.0 * np.clip(share, -0.2, 1.2) * (1.0 - np.clip(share, -0.2, 1.2))
    return np.asarray((y - foot[0]) * ahead[0] + (z - foot[1]) * ahead[1] + bow * x**2 - bulge)


def _first_root(value: Callable[[Floats], Floats], near: float, far: float, shape: tuple[int, ...]) -> Floats:
    """Where a function of distance (shape) changes sign, from inside outwards: by halving, then by secants."""
    low, high = np.full(shape, near), np.full(shape, far)
    at_low, at_high = np.full(shape, -0.5), np.full(shape, 0.5)
    for turn in range(13):
        if turn < 5:
            middle = (low + high) / 2.0
        else:
            share = np.clip(at_low / (at_low - at_high), 0.02, 0.98)
            middle = low + share * (high - low)
        found = value(middle)
        inside = found < 0.0
        low, at_low = np.where(inside, middle, low), np.where(inside, found, at_low)
        high, at_high = np.where(inside, high, middle), np.where(inside, at_high, found)
        if turn >= 6:
            # Illinois: the end that stays counts half, so that both close in.
            at_low, at_high = np.where(inside, at_low, at_low / 2.0), np.where(inside, at_high / 2.0, at_high)
    return np.asarray(np.where(np.abs(at_low) < np.abs(at_high), low, high))


SALOON = Body(
    length=4.55, width=1.80, height=1.44, axles=(-1.33, 1.36), wheel=0.318, clearance=0.17,
    top=((-2.3, 0.93), (-1.9, 1.005), (-1.4, 1.01), (-0.2, 0.98), (0.9, 0.965), (1.5, 0.91), (2.0, 0.80), (2.3, 0.68)),
    roof=((-2.0, 1.26), (-1.1, 1.385), (-0.5, 1.432), (0.0, 1.44), (0.5, 1.415), (1.2, 1.30)),
    screen=((1.24, 0.93), (0.36, 1.42)),
    back=((-0.92, 1.42), (-1.78, 0.99)),
    belt=0.93,
)  # fmt: skip
ESTATE = Body(
    length=4.60, width=1.80, height=1.47, axles=(-1.33, 1.38), wheel=0.318, clearance=0.17,
    top=((-2.3, 0.99), (-1.4, 1.0), (-0.2, 0.98), (0.9, 0.965), (1.5, 0.91), (2.0, 0.80), (2.3, 0.68)),
    roof=((-2.4, 1.37), (-1.6, 1.435), (-0.7, 1.465), (0.0, 1.465), (0.5, 1.435), (1.2, 1.31)),
    screen=((1.26, 0.93), (0.36, 1.44)),
    back=((-1.84, 1.42), (-2.20, 0.90)),
    belt=0.93, lean=0.38,
)  # fmt: skip
VAN = Body(
    length=4.95, width=1.92, height=1.96, axles=(-1.45, 1.55), wheel=0.335, clearance=0.19,
    top=((-2.5, 1.12), (-1.0, 1.12), (0.9, 1.12), (1.5, 1.10), (2.0, 1.01), (2.35, 0.86), (2.5, 0.76)),
    roof=((-2.6, 1.90), (-1.6, 1.945), (0.0, 1.955), (0.8, 1.925), (1.4, 1.84)),
    screen=((1.92, 1.02), (1.02, 1.84)),
    back=((-2.40, 1.88), (-2.455, 0.60)),
    belt=1.05, lean=0.135, bow=0.15, cabin_width=0.965, fullness=1.8, axis=0.80,
    nose=((0.15, -0.08), (0.35, -0.01), (0.55, 0.0), (0.75, -0.03), (0.95, -0.12)),
    tail=((0.15, 0.06), (0.40, 0.0), (0.70, 0.0), (1.10, 0.01)),
    crease=((-2.6, 0.90), (0.0, 0.90), (2.6, 0.84)),
)  # fmt: skip
PICKUP = Body(
    length=5.20, width=1.86, height=1.76, axles=(-1.42, 1.68), wheel=0.375, clearance=0.27,
    top=((-2.6, 1.10), (-1.0, 1.10), (0.6, 1.13), (1.1, 1.14), (1.7, 1.11), (2.3, 1.02), (2.6, 0.92)),
    roof=((-1.2, 1.64), (-0.4, 1.745), (0.3, 1.755), (0.8, 1.70), (1.4, 1.56)),
    screen=((1.32, 1.10), (0.62, 1.72)),
    back=((-0.68, 1.70), (-0.80, 1.05)),
    belt=1.13, lean=0.34, bow=0.16, fullness=1.6, axis=0.78,
    nose=((0.25, -0.09), (0.45, -0.01), (0.65, 0.0), (0.85, -0.015), (1.05, -0.07)),
    tail=((0.25, 0.06), (0.45, 0.0), (0.80, 0.0), (1.10, 0.015)),
    crease=((-2.7, 0.90), (0.0, 0.90), (2.7, 0.88)),
)  # fmt: skip

BODIES = {"saloon": SALOON, "estate": ESTATE, "van": VAN, "pick-up": PICKUP}
