"""Wheels: tyre with grooves, a rim with spokes or a pressed disc, about the x axis with its face to +x."""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats, Part
from preview.build.things.blocks import spun
from preview.build.things.sheets import cut, grid_sheet, merged, rim

SIDES = 56
ACROSS = (1.0, 0.0, 0.0)


def car_wheel(radius: float, width: float, *, spokes: int = 5, rim_share: float = 0.66) -> dict[str, Part]:
    """`tyre`, `rim` and `hub` (what lies dark behind the spokes) of a wheel of an outer radius and width, metres."""
    edge = rim_share * radius
    half = width / 2.0
    return {
        "tyre": tyre(radius, half, edge),
        "rim": merged([_well(edge, half), *_face(edge, half, spokes)]),
        "hub": _drum(edge, half),
    }


def tyre(radius: float, half: float, bead: float) -> Part:
    """A tyre with four grooves round its tread; closed, from bead to bead."""
    wall = radius - bead
    tread: list[tuple[float, float]] = []
    # The tread from -half to half: ribs between grooves 7 mm deep.
    cuts = np.linspace(-0.62 * half, 0.62 * half, 4)
    groove, deep = 0.045 * half + 0.002, min(0.008, 0.1 * wall)
    for place in cuts:
        for offset, drop in ((-groove, 0.0), (-groove, deep), (groove, deep), (groove, 0.0)):
            point = (radius - drop, place + offset)
            tread += [point, point]
    side = [
        (bead, 0.66 * half), (bead + 0.05 * wall, 0.86 * half), (bead + 0.35 * wall, 0.985 * half),
        (bead + 0.60 * wall, half), (bead + 0.86 * wall, 0.95 * half), (radius - 0.04 * wall, 0.86 * half),
    ]  # fmt: skip
    profile = [(r, -a) for r, a in side] + tread + [(r, a) for r, a in reversed(side)]
    profile += [(bead - 0.004, 0.5 * half), (bead - 0.004, -0.5 * half), profile[0]]
    return spun(np.array(profile), np.zeros(3), ACROSS, sides=SIDES)


def _well(edge: float, half: float) -> Part:
    """The rim's lip and its inside, a closed ring."""
    profile = [
        (edge + 0.004, 0.60 * half), (edge + 0.012, 0.80 * half), (edge + 0.008, 0.90 * half), (edge - 0.004, 0.90 * half),
        (edge - 0.012, 0.78 * half), (0.93 * edge, 0.5 * half), (0.90 * edge, -0.7 * half), (edge + 0.004, -0.8 * half),
        (edge + 0.004, 0.60 * half),
    ]  # fmt: skip
    return spun(np.array(profile), np.zeros(3), ACROSS, sides=SIDES)


def _face(edge: float, half: float, spokes: int) -> list[Part]:
    """A dished disc cut into spokes, with thickness."""
    turn = np.linspace(0.0, 2.0 * np.pi, 121)
    out = np.linspace(0.10, 0.955, 12) * edge
    angle, reach = np.meshgrid(turn, out, indexing="ij")
    share = reach / edge
    depth = half * (0.62 + 0.16 * share**2 - 0.10 * np.exp(-(((share - 0.1) / 0.12) ** 2)))
    points = np.stack([depth, reach * np.cos(angle), reach * np.sin(angle)], axis=-1)
    slope = np.gradient(depth, axis=1) / np.gradient(reach, axis=1)
    normals = np.stack([np.ones_like(depth), -slope * np.cos(angle), -slope * np.sin(angle)], axis=-1)
    normals /= np.linalg.norm(normals, axis=-1, keepdims=True)
    sheet = grid_sheet(points.transpose(1, 0, 2), normals.transpose(1, 0, 2))
    kept, _ = cut(sheet, _on_spokes(sheet.vertices, edge, spokes))
    cap = spun(
        [(0.0, 0.50 * half), (0.105 * edge, 0.50 * half), (0.105 * edge, 0.60 * half), (0.09 * edge, 0.64 * half),
        (0.0, 0.655 * half)],
        np.zeros(3), ACROSS, sides=24,
    )  # fmt: skip
    return [merged([kept, rim(kept, 0.020)]), cap]


def _on_spokes(points: Floats, edge: float, spokes: int) -> Floats:
    """Positive on hub, spokes and outer ring, about metres."""
    reach, angle = np.hypot(points[:, 1], points[:, 2]), np.arctan2(points[:, 2], points[:, 1])
    spoke = (angle * spokes / (2.0 * np.pi) + 0.5) % 1.0 - 0.5
    aside = np.abs(spoke) * 2.0 * np.pi / spokes * reach
    beam = 0.085 * edge + 0.075 * reach - aside
    # Each spoke is split in two towards the ring.
    split = (
        0.5 * (aside - 0.026 * edge * np.clip((reach / edge - 0.45) / 0.3, 0.0, 1.0)) if spokes < 8 else beam
    )
    beam = np.where(reach > 0.45 * edge, np.minimum(beam, split + 1e-4), beam)
    return np.maximum(np.maximum(beam, 0.27 * edge - reach), reach - 0.90 * edge)


def _drum(edge: float, half: float) -> Part:
    """Brake and shadow behind the spokes."""
    return spun(
        [(0.0, -0.7 * half), (0.90 * edge, -0.7 * half), (0.90 * edge, -0.7 * half), (0.88 * edge, 0.1 * half),
        (0.88 * edge, 0.1 * half), (0.0, 0.1 * half)],
        np.zeros(3), ACROSS, sides=32,
    )  # fmt: skip
