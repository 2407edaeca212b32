"""Growth: how time grows with fixtures, pixels and triangles, each against the smallest; building and tracing apart."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

from rich.table import Table

from preview.build.assemble import assemble
from preview.camera.framing import view_of
from preview.commands.prepare import Ready, stage_of
from preview.light.lights import lights_of
from preview.script.read import read_scene
from preview.trace.plate import trace
from preview.trace.quality import Quality
from tests.bench.timing import seconds

QUALITY = Quality()
FIXTURES = (1, 2, 4, 8, 16)
WIDTHS = (240, 480, 960, 1920)
TREES = (1, 4, 16, 64, 160)
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


def _built_in(trees: int) -> tuple[float, Ready]:
    """Best seconds of building the meadow twice, and the meadow."""
    kept: list[Ready] = []
    times = seconds(lambda: kept.append(built(trees=trees, fixtures=4)), repeats=2)
    return min(times), kept[-1]


def by_triangles(numbers: tuple[int, ...] = TREES, *, width: int = 480) -> Table:
    """Time against the number of triangles; building is planting and Embree's tree together."""
    rows = []
    for trees in numbers:
        building, ready = _built_in(trees)
        rows.append((len(ready.world.faces), {"building": building, "tracing": traced(ready, width=width)}))
    return _table(f"Growth with triangles ({width} wide, 4 fixtures)", rows)


def tables() -> Iterator[Table]:
    """All three."""
    yield by_fixtures()
    yield by_pixels()
    yield by_triangles()
