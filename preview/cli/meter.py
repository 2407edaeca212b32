"""`preview meter`: the light at marks."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import click

from preview.cli.options import JSON, LOOK, NO_CACHE, OUT, SCENE, SEED, SETUP
from preview.cli.progress import tracing
from preview.cli.told import console, folder_of


def _spots(context: click.Context, option: click.Parameter, values: tuple[str, ...]) -> tuple[Any, ...]:
    """Places of the frame: `480,270` in pixels of one 960 wide, or `50%,40%` from its left and top."""
    answer = []
    for value in values:
        found = re.fullmatch(r"\s*([0-9.]{1,8})(%?)\s*,\s*([0-9.]{1,8})(%?)\s*", value)
        try:
            x, y = (float(found[1]), float(found[3])) if found and found[2] == found[4] else (None, None)
        except ValueError:
            x = y = None
        if found is None or x is None or y is None:
            raise click.BadParameter(
                f"{value!r} is no place of the frame: write 480,270 in pixels of a frame 960 wide, or 50%,40%."
            )
        answer.append((x, y, bool(found[2])))
    return tuple(answer)


@click.command()
@SCENE
@click.argument("marks", nargs=-1, metavar="[MARK]...")
@click.option(
    "--spot",
    "spots",
    multiple=True,
    callback=_spots,
    metavar="X,Y",
    help="Read the luminance at a place of the frame, in pixels of one 960 wide or as 50%,40%; may be repeated.",
)
@NO_CACHE
@SETUP
@LOOK
@OUT
@SEED
@JSON
def meter(
    scene: Path,
    marks: tuple[str, ...],
    spots: tuple[tuple[float, float, bool], ...],
    no_cache: bool,
    setup: str | None,
    look: str | None,
    out: Path | None,
    seed: int | None,
    as_json: bool,
) -> None:
    """Read the light at MARKs, or at all of them: stop, ratios, colour, eye light; a card to hold on set."""
    from preview.commands.meter import MeterOptions, spot_places
    from preview.commands.meter import meter as make
    from preview.script.read import read_scene
    from preview.sheets.meter_report import to_json
    from preview.sheets.meter_text import meter_text

    ready = read_scene(scene, setup=setup, look=look)
    folder = out or folder_of(scene, ready.setup, look)
    options = MeterOptions(marks, spot_places(ready, spots), ready.seed if seed is None else seed)
    with tracing(f"{ready.title}, {ready.setup}", no_cache=no_cache, quiet=as_json) as (store, progress):
        report = make(ready, folder, options, store=store, progress=progress)
    if as_json:
        from preview.sheets.data import json_text

        print(json_text(to_json(report)))
        return
    print(meter_text(report))
    if report.frames:
        from preview.sheets.frames_text import frames_table

        print()
        console().print(frames_table(report.frames))
    print(f"\nWrote {', '.join(report.files)} in {folder}")
