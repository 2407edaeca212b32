"""Hard shadows: rays against the driver of the graphics card, or Mesa's on the processor, on one frame without bounce."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from rich.table import Table

from preview.commands.prepare import prepare
from preview.raster.engine import raster
from preview.script.read import read_scene
from preview.trace.plate import trace
from preview.trace.quality import QUALITIES, Quality
from tests.bench.timing import best_and_median, seconds

FOLDER = Path(__file__).parents[2] / "scenes"
SCENES = ("orchard-gate", "wet-quay", "bus-shelter")
ONE = Quality(target=10.0, samples=4, rounds=1, bounce_rays=0)
"""As many samples a pixel as the raster engine takes, and no more."""


def tables(*, width: int = 960, scenes: tuple[str, ...] = SCENES, repeats: int = 2) -> Iterator[Table]:
    table = Table(title="Hard shadows, no bounce: seconds, best / median")
    for heading in ("scene", "raster", "rays, as many samples", "rays, look", "raster / rays"):
        table.add_column(heading, justify="left" if heading == "scene" else "right")
    for name in scenes:
        ready = prepare(read_scene(FOLDER / f"{name}.yaml"))
        size = {"width": width, "height": round(width / ready.view.aspect)}
        given = ready.stage, ready.lights, ready.view
        drawn = seconds(lambda: raster(*given, **size), repeats=repeats)  # noqa: B023
        plain, look = (
            seconds(lambda: trace(*given, **size, quality=quality), repeats=repeats)  # noqa: B023
            for quality in (ONE, replace(QUALITIES["look"], bounce_rays=0))
        )
        times = (best_and_median(row) for row in (drawn, plain, look))
        table.add_row(name, *times, f"{min(drawn) / min(plain):.1f}")
    yield table
