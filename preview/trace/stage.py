"""Stage: the geometry that is traced, by what it does to light."""

from __future__ import annotations

from dataclasses import dataclass

from preview.light.light import Glow
from preview.trace.geometry import Geometry


@dataclass(frozen=True)
class Stage:
    """What is traced: `solid` stops light; `shown` (heads, stands, lamps' glass) is only seen, and stops none; `panes`
    of glass mirror and are looked through.

    `glow_of_part`: for each part of `shown`, the name of the light and the glow it belongs to, or None for a dark body.
    """

    solid: Geometry
    shown: Geometry
    panes: Geometry
    glow_of_part: tuple[tuple[str, Glow] | None, ...]
