"""Heads: a cell for each, its bare beam on a white wall, at spot and at flood where it can be focused."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from preview.commands.heads import axial_lux
from preview.commands.picture_book.cell import SUBJECT, Cell
from preview.light.heads import row_output
from preview.light.lights import lights_of
from preview.script.scene import Scene
from preview.trace.arrival import unshadowed
from preview.trace.geometry import Points
from preview.trade.catalogue import usual
from preview.trade.head_row import HeadRow

Array = NDArray[np.float32]

DISTANCE = 5.0
"""Metres from head to wall."""
ACROSS = 7.0
"""Metres of wall that a cell shows."""
REFLECTANCE = 0.8
HEIGHT = 3.0


def head_cells() -> Iterator[Cell]:
    """Every head of the catalogue, with its watts and what it gives."""
    for row in usual().heads.values():
        ends = _ends(row)
        lux = [axial_lux(row_output(row, flood=_flood(end), lens=end.get("lens")), DISTANCE) for end in ends]
        given = " | ".join(
            f"{end['lens']} {_rounded(each)}" if "lens" in end else _rounded(each)
            for end, each in zip(ends, lux, strict=True)
        )
        yield Cell(
            "heads",
            row.name,
            "beam",
            note=f"{row.watts:g} W, {row.kelvin:g} K; {given} lx",
            fixtures=tuple(
                {
                    "name": f"{SUBJECT} {number}",
                    "head": row.name,
                    "at": [0, -DISTANCE, HEIGHT],
                    "aim": [0, 0, HEIGHT],
                    **end,
                }
                for number, end in enumerate(ends)
            ),
        )


def _ends(row: HeadRow) -> tuple[dict[str, str], ...]:
    """What a fixture is given for the narrowest and the widest beam of a head; one where it has but one."""
    if row.outputs and row.output().spot is not None:
        return {"flood": "0 %"}, {}
    if len(row.lenses) > 1:
        return {"lens": row.lenses[0]}, {"lens": row.lenses[-1]}
    return ({},)


def _flood(end: dict[str, str]) -> float:
    return 0.0 if "flood" in end else 1.0


def _rounded(lux: float) -> str:
    """Two figures, thousands apart: `2 300`."""
    if lux <= 0.0:
        return "0"
    digits = 1 - int(np.floor(np.log10(lux)))
    return f"{round(lux, digits):,.{max(digits, 0)}f}".replace(",", "\u00a0")


def beam_on_wall(scene: Scene, *, width: int, height: int) -> Array:
    """Luminance (h, w, 3) in cd/m2, linear ACEScg, of the wall under the scene's heads, each exposed by its middle to one.

    Two heads share it: left half and right.
    """
    lights = lights_of(scene)
    whole = np.zeros((height, width, 3), np.float32)
    for number, light in enumerate(lights):
        across = ((np.arange(width) + 0.5) / width - 0.5) * ACROSS
        up = (0.5 - (np.arange(height) + 0.5) / height) * ACROSS * height / width + HEIGHT
        first, last = number * width // len(lights), (number + 1) * width // len(lights)
        x, z = np.meshgrid(across[first:last], up)
        wall = _wall(np.stack([x.ravel(), np.zeros(x.size), z.ravel()]))
        middle = _wall(np.array([[0.0], [0.0], [HEIGHT]]))
        lux = np.sum([unshadowed(wall, emitter)[0] for emitter in light.emitters], axis=0)
        most = float(np.sum([unshadowed(middle, emitter)[0] for emitter in light.emitters]))
        share = (lux / max(most, 1e-9)).reshape(height, -1)
        whole[:, first:last] = share[..., None] * np.array(light.colour, np.float32)
    if len(lights) > 1:
        whole[:, width // 2 - 1 : width // 2 + 1] = 0.0
    return whole


def _wall(places: NDArray[np.float64]) -> Points:
    """Places (3, n) of a white wall that faces south."""
    at = places.astype(np.float32)
    count = at.shape[1]
    south = np.zeros_like(at)
    south[1] = -1.0
    nothing, one = np.zeros(count, np.float32), np.ones(count, np.float32)
    return Points(
        position=at,
        start=at,
        normal=south,
        facet=south,
        slope=np.zeros_like(at),
        spread=nothing,
        reflectance=np.full_like(at, REFLECTANCE),
        transmission=nothing,
        ior=one,
        roughness=nothing,
        part=np.zeros(count, np.int32),
    )
