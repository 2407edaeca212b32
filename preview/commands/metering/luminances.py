"""Luminances: what the lens sees, measured: a spot, a face, what is behind it. Small plates of narrow views.

As the scene sends it: before the lens, so without its glare, its blur and its vignette.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import log2
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.camera.exposure import GREY, exposure_scale
from preview.camera.incident import exposure_value, footlamberts
from preview.camera.view import View
from preview.commands.prepare import Ready
from preview.light.spaces import ACESCG
from preview.script.models.camera import Camera
from preview.sheets.meter_report import Behind, Spot, SpotShare
from preview.trace.mix import means, mixed, weights
from preview.trace.plate import Plate, trace
from preview.trace.quality import Quality
from preview.trace.store import AnyStore

Floats = NDArray[np.float64]

FRAME_WIDTH: Final = 960
"""Pixels of the frame in which places are given."""
SPOT: Final = 5
"""Pixels of that frame, across and down, that a spot takes in."""
FACE: Final = 0.09
"""Metres either way of a face's middle that are looked at."""
ACROSS: Final = 48
"""Rays across the whole frame, for what is behind."""
FACE_ACROSS: Final = 8
COARSE: Final = Quality(0.5, samples=2, rounds=1, bounce_rays=4, bounce_step=4, bounces=2, haze_step=6)
FINE: Final = Quality(0.2, samples=4, rounds=3, bounce_rays=32, bounce_step=2, bounces=2, haze_step=3)


@dataclass(frozen=True)
class Place:
    """A place of the frame, u and v 0 to 1 from its left and top."""

    u: float
    v: float


def behind(ready: Ready, faces: dict[str, Floats], *, seed: int, store: AnyStore) -> dict[str, Behind]:
    """For figures whose faces are at (3,) m: their faces' median luminance in the frame against that of all the frame that
    is behind them and is nobody and no part of the rig. None of it for a figure that has nothing behind."""
    if not faces:
        return {}
    wide = _traced(ready, ready.view, ACROSS, COARSE, seed, store)
    luminance = _luminance(ready, wide)
    cast = {figure.name for figure in ready.scene.cast}
    people = [i for i, name in enumerate(ready.world.names) if name.rpartition(".")[0] in cast]
    nobody = ~np.isin(wide.part, people) & (wide.part >= -1)
    answer = {}
    for figure, place in faces.items():
        farther = nobody & (wide.depth > float(np.linalg.norm(place - ready.view.position)))
        if not farther.any():
            continue
        back = float(np.median(luminance[farther]))
        face = _face(ready, figure, place, seed, store)
        stops = log2(back / face) if face and back > 0.0 else None
        answer[figure] = Behind(face, back, stops)
    return answer


def _face(ready: Ready, figure: str, place: Floats, seed: int, store: AnyStore) -> float | None:
    """Median cd/m2 of what the lens sees of a head's skin; None where it sees none of it in the frame."""
    uv, depth = ready.view.project(place[np.newaxis])
    if depth[0] <= 0.0 or not ((uv[0] >= 0.0) & (uv[0] <= 1.0)).all():
        return None
    away = float(np.linalg.norm(place - ready.view.position))
    view = replace(_towards(ready.view, place), tan_half_width=FACE / away, tan_half_height=FACE / away)
    plate = _traced(ready, view, FACE_ACROSS, COARSE, seed, store)
    skin = plate.part == ready.world.names.index(f"{figure}.head")
    return float(np.median(_luminance(ready, plate)[skin])) if skin.any() else None


def spot(ready: Ready, place: Place, *, seed: int, store: AnyStore) -> Spot:
    """The reading of a spot meter at a place of the frame."""
    way = ready.view.directions(np.array([[place.u, place.v]], np.float32))[0].astype(np.float64)
    half = ready.view.tan_half_width * SPOT / FRAME_WIDTH
    # Off the axis the frame's plane lies farther: a pixel is narrower.
    half *= float(way @ ready.view.forward)
    view = replace(_towards(ready.view, ready.view.position + way), tan_half_width=half, tan_half_height=half)
    plate = _traced(ready, view, SPOT, FINE, seed, store)
    shares = (means(plate) * weights(ready.lights)) @ ACESCG.luminance
    whole = float(shares.sum())
    middle = (plate.part.shape[0] // 2, plate.part.shape[1] // 2)
    depth = float(plate.depth[middle])
    return Spot(
        place.u * FRAME_WIDTH,
        place.v * FRAME_WIDTH / ready.view.aspect,
        _named(ready, int(plate.part[middle])),
        depth if np.isfinite(depth) else None,
        whole,
        footlamberts(whole),
        stops_of(whole, ready.scene.camera),
        exposure_value(whole),
        tuple(
            SpotShare(light.name, float(share), float(share) / whole if whole else 0.0)
            for light, share in sorted(zip(ready.lights, shares, strict=True), key=lambda one: -one[1])
        ),
    )


def stops_of(luminance: float, camera: Camera) -> float | None:
    """Stops over grey of cd/m2; None without light."""
    return log2(luminance * exposure_scale(camera) / GREY) if luminance > 0.0 else None


def _named(ready: Ready, part: int) -> str:
    """What of the set or the rig a plate's part is."""
    if part >= 0:
        return ready.world.names[part]
    return "sky" if part == -1 else ready.stage.shown.world.names[-2 - part]


def _towards(view: View, place: Floats) -> View:
    """The same view turned so that its middle looks at a place, as upright in the frame as it was."""
    forward = place - view.position
    forward /= np.linalg.norm(forward)
    right = np.cross(forward, view.up)
    right /= np.linalg.norm(right)
    return replace(view, right=right, up=np.cross(right, forward), forward=forward)


def _traced(ready: Ready, view: View, width: int, quality: Quality, seed: int, store: AnyStore) -> Plate:
    height = max(1, round(width / view.aspect))
    return trace(
        ready.stage,
        ready.lights,
        view,
        width=width,
        height=height,
        quality=quality,
        haze=ready.haze,
        seed=seed,
        store=store,
        label=ready.label,
    )


def _luminance(ready: Ready, plate: Plate) -> NDArray[np.float32]:
    return mixed(plate, ready.lights) @ ACESCG.luminance.astype(np.float32)
