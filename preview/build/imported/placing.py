"""Placing: from a file's own unit, axes and origin to metres in the set; what is outside the crop is left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from preview.build.imported.header import GLTF
from preview.build.imported.reading import Chunk
from preview.build.mesh import Floats, turned
from preview.faults import UserError
from preview.script.models.pieces.imported import ImportedMesh

METRES = {"m": 1.0, "cm": 0.01, "mm": 0.001, "in": 0.0254, "ft": 0.3048}
METRIC = ("m", "cm", "mm")
"""What a file is taken to be in where nothing says so."""
SMALLEST, LARGEST = 0.05, 200.0
"""A mesh whose largest extent lies outside these, metres, is in another unit than the script says."""
FITTING = (0.2, 40.0)
"""Extents, metres, that most things have."""
USUAL = 3.0
FAR = 2000.0
"""Metres from its own origin at which a mesh is no longer where anybody wants it."""
LOWEST = 0.005
"""Share of the points that may lie below the ground: what a scan has of stray ones."""
LEVEL = 0.966
"""Cosine of 15 degrees: faces that are as level as ground."""
PLAINLY = 1.5
"""Ratio of level ground at the foot, one axis over the other, from which it says which way is up."""


@dataclass(frozen=True)
class Placed:
    """Chunks with vertices in metres where they stand, and what was taken for granted, a sentence each."""

    chunks: tuple[Chunk, ...]
    taken: tuple[str, ...]


def placed(path: Path, chunks: Sequence[Chunk], model: ImportedMesh) -> Placed:
    """UserError in words, starting with the key that it is about, for what cannot be placed."""
    chunks = [_used(chunk) for chunk in chunks]
    if not all(np.isfinite(chunk.vertices).all() for chunk in chunks):
        raise UserError(f"file: {path.name} holds points that are not finite numbers; export it again")
    taken: list[str] = []
    low, high = _bounds(chunks)
    factor = _factor(path, float((high - low).max()), model, taken)
    up = _up(path, chunks, model, taken)
    moved = []
    for chunk in chunks:
        points = chunk.vertices * factor
        if up == "y":
            points = points[:, [0, 2, 1]] * [1.0, -1.0, 1.0]
        moved.append(replace(chunk, vertices=points))
    low, high = _bounds(moved)
    away = float(np.linalg.norm((low + high)[:2] / 2.0))
    middle = np.zeros(3)
    if model.origin == "middle":
        middle[:2] = (low + high)[:2] / 2.0
    elif away > FAR:
        raise UserError(
            f"origin: the points of {path.name} lie {_told(away)} from its own origin; write `origin: middle`, "
            "which puts the middle of its plan at `at`"
        )
    moved = [
        replace(chunk, vertices=turned(chunk.vertices - middle, model.turn, np.array([*model.at, 0.0])))
        for chunk in moved
    ]
    moved = _raised(moved, model)
    if model.crop is not None:
        moved = _cropped(path, moved, model, taken)
    return Placed(tuple(moved), tuple(taken))


def _used(chunk: Chunk) -> Chunk:
    """Without the points that no face has."""
    used = np.zeros(len(chunk.vertices), bool)
    used[chunk.faces.reshape(-1)] = True
    if used.all():
        return chunk
    place = np.cumsum(used, dtype=np.int32) - np.int32(1)
    return replace(
        chunk,
        vertices=chunk.vertices[used],
        faces=place[chunk.faces],
        colour=None if chunk.colour is None else chunk.colour[used],
        uv=None if chunk.uv is None else chunk.uv[used],
    )


def _bounds(chunks: Sequence[Chunk]) -> tuple[Floats, Floats]:
    low = np.min([chunk.vertices.min(axis=0) for chunk in chunks], axis=0)
    high = np.max([chunk.vertices.max(axis=0) for chunk in chunks], axis=0)
    return low, high


def _factor(path: Path, largest: float, model: ImportedMesh, taken: list[str]) -> float:
    """Metres in a unit of the file, whose largest extent is `largest` units."""
    if largest <= 0.0:
        raise UserError(f"file: all points of {path.name} are one point")
    if model.scale is not None:
        factor = METRES[model.scale] if isinstance(model.scale, str) else float(model.scale)
        _check_unit(path, largest, factor)
        return factor
    if path.suffix.lower() in GLTF:
        _check_unit(path, largest, 1.0)
        return 1.0
    unit = _guessed(path, largest)
    if unit is None:
        _check_unit(path, largest, 1.0)
        unit = "m"
    size = largest * METRES[unit]
    taken.append(
        f"{path.name} does not say its unit; taken to be {unit}, which makes it {_told(size)} at its largest. "
        f"`scale: {unit}` settles it."
    )
    return METRES[unit]


def _guessed(path: Path, largest: float) -> str | None:
    """Metres where that is likely at all, but STL, which is a workshop's format, is often in millimetres."""
    most = FITTING[1] if path.suffix.lower() == ".stl" else LARGEST
    if SMALLEST <= largest <= most:
        return "m"
    fitting = [unit for unit in METRIC if FITTING[0] <= largest * METRES[unit] <= FITTING[1]]
    return min(fitting, key=lambda unit: _unusual(largest * METRES[unit]), default=None)


def _unusual(metres: float) -> float:
    return abs(float(np.log(metres / USUAL)))


def _check_unit(path: Path, largest: float, factor: float) -> None:
    """UserError where the mesh would be smaller than a matchbox or larger than a street."""
    size = largest * factor
    if SMALLEST <= size <= LARGEST:
        return
    fitting = [unit for unit, metres in METRES.items() if FITTING[0] <= largest * metres <= FITTING[1]]
    likely = min(fitting, key=lambda unit: _unusual(largest * METRES[unit]), default=None)
    advice = (
        f"if the file is in {likely}, write `scale: {likely}`, which makes it {largest * METRES[likely]:.3g} m"
        if likely
        else f"give `scale` as a factor; the file's own largest extent is {largest:.3g}"
    )
    raise UserError(
        f"scale: {path.name} would be {_told(size)} at its largest, surely in the wrong unit; {advice}"
    )


def _told(metres: float) -> str:
    if metres >= 5_000:
        return f"{metres / 1000:,.0f} km"
    return f"{metres:.3g} m" if metres >= 1 else f"{metres * 100:.3g} cm"


def _up(path: Path, chunks: Sequence[Chunk], model: ImportedMesh, taken: list[str]) -> str:
    """The axis that is up: as asked, by the standard of glTF, or that at whose foot there is level ground; else z."""
    if model.up != "auto":
        return model.up
    if path.suffix.lower() in GLTF:
        return "y"
    areas = {
        axis: sum(_level_area(chunk, number) for chunk in chunks) for number, axis in ((1, "y"), (2, "z"))
    }
    up = "y" if areas["y"] > PLAINLY * areas["z"] else "z"
    other = "z" if up == "y" else "y"
    told = "so there is level ground in it" if areas[up] > PLAINLY * areas[other] else "nothing in it tells"
    taken.append(
        f"{path.name} does not say which way is up; taken to be {up}: {told}. `up: {up}` settles it, or `up: {other}`."
    )
    return up


def _level_area(chunk: Chunk, axis: int) -> float:
    """Area of what lies level near the foot and faces up, as ground does, were that axis up.

    The foot of a house's wall faces out, its floor's underside down: they tell nothing.
    """
    some = chunk.faces[:: max(1, len(chunk.faces) // 200_000)]
    first, second, third = (chunk.vertices[some[:, corner]] for corner in range(3))
    cross = np.cross(second - first, third - first)
    area = np.linalg.norm(cross, axis=1)
    middle = (first[:, axis] + second[:, axis] + third[:, axis]) / 3.0
    low, high = np.quantile(chunk.vertices[:, axis], [LOWEST, 1.0])
    level = (cross[:, axis] > LEVEL * area) & (middle < low + 0.15 * (high - low))
    return float(area[level].sum())


def _raised(chunks: Sequence[Chunk], model: ImportedMesh) -> list[Chunk]:
    """Lifted by `height`; with `drop`, first put on the ground by the lowest of what lies within the plan of the crop."""
    height = model.height
    if model.drop:
        level = []
        for chunk in chunks:
            points = chunk.vertices
            if model.crop is not None:
                low, high = np.sort([model.crop.from_[:2], model.crop.to[:2]], axis=0)
                points = points[((points[:, :2] >= low) & (points[:, :2] <= high)).all(axis=1)]
            level.append(points[:, 2])
        every = np.concatenate(level)
        if len(every):
            height -= float(np.quantile(every, LOWEST))
    return [replace(chunk, vertices=chunk.vertices + np.array([0.0, 0.0, height])) for chunk in chunks]


def _cropped(path: Path, chunks: Sequence[Chunk], model: ImportedMesh, taken: list[str]) -> list[Chunk]:
    """The faces whose middle lies in the box."""
    assert model.crop is not None
    low, high = np.sort([model.crop.from_, model.crop.to], axis=0)
    kept = []
    before = sum(len(chunk.faces) for chunk in chunks)
    for chunk in chunks:
        middle = chunk.vertices[chunk.faces].mean(axis=1)
        inside = ((middle >= low) & (middle <= high)).all(axis=1)
        if inside.any():
            kept.append(_used(replace(chunk, faces=chunk.faces[inside])))
    if not kept:
        least, most = _bounds(chunks)
        raise UserError(
            f"crop: nothing of {path.name} lies in it: as placed, it goes from {_point(least)} to {_point(most)}"
        )
    after = sum(len(chunk.faces) for chunk in kept)
    taken.append(f"{after:,} of the {before:,} triangles of {path.name} lie in the crop.")
    return kept


def _point(point: Floats) -> str:
    return f"[{', '.join(f'{metres:.2f}' for metres in point)}]"
