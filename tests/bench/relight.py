"""Relight: what it costs to change a level, or one fixture of many, beside tracing the frame anew; one run, one process."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from rich.table import Table

from preview.commands.prepare import Ready, prepare
from preview.script.read import read_scene
from preview.trace.mix import mixed
from preview.trace.plate import trace
from preview.trace.quality import QUALITIES
from preview.trace.store import Store
from tests.bench.growth import built
from tests.bench.timing import seconds

FOLDER = Path(__file__).parents[2] / "scenes"
SCENES = ("orchard-gate", "wet-quay", "bus-shelter")
COUNTS = (4, 8, 16)
WIDTH = 960
NO_BOUND = 10**15


def _trace(ready: Ready, store: Store, width: int) -> object:
    return trace(
        ready.stage,
        ready.lights,
        ready.view,
        width=width,
        height=round(width / ready.view.aspect),
        quality=QUALITIES["look"],
        haze=ready.haze,
        store=store,
    )


def relit(ready: Ready, *, width: int = WIDTH, repeats: int = 5) -> tuple[float, float]:
    """Seconds to trace a frame, and best seconds to find it and mix it at other levels."""
    dimmed = tuple(replace(light, gain=0.5 * light.gain) for light in ready.lights)
    with tempfile.TemporaryDirectory() as folder:
        store = Store(Path(folder), most_bytes=NO_BOUND)
        (whole,) = seconds(lambda: _trace(ready, store, width), repeats=1)
        again = seconds(lambda: mixed(_trace(ready, store, width), dimmed), repeats=repeats)  # type: ignore[arg-type]
    return whole, min(again)


def one_changed(fixtures: int, *, width: int = WIDTH) -> tuple[float, float]:
    """Seconds to trace a frame with so many fixtures, and mean seconds after any one of them has changed."""
    ready = built(trees=4, fixtures=fixtures)
    with tempfile.TemporaryDirectory() as folder:
        store = Store(Path(folder), most_bytes=NO_BOUND)
        (whole,) = seconds(lambda: _trace(ready, store, width), repeats=1)
        chosen = range(0, fixtures, max(1, fixtures // 4))
        total = 0.0
        for number in chosen:
            # Another name: other random numbers, so another layer of the same light.
            name = f"{ready.lights[number].name}, moved"
            lights = tuple(
                replace(light, name=name) if other == number else light
                for other, light in enumerate(ready.lights)
            )
            total += seconds(lambda: _trace(replace(ready, lights=lights), store, width), repeats=1)[0]  # noqa: B023
    return whole, total / len(chosen)


def tables(
    *, width: int = WIDTH, scenes: tuple[str, ...] = SCENES, counts: tuple[int, ...] = COUNTS
) -> Iterator[Table]:
    table = Table(title="Another level: from the cache against tracing")
    for heading in ("scene", "trace s", "find and mix s", "ratio"):
        table.add_column(heading, justify="left" if heading == "scene" else "right")
    for name in scenes:
        whole, again = relit(prepare(read_scene(FOLDER / f"{name}.yaml")), width=width)
        table.add_row(name, f"{whole:.2f}", f"{again:.3f}", f"{whole / again:.0f}")
    yield table
    table = Table(title="One fixture of N changed (bound: 1.5)")
    for heading in ("N", "whole s", "one s", "one / whole x N"):
        table.add_column(heading, justify="right")
    for count in counts:
        whole, one = one_changed(count, width=width)
        table.add_row(str(count), f"{whole:.2f}", f"{one:.2f}", f"{one / whole * count:.2f}")
    yield table
