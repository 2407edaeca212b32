"""Tractor: bonnet, engine, cab with panes, mudguards, large wheels with lugs; worn farm paint."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np

from preview.build.mesh import Part, flat, stood
from preview.build.site import Site
from preview.build.solids import quads, round_bar
from preview.build.things.blocks import joined_as, leaning, moved, ring, rounded_box, spun
from preview.build.things.sheets import merged, mirrored
from preview.build.things.vehicle import dirt
from preview.build.things.wheels import tyre
from preview.script.models.pieces.vehicles import Tractor
from preview.script.vehicle_plan import SIZES, scale_of

REAR, FRONT = -0.75, 1.22
ACROSS = (1.0, 0.0, 0.0)
LARGE, SMALL = (0.80, 0.21), (0.46, 0.125)
"""Radius and half width of tyres. From memory, typical."""
LUGS = 20


def build_tractor(name: str, model: Tractor, site: Site) -> list[Part]:
    """`NAME.bonnet`, `.engine`, `.cab`, `.glass`, `.wheels`, `.seat`, `.lamps`."""
    scale, azimuth = scale_of(model), site.azimuth(model.facing, model.at)
    return [
        replace(
            stood(part, azimuth=azimuth, at=model.at, scale=scale),
            name=f"{name}.{part.name}",
            wet=0.0 if part.name in ("glass", "seat") else model.wet,
        )
        for part in _local(model.paint, model.dirt)
    ]


@lru_cache(maxsize=4)
def _local(paint: str, dirty: float) -> tuple[Part, ...]:
    bonnet = [rounded_box((-0.27, 0.05, 0.84), (0.27, 1.794, 1.42), 0.09, steps=5)]
    rise = np.clip((bonnet[0].vertices[:, 1] - 0.05) / 1.7, 0.0, 1.0)[:, None]
    bonnet[0] = replace(bonnet[0], vertices=bonnet[0].vertices - rise**1.5 * [0.0, 0.0, 0.06])
    engine = [
        rounded_box((-0.21, -0.2, 0.52), (0.21, 1.62, 0.86), 0.04),
        rounded_box((-0.16, -1.15, 0.55), (0.16, -0.1, 1.02), 0.05),
        rounded_box((-0.62, REAR - 0.10, 0.70), (0.62, REAR + 0.10, 0.90), 0.06),
        rounded_box((-0.66, FRONT - 0.05, 0.40), (0.66, FRONT + 0.05, 0.50), 0.03),
        rounded_box((-0.22, 1.55, 0.55), (0.22, 1.78, 0.80), 0.03),
        *(rounded_box((-0.2, 1.788, z), (0.2, 1.800, z + 0.018), 0.004, steps=1) for z in np.linspace(0.93, 1.24, 9)),
        rounded_box((-0.05, -1.80, 0.42), (0.05, -1.1, 0.50), 0.02),
        *(rounded_box((s * 0.42 - 0.03, -1.72, 0.50), (s * 0.42 + 0.03, -1.0, 0.56), 0.015) for s in (-1.0, 1.0)),
        rounded_box((-0.86, -0.12, 0.50), (-0.48, 0.35, 0.54), 0.01), rounded_box((0.48, -0.12, 0.50), (0.86, 0.35,
        0.54), 0.01),
    ]  # fmt: skip
    pipe = round_bar(
        "",
        "",
        [[0.2, 0.62, 1.36], [0.2, 0.62, 1.55], [0.2, 0.62, 2.35], [0.2, 0.57, 2.46]],
        [0.03, 0.042, 0.036, 0.034],
        sides=14,
    )
    roof = rounded_box((-0.70, -1.48, 2.41), (0.70, 0.12, 2.55), 0.065, steps=4)
    posts = [
        round_bar("", "", [[s * 0.60, y, 1.0], [s * 0.62, y + lean, 2.44]], [0.034, 0.030], sides=10)
        for s in (-1.0, 1.0)
        for y, lean in ((0.06, -0.04), (-0.62, 0.0), (-1.36, 0.06))
    ]
    cab = [
        roof, *posts, rounded_box((-0.60, -1.38, 0.94), (0.60, 0.08, 1.02), 0.02), rounded_box((-0.60, -1.40, 1.0),
        (0.60, -1.36, 1.40), 0.015),
        rounded_box((-0.60, 0.03, 0.98), (0.60, 0.09, 1.38), 0.02), *(_mudguard(s) for s in (-1.0, 1.0)),
    ]  # fmt: skip
    glass = flat("", "", quads(np.array([
        [[-0.57, 0.05, 1.40], [0.57, 0.05, 1.40], [0.59, 0.02, 2.40], [-0.59, 0.02, 2.40]][::-1],
        [[-0.57, -1.36, 1.42], [0.57, -1.36, 1.42], [0.59, -1.31, 2.40], [-0.59, -1.31, 2.40]],
        *[[[s * 0.605, 0.02, 1.10], [s * 0.605, -0.58, 1.10], [s * 0.622, -0.58, 2.40], [s * 0.622, 0.0,
        2.40]][:: int(-s)] for s in (-1.0, 1.0)],
        *[[[s * 0.605, -0.66, 1.48], [s * 0.605, -1.33, 1.48], [s * 0.622, -1.28, 2.40], [s * 0.622, -0.66,
        2.40]][:: int(-s)] for s in (-1.0, 1.0)],
    ])))  # fmt: skip
    seat = [
        rounded_box((-0.24, -1.02, 1.02), (0.24, -0.56, 1.12), 0.04),
        leaning(
            rounded_box((-0.22, -1.06, 1.10), (0.22, -0.96, 1.55), 0.045), np.radians(8.0), (0.0, -1.0, 1.1)
        ),
    ]
    wheel_at = np.array([0.0, -0.26, 1.46])
    axis = np.array([0.0, -0.75, 0.66])
    steering = [
        ring(wheel_at, axis, 0.2, 0.014),
        round_bar("", "", [wheel_at, wheel_at - 0.35 * axis], [0.025, 0.03], sides=8),
        round_bar("", "", [wheel_at - [0.19, 0, 0], wheel_at + np.array([0.19, 0, 0])], [0.012] * 2, sides=6),
    ]
    tyres: list[Part] = []
    rims: list[Part] = []
    for y, (radius, half), lugs, out in ((REAR, LARGE, LUGS, 0.73), (FRONT, SMALL, 0, 0.72)):
        for side in (1.0, -1.0):
            for part, heap in ((_lugged(radius, half, lugs), tyres), (_rim(0.55 * radius, half), rims)):
                one = part if side > 0 else mirrored(part)
                heap.append(moved(one, np.eye(3), (side * out, y, radius)))
    lamps = SIZES["tractor"].lamps
    hx, hy, hz = lamps["head"].at
    radius = 0.5 * lamps["head"].size[0]
    cups = [
        spun(
            [
                (0.0, -0.03),
                (radius + 0.014, -0.03),
                (radius + 0.014, -0.03),
                (radius + 0.012, 0.085),
                (radius + 0.012, 0.085),
                (radius + 0.004, 0.085),
                (radius + 0.002, 0.06),
                (0.0, 0.045),
            ],
            (s * hx, hy - 0.065, hz),
            (0.0, 1.0, 0.0),
        )
        for s in (-1.0, 1.0)
    ]
    tx, ty, tz = lamps["tail"].at
    tails = [
        rounded_box((s * tx - 0.06, ty + 0.003, tz - 0.04), (s * tx + 0.06, ty + 0.04, tz + 0.04), 0.012)
        for s in (-1.0, 1.0)
    ]
    parts = (
        joined_as("bonnet", paint, bonnet), joined_as("engine", "dark paint", [*engine, pipe]), joined_as("cab",
        paint, cab),
        replace(glass, name="glass", material="window glass"), joined_as("seat", "rubber", [*seat, *steering]),
        joined_as("wheels", "rubber", tyres), joined_as("wheels", "grey paint", rims), joined_as("lamps", "chrome",
        cups), joined_as("lamps", "red paint", tails),
    )  # fmt: skip
    clean = ("glass", "seat", "lamps")
    return tuple(p if p.name in clean or not dirty else replace(p, tint=dirt(p, dirty)) for p in parts)


def _mudguard(side: float) -> Part:
    """A flat-topped guard over a rear wheel."""
    top = rounded_box((0.56, -1.30, 1.42), (0.92, -0.22, 1.46), 0.018)
    face = rounded_box((0.56, -0.25, 1.02), (0.92, -0.21, 1.45), 0.018)
    inner = rounded_box((0.55, -1.30, 0.98), (0.575, -0.22, 1.45), 0.01)
    whole = merged([top, leaning(face, np.radians(18.0), (0.0, -0.23, 1.44)), inner])
    return whole if side > 0 else mirrored(whole)


def _lugged(radius: float, half: float, lugs: int) -> Part:
    """A tyre with bars across its tread, slanting to its middle from both sides by turns."""
    body = tyre(radius - (0.03 if lugs else 0.0), half, 0.56 * radius)
    bars = []
    for number in range(lugs):
        for side in (-1.0, 1.0):
            bar = rounded_box((0.0, -0.026, -0.035), (half * 1.02, 0.026, 0.030), 0.010, steps=1)
            bar = bar if side > 0 else mirrored(bar)
            slant = leaning(bar, side * np.radians(38.0), (0.0, 0.0, 0.0), axis=2)
            angle = 2.0 * np.pi * (number + (0.25 if side > 0 else -0.25)) / lugs
            up = replace(slant, vertices=slant.vertices + np.array([0.0, 0.0, radius - 0.030]))
            bars.append(leaning(up, angle, (0.0, 0.0, 0.0)))
    return merged([body, *bars])


def _rim(edge: float, half: float) -> Part:
    dish = [
        (0.0, -0.5 * half), (edge, -0.8 * half), (edge + 0.02, -0.8 * half), (edge + 0.02, -0.8 * half),
        (edge + 0.02, 0.84 * half), (edge + 0.02, 0.84 * half), (edge - 0.01, 0.86 * half),
        (edge - 0.02, 0.7 * half), (0.8 * edge, 0.2 * half), (0.45 * edge, 0.15 * half), (0.42 * edge, 0.35 * half),
        (0.2 * edge, 0.42 * half), (0.18 * edge, 0.6 * half), (0.0, 0.62 * half),
    ]  # fmt: skip
    return spun(dish, np.zeros(3), ACROSS, sides=40)
