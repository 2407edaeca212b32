"""Room: the memory and the disk that a frame takes, told from counts alone, before a ray is traced."""

from __future__ import annotations

from collections.abc import Sequence
from os import cpu_count

from preview.light.light import Light
from preview.trace.quality import Quality
from preview.trace.scatter_field import SLICES

FIELDS = 600_000_000
"""Bytes that the bounce and the haze of lights traced together may take."""
MOST_TILES = 12


def tiles_at_once() -> int:
    """Tiles that are traced at the same time."""
    return min(MOST_TILES, cpu_count() or 1)


def groups_of(
    lights: Sequence[Light], *, width: int, height: int, quality: Quality, haze: bool
) -> list[Sequence[Light]]:
    """The lights in groups, of which each is traced with its bounce and haze in memory; one group at the least."""
    bounce = 96 * _cells(width, height, quality.bounce_step) if quality.bounce_rays else 0
    air = 4 * SLICES * _cells(width, height, quality.haze_step) if haze else 0
    together = max(1, FIELDS // max(bounce, bounce // 8 + air, 1))
    parts = max(1, -(-len(lights) // together))
    size = max(1, -(-len(lights) // parts))
    return [lights[first : first + size] for first in range(0, max(1, len(lights)), size)]


def _cells(width: int, height: int, step: int) -> int:
    return max(2, -(-width // step)) * max(2, -(-height // step))
