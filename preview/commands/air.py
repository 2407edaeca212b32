"""Air: the script's haze as the numbers that tracing needs."""

from __future__ import annotations

from preview.script.scene import Scene
from preview.trace.haze import Haze


def air_of(scene: Scene) -> Haze | None:
    """The haze of a scene; None for clear air."""
    haze = scene.haze
    if haze is None:
        return None
    return Haze(haze.extinction, haze.falloff, haze.from_, haze.forward, haze.albedo)
