"""Bicycle: a plain roadster with mudguards, leaning a little; wheels of size 37-622 (ISO 5775)."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np

from preview.build.mesh import Floats, Part, stood
from preview.build.site import Site
from preview.build.solids import round_bar
from preview.build.things.blocks import joined_as, rounded_box, spun
from preview.build.things.sheets import merged
from preview.script.families.vehicles import leaned
from preview.script.models.pieces.vehicles import Bicycle
from preview.script.vehicle_plan import scale_of

BEAD = 0.622
"""Diameter of the bead seat, metres. Source: ISO 5775, size 37-622, from memory."""
SECTION = 0.037
WHEEL = BEAD / 2.0 + SECTION
BASE = 1.07
"""Between the axles. From memory, typical."""
REAR, FRONT = -BASE / 2.0, BASE / 2.0
SPOKES = 32
ACROSS = (1.0, 0.0, 0.0)
AHEAD = (0.0, 1.0, 0.0)


def build_bicycle(name: str, model: Bicycle, site: Site) -> list[Part]:
    """`NAME.frame`, `.tyres`, `.rims`, `.spokes`, `.saddle`, `.guards`, `.chain`, `.lamps`."""
    scale, azimuth = scale_of(model), site.azimuth(model.facing, model.at)
    return [
        replace(
            stood(_leaned(model, part), azimuth=azimuth, at=model.at, scale=scale),
            name=f"{name}.{part.name}",
            wet=model.wet,
        )
        for part in _local(model.paint)
    ]


def _leaned(model: Bicycle, part: Part) -> Part:
    return replace(part, vertices=leaned(model, part.vertices), normals=leaned(model, part.normals))


def _tube(*points: tuple[float, float, float], radius: float = 0.0145) -> Part:
    return round_bar("", "", np.array(points), [radius] * len(points), sides=10)


@lru_cache(maxsize=4)
def _local(paint: str) -> tuple[Part, ...]:
    crank, seat, head = (0.0, -0.10, 0.275), (0.0, -0.255, 0.80), ((0.0, 0.375, 0.86), (0.0, 0.425, 0.71))
    frame = [
        _tube(crank, seat, radius=0.0145), _tube((0.0, -0.235, 0.735), (0.0, 0.39, 0.81)), _tube(crank, (0.0, 0.42,
        0.73), radius=0.016),
        _tube(*head, radius=0.019), spun([(0, -0.035), (0.022, -0.035), (0.022, -0.035), (0.022, 0.035), (0.022,
        0.035), (0, 0.035)], crank, ACROSS),
    ]  # fmt: skip
    for side in (-1.0, 1.0):
        frame += [
            _tube((0.02 * side, -0.13, 0.275), (0.062 * side, REAR, WHEEL), radius=0.009),
            _tube((0.018 * side, -0.245, 0.755), (0.062 * side, REAR, WHEEL), radius=0.007),
            _tube((0.02 * side, 0.43, 0.705), (0.05 * side, 0.455, 0.62), (0.05 * side, 0.49, 0.47), (0.05 * side,
            FRONT, WHEEL), radius=0.010),
        ]  # fmt: skip
    bars = [
        _tube((0.0, 0.38, 0.84), (0.0, 0.352, 0.93), radius=0.012),
        _tube((0.0, 0.35, 0.93), (0.0, 0.40, 0.955), radius=0.012),
        _tube((-0.29, 0.20, 1.0), (-0.24, 0.30, 1.005), (-0.12, 0.40, 0.975), (0.0, 0.405, 0.955), (0.12, 0.40,
        0.975), (0.24, 0.30, 1.005), (0.29, 0.20, 1.0), radius=0.011),
        _tube((0.0, -0.255, 0.79), (0.0, -0.275, 0.885), radius=0.0125),
        _tube((0.06, REAR + 0.02, WHEEL - 0.01), (0.16, REAR + 0.17, 0.008), radius=0.008),
    ]  # fmt: skip
    for side in (-1.0, 1.0):
        reach = 0.17 * side
        end = (0.075 * side, crank[1] + reach * np.sin(0.6), crank[2] - reach * np.cos(0.6))
        bars += [_tube((0.06 * side, crank[1], crank[2]), end, radius=0.009)]
    wheels = [_wheel(y) for y in (REAR, FRONT)]
    grips = [_tube((s * 0.29, 0.20, 1.0), (s * 0.285, 0.12, 0.992), radius=0.016) for s in (-1.0, 1.0)]
    pedals = []
    for side in (-1.0, 1.0):
        y, z = crank[1] + 0.17 * side * np.sin(0.6), crank[2] - 0.17 * side * np.cos(0.6)
        low, high = sorted((0.085 * side, 0.175 * side))
        pedals.append(rounded_box((low, y - 0.045, z - 0.012), (high, y + 0.045, z + 0.012), 0.006))
    chainring = spun(
        [(0, 0), (0.09, 0), (0.09, 0), (0.09, 0.004), (0.09, 0.004), (0, 0.004)],
        (0.045, crank[1], crank[2]),
        ACROSS,
        sides=36,
    )
    chain = [
        _tube((0.047, crank[1], crank[2] + s * 0.088), (0.047, REAR, WHEEL + s * 0.035), radius=0.004)
        for s in (-1.0, 1.0)
    ]
    lamp = spun(
        [(0, -0.06), (0.03, -0.055), (0.042, 0.0), (0.042, 0.0), (0.038, -0.004), (0, -0.02)],
        (0.0, 0.512, 0.86),
        AHEAD,
    )
    stay = _tube((0.0, 0.40, 0.83), (0.0, 0.47, 0.855), radius=0.006)
    tail = rounded_box((-0.025, -0.872, 0.615), (0.025, -0.842, 0.665), 0.008)
    return (
        joined_as("frame", paint, frame),
        joined_as("bars", "chrome", [*bars, chainring, stay]),
        joined_as("tyres", "rubber", [w["tyre"] for w in wheels] + grips + pedals),
        joined_as("rims", "chrome", [w["rim"] for w in wheels]),
        joined_as("spokes", "metal", [w["spokes"] for w in wheels]),
        joined_as("guards", paint, [_guard(REAR, -20.0, 205.0), _guard(FRONT, 20.0, 190.0)]),
        joined_as("saddle", "leather", [_saddle()]),
        joined_as("chain", "dark paint", chain),
        joined_as("lamps", "chrome", [lamp]),
        joined_as("lamps", "red paint", [tail]),
    )


def _wheel(y: float) -> dict[str, Part]:
    centre = (0.0, y, WHEEL)
    turn = np.linspace(0.0, 2.0 * np.pi, 13)
    tyre = np.stack([WHEEL - SECTION / 2 + SECTION / 2 * np.sin(turn), -SECTION / 2 * np.cos(turn)], axis=1)
    rim = [(0.298, -0.011), (0.3135, -0.013), (0.3135, 0.013), (0.298, 0.011), (0.294, 0.0), (0.298, -0.011)]
    hub = [
        (0.0, -0.05),
        (0.008, -0.05),
        (0.02, -0.032),
        (0.02, -0.028),
        (0.013, -0.022),
        (0.013, 0.022),
        (0.02, 0.028),
        (0.02, 0.032),
        (0.008, 0.05),
        (0.0, 0.05),
    ]
    spokes = []
    for number in range(SPOKES):
        angle = 2.0 * np.pi * number / SPOKES
        side = 1.0 if number % 2 else -1.0
        aside = angle + (0.9 if number % 4 < 2 else -0.9)
        near = [side * 0.028, y + 0.019 * np.cos(aside), WHEEL + 0.019 * np.sin(aside)]
        far = [side * 0.003, y + 0.297 * np.cos(angle), WHEEL + 0.297 * np.sin(angle)]
        spokes.append(round_bar("", "", np.array([near, far]), [0.0012, 0.0012], sides=4))
    return {
        "tyre": spun(tyre, centre, ACROSS, sides=48),
        "rim": merged([spun(rim, centre, ACROSS, sides=48), spun(hub, centre, ACROSS, sides=16)]),
        "spokes": merged(spokes),
    }


def _guard(y: float, start: float, end: float) -> Part:
    """A mudguard: a shallow channel over the wheel, of two skins."""
    turn = np.radians(np.linspace(start, end, 33))
    across = np.radians(np.linspace(-75.0, 75.0, 7))
    rings = []
    for inset in (0.0, 0.0012):
        reach = WHEEL + 0.002 + (0.020 - inset) * np.cos(across)
        x = (0.027 - inset) * np.sin(across)
        rings.append((reach, x))
    loop = [*zip(*rings[0], strict=True), *reversed(list(zip(*rings[1], strict=True)))]
    section = np.array([*loop, loop[0]])
    points = np.stack(
        [
            np.broadcast_to(section[:, 1], (len(turn), len(section))),
            y + np.cos(turn)[:, None] * section[:, 0],
            WHEEL + np.sin(turn)[:, None] * section[:, 0],
        ],
        axis=-1,
    )
    return _skinned(points)


def _skinned(points: Floats) -> Part:
    """A closed tube of rings (k, n, 3), the last point of each its first; ends are left open, 1 mm wide."""
    rows, columns = points.shape[:2]
    ahead = np.gradient(points, axis=0)
    along = np.gradient(points, axis=1)
    normals = np.cross(ahead, along)
    normals /= np.maximum(np.linalg.norm(normals, axis=-1, keepdims=True), 1e-12)
    row, column = np.meshgrid(np.arange(rows - 1), np.arange(columns - 1), indexing="ij")
    here = (row * columns + column).ravel()
    faces = np.concatenate(
        [
            np.stack([here, here + columns + 1, here + 1], 1),
            np.stack([here, here + columns, here + columns + 1], 1),
        ]
    )
    return Part("", "", points.reshape(-1, 3), faces.astype(np.int32), normals.reshape(-1, 3))


def _saddle() -> Part:
    seat = rounded_box((-0.08, -0.40, 0.885), (0.08, -0.13, 0.94), 0.026, steps=4)
    # Narrow in front, and hollow along its back.
    share = np.clip((seat.vertices[:, 1] + 0.36) / 0.2, 0.0, 1.0)
    width = 1.0 - 0.68 * share * share * (3.0 - 2.0 * share)
    drop = 0.012 * np.sin(np.pi * np.clip((seat.vertices[:, 1] + 0.40) / 0.27, 0.0, 1.0))
    shape = np.stack([seat.vertices[:, 0] * width, seat.vertices[:, 1], seat.vertices[:, 2] - drop], axis=1)
    return replace(seat, vertices=shape)
