"""Camera plan: from above, where the camera stands with each lens, how far from a figure, and what each takes in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from preview.sheets.drawing import COLUMN, INK, PAPER, QUIET, Box, font, place_labels
from preview.sheets.from_above import north_and_scale, shaded
from preview.sheets.nested_frames import TAB, stroked, tab, tab_size

Floats = NDArray[np.float64]
Pixels = NDArray[np.uint8]

PLAN: Final = 560
"""Pixels that the plan itself is high; labels stand below it."""
MOST_SCALE: Final = 220.0
"""Pixels to a metre, at the most."""
RADIUS: Final = 13.0
SHADED: Final = 0.45
"""How much darker than paper the set is, at the most."""


@dataclass(frozen=True)
class PlanCamera:
    """A camera from above: `at` (2,) m, `forward` (2,) the way it looks, `half_angle` radians across, `distance_m` to the
    figure; `refused` where none can stand."""

    name: str
    at: Floats
    forward: Floats
    half_angle: float
    distance_m: float
    own: bool = False
    refused: bool = False


def camera_plan(
    cameras: Sequence[PlanCamera], figures: Sequence[tuple[str, Floats]], heights: Floats
) -> Pixels:
    """The drawing (h, COLUMN, 3). The first of `figures` (name, (2,) m) is the one that is held; the cameras look to the
    right. `heights` (3, n): places of the set on the plan, with their heights above the ground."""
    held = figures[0][1]
    line = held - np.mean([camera.at for camera in cameras], axis=0)
    along = line / max(float(np.linalg.norm(line)), 1e-9)
    aside = np.array([-along[1], along[0]])
    reach = [float((camera.at - held) @ along) for camera in cameras]
    start, end = min(reach) * 1.08 - 0.5, max(3.0, -0.45 * min(reach))
    scale = min((COLUMN - 40.0) / (end - start), MOST_SCALE)
    left = (COLUMN - scale * (end - start)) / 2

    def spot(place: Floats) -> tuple[float, float]:
        away = place - held
        return left + scale * (float(away @ along) - start), PLAN / 2 - scale * float(away @ aside)

    rows, count = _rows([spot(camera.at)[0] for camera in cameras], [_words(camera) for camera in cameras])
    image = Image.new("RGB", (COLUMN, PLAN + 24 + round((TAB + 10) * count)), PAPER)
    away = heights[:2] - held[:, np.newaxis]
    across, down = left + scale * (along @ away - start), PLAN / 2 - scale * (aside @ away)
    image.paste(shaded(across, down, heights[2], width=COLUMN, height=PLAN, depth=SHADED), (0, 0))
    draw = ImageDraw.Draw(image)
    for number, camera in enumerate(cameras):
        if not camera.refused:
            _sides(draw, camera, number, spot)
    draw.rectangle((0, PLAN, COLUMN, image.height), fill=PAPER)
    draw.rectangle((0, 0, COLUMN - 1, PLAN), outline=QUIET, width=2)
    for number, (camera, (x, y)) in enumerate(zip(cameras, rows, strict=True)):
        place = spot(camera.at)
        draw.line((*place, place[0], y), fill=INK, width=2)
        tab(draw, (x, y), _words(camera), number, own=camera.own)
    for camera in cameras:
        _camera(draw, spot(camera.at), camera)
    _named(
        draw,
        [(name, spot(place)) for name, place in figures],
        clear_of=[spot(camera.at) for camera in cameras],
        clear=north_and_scale(draw, (8.0, 8.0), (float(along[1]), -float(aside[1])), scale=scale),
    )
    return np.asarray(image)


def _words(camera: PlanCamera) -> str:
    return f"{camera.name}: {'no room' if camera.refused else f'{camera.distance_m:.2f} m'}"


def _rows(places: Sequence[float], names: Sequence[str]) -> tuple[list[tuple[float, float]], int]:
    """Corners of tabs below the plan, each to the left of its camera's line down where there is room, in the first row in
    which it lies on no other tab and on no line to a tab further down; how many rows."""
    found: dict[int, tuple[float, float, int]] = {}
    for index in sorted(range(len(places)), key=lambda i: places[i]):
        width = tab_size(names[index])[0]
        left = min(max(places[index] - width + 12.0, 0.0), COLUMN - width)

        def free(row: int, left: float = left, width: float = width) -> bool:
            return all(
                (there != row or end + 12 <= left or start >= left + width + 12)
                and (there < row or not left - 6 < places[other] < left + width + 6)
                for other, (start, end, there) in found.items()
            )

        row = next(row for row in range(len(places)) if free(row))
        found[index] = (left, left + width, row)
    corners = [(found[i][0], PLAN + 18.0 + found[i][2] * (TAB + 10)) for i in range(len(places))]
    return corners, 1 + max(row for _, _, row in found.values())


def _sides(draw: ImageDraw.ImageDraw, camera: PlanCamera, number: int, spot: object) -> None:
    assert callable(spot)
    for side in (-1.0, 1.0):
        c, s = np.cos(side * camera.half_angle), np.sin(side * camera.half_angle)
        way = np.array(
            [c * camera.forward[0] - s * camera.forward[1], s * camera.forward[0] + c * camera.forward[1]]
        )
        stroked(draw, [spot(camera.at), spot(camera.at + 400.0 * way)], number, width=5 if camera.own else 3)


def _camera(draw: ImageDraw.ImageDraw, place: tuple[float, float], camera: PlanCamera) -> None:
    """A disc; a cross where no camera can stand."""
    x, y = place
    if camera.refused:
        for side in (-1, 1):
            draw.line((x - RADIUS, y - side * RADIUS, x + RADIUS, y + side * RADIUS), fill=INK, width=5)
        return
    draw.ellipse(
        (x - RADIUS, y - RADIUS, x + RADIUS, y + RADIUS),
        fill=INK if camera.own else PAPER,
        outline=INK,
        width=4,
    )


def _named(
    draw: ImageDraw.ImageDraw,
    figures: Sequence[tuple[str, tuple[float, float]]],
    *,
    clear_of: Sequence[tuple[float, float]],
    clear: Box,
) -> None:
    """A dot and a name for each figure that is on the plan, the names clear of some places and of a box too."""
    shown = [(name, at) for name, at in figures if 0 <= at[0] < COLUMN and 0 <= at[1] < PLAN]
    sizes = [(font("label").getlength(name) + 16, 38.0) for name, _ in shown]
    # Labels of no size, whose dots cover the discs of the cameras.
    discs = [(x + i, y + j) for x, y in clear_of for i, j in ((0, 0), (-9, 0), (9, 0), (0, -9), (0, 9))]
    corners = place_labels(
        [*discs, *(at for _, at in shown)],
        [*[(0.0, 0.0)] * len(discs), *sizes],
        (4, 4, COLUMN - 4, PLAN - 4),
        gap=14,
        clear=(clear,),
    )[len(discs) :]
    for (name, (x, y)), (left, top), (w, h) in zip(shown, corners, sizes, strict=True):
        draw.ellipse((x - 9, y - 9, x + 9, y + 9), fill=INK, outline=PAPER, width=2)
        draw.rounded_rectangle((left, top, left + w, top + h), 8, fill=PAPER)
        draw.text((left + w / 2, top + h / 2 - 2), name, font=font("label"), fill=INK, anchor="mm")
