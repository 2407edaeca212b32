"""`preview frame`: a scene lit and exposed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Literal

import click

from preview.cli.options import JSON, LOOK, NO_CACHE, OUT, SCENE, SEED, SETUP, SIZE
from preview.cli.progress import tracing
from preview.cli.told import answered, console, folder_of


@click.command()
@SCENE
@SIZE
@click.option(
    "--quality",
    type=click.Choice(["draft", "look", "final"]),
    default="look",
    show_default=True,
    help="How little chance may leave in the picture: rough and quick, as usual, or to print.",
)
@click.option(
    "--engine",
    type=click.Choice(["traced", "raster"]),
    default="traced",
    show_default=True,
    help="What computes the light; raster: hard shadows on the graphics card.",
)
@click.option("--grain", is_flag=True, help="Show the sensor's noise at the camera's ISO.")
@NO_CACHE
@SETUP
@LOOK
@OUT
@SEED
@JSON
def frame(
    scene: Path,
    size: tuple[int, int | None],
    quality: str,
    engine: Literal["traced", "raster"],
    grain: bool,
    no_cache: bool,
    setup: str | None,
    look: str | None,
    out: Path | None,
    seed: int | None,
    as_json: bool,
) -> None:
    """Light a scene and expose it: picture, stops map, EXR, numbers."""
    from preview.commands.frame import FrameOptions
    from preview.commands.frame import frame as make
    from preview.script.read import read_scene
    from preview.sheets.report import summary, to_json

    ready = read_scene(scene, setup=setup, look=look)
    unusual = [word for word, usual in ((quality, "look"), (engine, "traced")) if word != usual]
    folder = out or folder_of(scene, ready.setup, look, *unusual)
    options = FrameOptions(*size, quality, engine, grain, ready.seed if seed is None else seed)
    with tracing(f"{ready.title}, {ready.setup}", no_cache=no_cache, quiet=as_json) as (store, progress):
        report = make(ready, folder, options, store=store, progress=progress)
    # The files are told below, with their folder.
    words = summary(replace(report, files=()), width=console().width)
    answered(to_json(report) if as_json else None, words, folder, report.files)
