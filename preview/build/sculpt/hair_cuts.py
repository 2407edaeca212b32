"""Cuts: where hair grows on a head, which way it lies, and how long it is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from preview.build.mesh import Floats
from preview.build.sculpt.hair_locks import unit
from preview.build.sculpt.head import Head
from preview.build.sculpt.head_landmarks import as_man
from preview.build.sculpt.shapes import ellipsoid, mirrored, step

CutName = Literal["short", "long", "tied", "cropped", "bald", "cap"]
"""What of the hair is seen; of a cap, what is below it."""
LINE_HEIGHT = (-95, -60, -40, -26, -14, 4, 22, 36, 48, 56, 63, 72, 130)
LINE_FORWARD = (-52, -48, -38, -18, 18, 24, 33, 46, 52, 62, 76, 90, 120)
"""How far forward hair grows at each height of the man: nape, behind the ear, sideburn, temple, forehead."""
NAPE = -74.0


def grown(points: Floats, head: Head, *, ragged: float = 1.0) -> Floats:
    """How far (n,) mm within the line of the hair, about."""
    man = as_man(points, head.face)
    x, y, z = man.T
    rough = (
        2.0 * np.sin(0.31 * x + 0.13 * z)
        + 1.4 * np.sin(0.83 * x + 1.0 + 0.2 * z)
        + 1.4 * np.sin(0.6 * z)
        + 1.1 * np.sin(1.7 * x + 0.5 * z)
    )
    front = 0.75 * (np.interp(z, LINE_HEIGHT, LINE_FORWARD) - y) + ragged * rough
    peak = 5.0 * np.exp(-((x / 14.0) ** 2)) * step(40, 70, y)
    nape = z - NAPE - 0.004 * x * x + ragged * 2.0 * np.sin(0.35 * x)
    ear = ellipsoid(mirrored(man), (74, -17, -12), (24, 14, 25))
    return np.minimum(np.minimum(front + peak, nape), ear)


@dataclass(frozen=True)
class Lay:
    """How a cut lies. Lengths in mm of the man."""

    depth: Callable[[Floats], Floats]
    """Of the mass over the scalp, at places of the man."""
    field: Callable[[Floats], Floats]
    """Which way the hair lies at places of the man, not yet along the skin."""
    length: Callable[[Floats], Floats]
    spacing: float
    width: float
    fly: float = 1.0
    """How unruly."""
    points: int = 6
    parting: float | None = None
    """x of where the top's hair parts, and grows closer."""


def _down_sides(man: Floats) -> Floats:
    x = man[:, 0]
    return np.column_stack([0.15 * np.sign(x), np.full_like(x, -0.42), np.full_like(x, -1.0)])


def _parted(man: Floats, at: float) -> Floats:
    """Short, parted: over the top to one side and back, down at the sides and behind."""
    x, y, z = man.T
    away = np.where(x > at, 1.0, -1.0)
    top = np.column_stack([away * 0.9, -0.75 + 0.2 * step(40, 80, y), np.full_like(x, 0.0)])
    crown = step(28.0, 84.0, z + 0.15 * y)[:, None]
    return crown * top + (1 - crown) * _down_sides(man)


def _falling(man: Floats, at: float) -> Floats:
    """Long, parted: away from the parting, then down."""
    x, y, z = man.T
    away = np.tanh((x - at) / 8.0)
    top = np.column_stack([away, -0.3 - 0.3 * step(40, 80, y), np.full_like(x, 0.0)])
    back = -0.1 - 1.3 * step(8.0, 58.0, y) * step(-30.0, 20.0, z)
    side = np.column_stack([0.16 * np.sign(x) * step(-20, -90, z), back, np.full_like(x, -1.0)])
    crown = step(40.0, 92.0, z)[:, None]
    return crown * top + (1 - crown) * side


def _to(man: Floats, knot: tuple[float, float, float]) -> Floats:
    return unit(np.asarray(knot) - man)


def _crown(man: Floats) -> Floats:
    return step(20.0, 85.0, man[:, 2])


KNOT = (0.0, -104.0, 46.0)
LAYS: dict[str, Lay] = {
    "short": Lay(
        depth=lambda m: (
            5.0 + 2.5 * step(-85, 0, m[:, 2]) + 5.5 * _crown(m) + 4.0 * step(20, 70, m[:, 1]) * _crown(m)
        ),
        field=lambda m: _parted(m, -26.0),
        length=lambda m: 24.0 + 26.0 * _crown(m),
        spacing=5.6,
        width=5.0,
        parting=-26.0,
    ),
    "cropped": Lay(
        depth=lambda m: 2.0 + 1.8 * step(-85, 20, m[:, 2]) + 2.2 * _crown(m),
        field=lambda m: np.column_stack([0.25 * m[:, 0] / 70, 0.9 * _crown(m) - 0.4, -1.0 + 0.6 * _crown(m)]),
        length=lambda m: 8.0 + 8.0 * _crown(m),
        spacing=5.4,
        width=3.6,
        fly=1.4,
        points=4,
    ),
    "long": Lay(
        depth=lambda m: 7.0 + 5.0 * _crown(m) + 3.0 * step(20, -60, m[:, 2]),
        field=lambda m: _falling(m, -14.0),
        length=lambda m: np.clip(185.0 + 0.9 * m[:, 2] + 30 * _crown(m), 40.0, 300.0),
        spacing=7.6,
        width=6.6,
        points=13,
        parting=-14.0,
    ),
    "tied": Lay(
        depth=lambda m: 4.5 + 2.5 * _crown(m),
        field=lambda m: _to(m, KNOT),
        length=lambda m: np.linalg.norm(m - np.asarray(KNOT), axis=1) * 1.12,
        spacing=6.6,
        width=5.2,
        fly=0.5,
        points=7,
    ),
}
