"""Growth: how time grows with fixtures, pixels and triangles, each against the smallest; building and tracing apart."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from rich.table import Table

from preview.build.assemble import assemble
from preview.build.world import World
from preview.camera.framing import view_of
from preview.commands.prepare import Ready, stage_of
from preview.light.lights import lights_of
from preview.script.read import read_scene
from preview.trace.geometry import Geometry
from preview.trace.plate import trace
from preview.trace.quality import Quality
from tests.bench.timing import seconds

QUALITY = Quality()
FIXTURES = (1, 2, 4, 8, 16)
WIDTHS = (240, 480, 960, 1920)
CUTS = 2
"""Times that each triangle is cut in four."""
TREES_A_PIECE = 16
"""Bigger pieces are planted with lighter trees."""


def script(*, trees: int, fixtures: int) -> str:
    """A meadow with trees before the camera, and soft and hard heads round it by turns."""
    lines = ["set:", "  - ground: {material: grass}"]
    for first in range(0, trees, TREES_A_PIECE):
        places = [
            [-22.0 + 4.0 * (n % 12), 4.0 + 4.0 * (n // 12)]
            for n in range(first, min(first + TREES_A_PIECE, trees))
        ]
        lines.append(f"  - trees: {{kind: broadleaf, at: {places}, seed: {first + 1}}}")
    lines.append("camera: {lens: {focal: 28 mm}, at: [0, -8, 1.6], aim: [0, 6, 2.5]}")
    lines.append("fixtures:")
    for n in range(fixtures):
        head = ("hmi-fresnel-2500", "led-mat-120cm")[n % 2]
        place = [-14.0 + 28.0 * ((n * 7) % 16) / 15.0, -6.0 + n, 4.5]
        lines.append(f"  - {{name: head {n}, head: {head}, at: {place}, aim: [0, 6, 1.5]}}")
    return "\n".join(lines) + "\n"


def built(*, trees: int, fixtures: int) -> Ready:
    """The scene ready to trace."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "meadow.yaml"
        file.write_text(script(trees=trees, fixtures=fixtures), encoding="utf-8")
        scene = read_scene(file)
    lights = lights_of(scene)
    return Ready(scene, view_of(scene), lights, stage_of(assemble(scene), lights))


def traced(ready: Ready, *, width: int, repeats: int = 2) -> float:
    """Best seconds of tracing a frame."""
    height = round(width / ready.view.aspect)
    return min(
        seconds(
            lambda: trace(ready.stage, ready.lights, ready.view, width=width, height=height, quality=QUALITY),
            repeats=repeats,
        )
    )


def _table(title: str, rows: list[tuple[int, dict[str, float]]]) -> Table:
    """Counts with seconds, each also as a ratio to the first row's."""
    table = Table(title=title)
    first_count, first = rows[0]
    table.add_column("count", justify="right")
    table.add_column("times the first", justify="right")
    for name in first:
        table.add_column(f"{name}, s", justify="right")
        table.add_column("times the first", justify="right")
    for count, times in rows:
        cells = [f"{count:,}", f"{count / first_count:.1f}"]
        for name, elapsed in times.items():
            cells += [f"{elapsed:.3f}", f"{elapsed / first[name]:.1f}"]
        table.add_row(*cells)
    return table


def by_fixtures(numbers: tuple[int, ...] = FIXTURES, *, width: int = 480) -> Table:
    """Time against the number of fixtures."""
    rows = [(n, {"tracing": traced(built(trees=16, fixtures=n), width=width)}) for n in numbers]
    return _table(f"Growth with fixtures ({width} wide, 16 trees)", rows)


def by_pixels(widths: tuple[int, ...] = WIDTHS) -> Table:
    """Time against the number of pixels."""
    ready = built(trees=16, fixtures=4)
    rows = []
    for width in widths:
        elapsed = traced(ready, width=width, repeats=2 if width < 1000 else 1)
        rows.append((width * round(width / ready.view.aspect), {"tracing": elapsed}))
    return _table(f"Growth with pixels ({widths[0]} to {widths[-1]} wide, 4 fixtures)", rows)


def split_in_four(world: World) -> World:
    """The same surfaces from four times as many triangles, cut at the middles of their sides."""
    corners, normals = world.vertices[world.faces], world.normals[world.faces]

    def cut(values: NDArray[np.float32]) -> NDArray[np.float32]:
        a, b, c = values[:, 0], values[:, 1], values[:, 2]
        ab, bc, ca = (a + b) / 2, (b + c) / 2, (c + a) / 2
        return np.stack([a, ab, ca, ab, b, bc, ca, bc, c, ab, bc, ca], axis=1).reshape(-1, 3)

    across = cut(normals)
    across /= np.maximum(np.linalg.norm(across, axis=1, keepdims=True), np.float32(1e-20))
    return replace(
        world,
        vertices=cut(corners),
        normals=across,
        faces=np.arange(12 * len(world.faces), dtype=np.int32).reshape(-1, 3),
        part_of_face=np.repeat(world.part_of_face, 4),
        tint=None if world.tint is None else cut(world.tint[world.faces]),
    )


def by_triangles(cuts: int = CUTS, *, width: int = 480, trees: int = 16) -> Table:
    """Time against the number of triangles of one and the same picture; building is Embree's tree."""
    ready = built(trees=trees, fixtures=4)
    world, rows = ready.world, []
    for _ in range(cuts + 1):
        solid = Geometry(world, ready.stage.solid.surfaces)
        one = np.ones((1, 3), np.float32)
        (building,) = seconds(lambda: solid.rays.blocked(one, one, one[:, 0]), repeats=1)  # noqa: B023
        other = replace(ready, stage=replace(ready.stage, solid=solid))
        rows.append((len(world.faces), {"building": building, "tracing": traced(other, width=width)}))
        world = split_in_four(world)
    return _table(f"Growth with triangles ({width} wide, 4 fixtures, one picture)", rows)


def tables() -> Iterator[Table]:
    """All three."""
    yield by_fixtures()
    yield by_pixels()
    yield by_triangles()
