"""Keys: under what a plate's parts are kept: each a digest of all that it depends on, so that nothing stale is found."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.camera.view import View
from preview.light.light import Light
from preview.trace.digest import digest, program_digest
from preview.trace.haze import Haze
from preview.trace.quality import Quality
from preview.trace.stage import Stage


@dataclass(frozen=True)
class Keys:
    """`frame`: of the visible points; `layers`: of each light's layer, by its name."""

    frame: str
    layers: Mapping[str, str]

    def tile(self, number: int) -> str:
        """Of a tile's visible points."""
        return digest(self.frame, number)


def keys_of(
    stage: Stage,
    lights: Sequence[Light],
    view: View,
    *,
    width: int,
    height: int,
    quality: Quality,
    haze: Haze | None,
    seed: int,
) -> Keys:
    """A layer depends on the set, the camera, the haze, and of the fixtures on its own and on what is seen of any; not
    on level, gels, colour, nor on how the camera exposes."""
    frame = digest(
        program_digest(), set_digest(stage), _shown(stage, view), view, width, height, quality.samples
    )
    layers = {light.name: digest(frame, light_digest(light), haze, quality, seed) for light in lights}
    return Keys(frame, layers)


def set_digest(stage: Stage) -> str:
    """Of the solid set with the panes in it."""
    return digest(stage.solid.content, stage.panes.content)


def light_digest(light: Light) -> str:
    """Of a light's geometry and optics, and of how it glows: not its level, its colour, nor where its bodies are."""
    glows = [(glow.part.name, glow.luminance, glow.axis, glow.profile) for glow in light.glows]
    return digest(light.name, light.emitters, glows)


def _shown(stage: Stage, view: View) -> str:
    """Of what is seen of the fixtures: parts that lie outside the frame are left out."""
    world = stage.shown.world
    seen: list[object] = []
    for part, owner in enumerate(stage.glow_of_part):
        faces = world.faces[world.part_of_face == part]
        used = np.unique(faces)
        corners = world.vertices[used]
        if not out_of_frame(view, corners):
            # Numbers of parts are in the picture, so a part's own counts.
            tint = None if world.tint is None else world.tint[used]
            seen.append((part, owner is None, corners, faces - faces.min(), world.materials[part], tint))
    return digest(seen)


def out_of_frame(view: View, corners: NDArray[np.floating[Any]]) -> bool:
    """Whether all of some points (n, 3), and so all between them, lie off one side of the frame or behind the eye."""
    if len(corners) == 0:
        return True
    away = corners.astype(np.float64) - view.position
    forward, right, up = away @ view.forward, away @ view.right, away @ view.up
    across, upright = view.tan_half_width * forward, view.tan_half_height * forward
    sides = (forward < 0.0, right > across, right < -across, up > upright, up < -upright)
    return any(bool(side.all()) for side in sides)
