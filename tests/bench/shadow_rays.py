"""Shadow rays per second: the tracer's wrapper, and the tracer's whole shading of a light, against bare embreex.

The rays are those of a demo scene: from every visible point of a 960-pixel frame to places on its key light's frame,
a tile at a time, in a pool of as many threads as the tracer uses.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from embreex import rtcore_scene
from embreex.mesh_construction import TriangleMesh
from rich.table import Table

from preview.commands.prepare import Ready, prepare
from preview.light.emitters.cloth import Cloth
from preview.light.light import Light
from preview.script.read import read_scene
from preview.trace.geometry import Geometry
from preview.trace.plate import trace
from preview.trace.quality import Quality
from preview.trace.rays import LIFT, Rays
from tests.bench.timing import seconds

SCENE = Path(__file__).parents[2] / "scenes" / "orchard-gate.yaml"
KEY = "moon key"
WIDTH = 960
RAYS_A_POINT = 4
TILE_WIDTH, TILE_HEIGHT = 96, 64


@dataclass(frozen=True)
class Batch:
    """Shadow rays of one tile: origins, directions (n, 3), distances (n,), float32 and contiguous."""

    origins: np.ndarray
    directions: np.ndarray
    distances: np.ndarray

    def by_axis(self) -> Batch:
        """The same seen through arrays (3, n), as the tracer hands them over."""
        return Batch(
            np.ascontiguousarray(self.origins.T).T, np.ascontiguousarray(self.directions.T).T, self.distances
        )


def batches(ready: Ready, *, width: int = WIDTH, seed: int = 1) -> list[Batch]:
    """The shadow rays of a frame's visible points to its key light's cloth, tile by tile."""
    (key,) = (light for light in ready.lights if light.name == KEY)
    (cloth,) = (emitter for emitter in key.emitters if isinstance(emitter, Cloth))
    rng = np.random.default_rng(seed)
    height = round(width / ready.view.aspect)
    corners = [(top, left) for top in range(0, height, TILE_HEIGHT) for left in range(0, width, TILE_WIDTH)]
    every = (_batch(ready, cloth, rng, top, left, (width, height)) for top, left in corners)
    return [batch for batch in every if len(batch.distances)]


def _batch(
    ready: Ready, cloth: Cloth, rng: np.random.Generator, top: int, left: int, size: tuple[int, int]
) -> Batch:
    rows = np.arange(top, min(top + TILE_HEIGHT, size[1])) + 0.5
    columns = np.arange(left, min(left + TILE_WIDTH, size[0])) + 0.5
    uv = np.stack(np.meshgrid(columns / size[0], rows / size[1]), axis=-1).reshape(-1, 2)
    looking = np.ascontiguousarray(ready.view.directions(uv.astype(np.float32)))
    eye = np.tile(ready.view.position.astype(np.float32), (len(looking), 1))
    hit = ready.stage.solid.rays.hit(eye, looking)
    met = hit.face >= 0
    # A hand's breadth towards the eye is clear of the surface, whichever way it faces.
    start = np.repeat(eye[met] + looking[met] * (hit.distance[met] - 0.01)[:, None], RAYS_A_POINT, axis=0)
    width = np.cross(cloth.axis, [0.0, 0.0, 1.0])
    width /= np.linalg.norm(width)
    height = np.cross(width, cloth.axis)
    spread = rng.uniform(-1.0, 1.0, (len(start), 2))
    place = (
        cloth.centre
        + spread[:, :1] * width * cloth.half_size[0]
        + spread[:, 1:] * height * cloth.half_size[1]
    )
    away = place - start
    distance = np.linalg.norm(away, axis=1)
    direction = away / distance[:, None]
    return Batch(
        np.ascontiguousarray(start, np.float32),
        np.ascontiguousarray(direction, np.float32),
        np.ascontiguousarray(distance, np.float32),
    )


def bare_scene(ready: Ready) -> Any:
    """The same triangles in embreex alone."""
    scene = rtcore_scene.EmbreeScene()
    TriangleMesh(scene, ready.world.vertices, ready.world.faces)
    one = np.ones((1, 3), np.float32)
    scene.run(one, one, dists=one[:, 0], query="OCCLUDED")
    return scene


def in_threads(work: Callable[[Batch], object], every: Sequence[Batch]) -> None:
    """All batches through a pool like the tracer's."""
    with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        for _ in pool.map(work, every):
            pass


class Counting:
    """Rays that count the shadow rays they are asked."""

    def __init__(self, rays: Rays) -> None:
        self._rays = rays
        self.asked: list[int] = []

    def blocked(self, origins: Any, directions: Any, distances: Any) -> Any:
        self.asked.append(len(distances))
        return self._rays.blocked(origins, directions, distances)

    def hit(self, origins: Any, directions: Any) -> Any:
        return self._rays.hit(origins, directions)


def counting(geometry: Geometry) -> tuple[Geometry, Counting]:
    """The same geometry with its shadow rays counted."""
    watched = geometry.resurfaced(geometry.surfaces)
    counter = Counting(geometry.rays)
    watched.rays = counter  # type: ignore[assignment]
    return watched, counter


@dataclass(frozen=True)
class Rates:
    """Million shadow rays a second; `shaded_rays`: how many the tracer needed for the key light."""

    rays: int
    bare: float
    wrapped: float
    shaded_rays: int
    shaded: float


def measure(ready: Ready, *, width: int = WIDTH, repeats: int = 4) -> Rates:
    """The three rates, measured by turns so that all see the same machine."""
    every = batches(ready, width=width)
    as_traced = [batch.by_axis() for batch in every]
    count = sum(len(batch.distances) for batch in every)
    scene, rays = bare_scene(ready), ready.stage.solid.rays

    def bare(batch: Batch) -> Any:
        return scene.run(batch.origins, batch.directions, dists=batch.distances, query="OCCLUDED")

    def wrapped(batch: Batch) -> Any:
        return rays.blocked(batch.origins, batch.directions, batch.distances - np.float32(2.0) * LIFT)

    times: dict[str, list[float]] = {"bare": [], "wrapped": [], "lit": [], "unlit": []}
    watched, counter = counting(ready.stage.solid)
    stage = replace(ready.stage, solid=watched, glow_of_part=(None,) * len(ready.stage.glow_of_part))
    key = [light for light in ready.lights if light.name == KEY]
    height, quality = round(width / ready.view.aspect), Quality(bounce_rays=0)

    def frame(lights: Sequence[Light]) -> object:
        return trace(stage, lights, ready.view, width=width, height=height, quality=quality)

    for _ in range(repeats):
        times["bare"] += seconds(lambda: in_threads(bare, every), repeats=1)
        times["wrapped"] += seconds(lambda: in_threads(wrapped, as_traced), repeats=1)
        times["unlit"] += seconds(lambda: frame([]), repeats=1)
        counter.asked.clear()
        times["lit"] += seconds(lambda: frame(key), repeats=1)
    shaded = sum(counter.asked)
    lighting = min(times["lit"]) - min(times["unlit"])
    return Rates(
        count,
        count / min(times["bare"]) / 1e6,
        count / min(times["wrapped"]) / 1e6,
        shaded,
        shaded / max(lighting, 1e-9) / 1e6,
    )


def tables() -> Iterator[Table]:
    """The rates of the demo scene."""
    ready = prepare(read_scene(SCENE))
    rates = measure(ready)
    table = Table(
        title=f"Shadow rays, {SCENE.stem}: {len(ready.world.faces):,} triangles, {os.cpu_count()} threads"
    )
    for heading in ("", "rays", "million a second", "of bare embreex"):
        table.add_column(heading, justify="right" if heading else "left")
    rows = (
        ("embreex alone", rates.rays, rates.bare),
        ("the tracer's wrapper, same rays", rates.rays, rates.wrapped),
        ("tracing the key light, its shading and settling in", rates.shaded_rays, rates.shaded),
    )
    for name, count, rate in rows:
        table.add_row(name, f"{count:,}", f"{rate:.1f}", f"{rate / rates.bare:.2f}")
    yield table
