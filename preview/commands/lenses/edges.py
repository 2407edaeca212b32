"""Lens edges: which edges of the set a picture shows, and which turn of the camera clears them and keeps the cast."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import atan2, degrees
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.camera.coverage import Coverage, Subject
from preview.camera.frustum import turned
from preview.camera.in_shot import Sighting
from preview.camera.view import View
from preview.script.models.pieces.ground import Ground
from preview.script.scene import Scene

Array = NDArray[np.float32]

GLIMPSE: Final = 0.1
"""Share of an edge in frame under which what shows of it, in gaps and between leaves, is not made out. From memory."""
BESIDE: Final = 2
"""Pixels to either side of an edge in which it is looked for."""
HORIZON_DEG: Final = 1.5
"""Degrees below eye level within which water's edge reads as its horizon. From memory: three discs of the moon."""
MOST: Final = 0.8
"""Share of what is in frame of somebody that must stay there for a turn to keep the shot. From memory."""
MARGIN: Final = 0.03
"""Share of the frame that a face keeps from its border when the camera turns. Common practice, no source."""


@dataclass(frozen=True)
class SetEdges:
    """The edges of the set in one frame. `seen`: what the picture shows, `clears` None where no turn does it or every one
    loses somebody; `rest`: what is hidden or out of frame; `horizon`, `dim`: names of water's own, and of those in frame
    that are too dark or too little of them shows."""

    seen: tuple[Sighting, ...] = ()
    rest: tuple[Sighting, ...] = ()
    horizon: tuple[str, ...] = ()
    dim: tuple[str, ...] = ()


def edges_in(scene: Scene, view: View, coverage: Coverage, stops: Array) -> SetEdges:
    """The edges of a coverage as a picture shows them, whose stops from grey (h, w) are known."""
    seen, rest, horizon, dim = [], [], [], []
    for edge in coverage.edges:
        if edge.status != "in shot":
            rest.append(edge)
        elif _is_horizon(scene, view, edge):
            horizon.append(edge.name)
        elif edge.visible_share < GLIMPSE or not _is_bright(edge, stops, -scene.camera.latitude.under):
            dim.append(edge.name)
        else:
            keeps = edge.clears is None or _keeps_cast(scene, view, edge, coverage.figures)
            seen.append(edge if keeps else replace(edge, clears=None))
    return SetEdges(tuple(seen), tuple(rest), tuple(horizon), tuple(dim))


def eyes_in_frame(figure: Subject) -> bool:
    return figure.at is not None and all(0.0 <= place <= 1.0 for place in figure.at)


def _is_horizon(scene: Scene, view: View, edge: Sighting) -> bool:
    piece = dict(scene.set).get(edge.name.partition(", ")[0])
    if not isinstance(piece, Ground) or piece.material != "water":
        return False
    return degrees(atan2(float(view.position[2]) - piece.height, edge.distance_m)) < HORIZON_DEG


def _is_bright(edge: Sighting, stops: Array, floor: float) -> bool:
    """Whether along most of what shows one side or the other, ground or sky, is over the noise floor."""
    height, width = stops.shape
    steps = np.arange(-BESIDE, BESIDE + 1)
    place = np.array(edge.outline)
    rows = np.clip((place[:, 1] * height).astype(int)[:, None] + steps, 0, height - 1)
    columns = np.clip((place[:, 0] * width).astype(int)[:, None] + steps, 0, width - 1)
    brightest = stops[rows[:, :, None], columns[:, None, :]].max(axis=(1, 2))
    return bool((brightest > floor).mean() >= 0.5)


def _keeps_cast(scene: Scene, view: View, edge: Sighting, figures: Sequence[Subject]) -> bool:
    """Whether all whose eyes are in frame are so after the turn that clears an edge, with most of their bodies."""
    assert edge.clears is not None
    turn, amount = edge.clears.direction, edge.clears.amount
    cast = {figure.name: figure for figure in scene.cast}
    for figure in figures:
        if not eyes_in_frame(figure):
            continue
        eyes = np.array(scene.anchors[f"{figure.name}.eyes"].position)
        down = np.array([0.0, 0.0, eyes[2] - cast[figure.name].height_of_ground])
        body = eyes - np.linspace(0.0, 1.0, 50)[:, np.newaxis] * down
        before, _ = view.project(body)
        after, depth = view.project(turned(view, body, turn, amount))
        was = ((before >= 0.0) & (before <= 1.0)).all(axis=1)
        stays = ((after > MARGIN) & (after < 1.0 - MARGIN)).all(axis=1) & (depth > 0.0)
        if not stays[0] or stays[was].mean() < MOST:
            return False
    return True
