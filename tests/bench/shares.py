"""Shares: what bounce, gloss, haze, defocus and glare add to a frame, each told by leaving it out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
from rich.table import Table

from preview.build.surfaces import matt
from preview.build.world import gather
from preview.commands.frame import seen
from preview.commands.prepare import Ready, prepare
from preview.script.read import read_scene
from preview.trace.geometry import Geometry
from preview.trace.haze import Haze
from preview.trace.mix import mixed
from preview.trace.plate import Plate, trace
from preview.trace.quality import QUALITIES, Quality
from tests.bench.timing import by_turns

FOLDER = Path(__file__).parents[2] / "scenes"
SCENES = ("orchard-gate", "bus-shelter", "wet-quay")
HAZE = Haze(0.004)
"""What a scene in clear air is given: a mile of visibility, about."""


def without_gloss(ready: Ready) -> Ready:
    """The same with neither clear coats nor panes; mottled and wet no more."""
    solid = ready.stage.solid
    surfaces = replace(matt(solid.surfaces.reflectance), transmission=solid.surfaces.transmission)
    nothing = Geometry(gather([]), matt(np.zeros((0, 3), np.float32)))
    return replace(ready, stage=replace(ready.stage, solid=solid.resurfaced(surfaces), panes=nothing))


def shares(name: str, *, width: int = 960, repeats: int = 3) -> dict[str, float]:
    """Seconds of the whole, as `look`, and of what each part adds to it."""
    ready = prepare(read_scene(FOLDER / f"{name}.yaml"))
    ready = replace(ready, haze=ready.haze or HAZE)
    look = QUALITIES["look"]

    def traced(scene: Ready, quality: Quality = look) -> Plate:
        size = {"width": width, "height": round(width / scene.view.aspect)}
        return trace(scene.stage, scene.lights, scene.view, **size, quality=quality, haze=scene.haze)

    plate = traced(ready)
    radiance = mixed(plate, ready.lights)
    times = by_turns(
        {
            "traced": lambda: traced(ready),
            "bounce": lambda: traced(ready, replace(look, bounce_rays=0)),
            "gloss": lambda: traced(without_gloss(ready)),
            "haze": lambda: traced(replace(ready, haze=None)),
            "lens": lambda: seen(ready, plate, radiance),
        },
        repeats=repeats,
    )
    best = {part: min(found) for part, found in times.items()}
    whole = best["traced"] + best["lens"]
    added = {part: best["traced"] - best[part] for part in ("bounce", "gloss", "haze")}
    return {"whole": whole, **added, "defocus and glare": best["lens"]}


def tables(*, width: int = 960, scenes: tuple[str, ...] = SCENES, repeats: int = 3) -> Iterator[Table]:
    """Seconds of a frame, and the shares of its parts."""
    table = Table(title=f"What parts add to a frame, `look`, {width} wide, by leaving each out; in haze")
    table.add_column("scene")
    table.add_column("whole, s", justify="right")
    for name in scenes:
        found = shares(name, width=width, repeats=repeats)
        whole = found.pop("whole")
        if len(table.columns) == 2:
            for part in found:
                table.add_column(part, justify="right")
        table.add_row(name, f"{whole:.2f}", *(f"{seconds / whole:.0%}" for seconds in found.values()))
    yield table
